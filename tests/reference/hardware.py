"""Random lifts with bearings and screws, so that parts have seats, webs and screw holes."""

import random


def with_hardware(project, seed):
    """A copy of a project with joints and fixings rolled for the seed; the same for the same seed."""
    dice = random.Random(f"hardware {seed}")
    joints = {
        "bearing": dice.choice(["608", "688", "6800", "625"]),
        "per_hinge": dice.choice([1, 2]),
        "seat_in": dice.choice(["bars", "bars", "arms"]),
        "housing": dice.choice(["N7", "K7", {"interference": [0.0, 0.03]}]),
        "pin": "h6",
    }
    fixings = {"count": dice.choice([2, 3, 4]), "diameter": dice.choice([4.17, 4.83, 5.0])}
    return {**project, "joints": joints, "fixings": fixings}
