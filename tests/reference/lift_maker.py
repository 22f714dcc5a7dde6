"""Random lifts that could be built, the same for the same seed.

Proportions vary widely around wall lifts: arms that hang and swing up, arms that stand and swing
down, flat and sloped ceilings, soffits, beams; lapped and sandwich builds; travel to a number of
degrees, to the stop, and a few that ask for more than the linkage can turn.
"""

import math
import random

import shapely

from reference_lift import Lift, NoMotion
from reference_room import Between, Room, panel_corners, parts, wall_bar

ATTEMPTS = 400


def random_lift(seed):
    """(project, lift): the first candidate of the seed that can be built."""
    dice = random.Random(seed)
    for _ in range(ATTEMPTS):
        project = candidate(dice)
        if not hangs_free(project):
            continue
        try:
            lift = Lift(project)
            found = choose_travel(dice, project, lift)
        except NoMotion:
            continue
        if found is None:
            continue
        project, lift = found
        if furnish(dice, project, lift):
            project["title"] = f"Random lift {seed}"
            return project, lift
    raise RuntimeError(f"seed {seed}: no lift that can be built in {ATTEMPTS} attempts")


def candidate(dice):
    """Panel, pivots and bars; the room is only floor and wall yet."""

    def roll(low, high):
        return round(dice.uniform(low, high), 2)

    swings_up = dice.random() < 0.8
    height, thickness = roll(300, 1100), roll(12, 50)
    standoff = roll(45, 130)
    bottom = roll(700, 1300)
    width = roll(16, 30), roll(16, 30)
    wall = [roll(width[0] / 2 + 0.6, standoff - 20), roll(width[1] / 2 + 0.6, standoff - 20)]
    panel = [-roll(width[0] / 2 + 0.6, 45), -roll(width[1] / 2 + 0.6, 45)]
    build = dice.choice(["lapped", "lapped", "sandwich"])
    if build == "lapped":
        # Hung, the arms lie one behind the other: nearer the wall the one that swings out first.
        near, far = (0, 1) if swings_up else (1, 0)
        apart = (width[0] + width[1]) / 2
        wall[far] = round(wall[near] + apart + roll(0.3, 14), 2)
        panel[near] = round(panel[far] - apart - roll(0.3, 14), 2)
        standoff = round(max(standoff, wall[far] + 15, wall[near] - panel[near] - dice.uniform(0, 8)), 2)
    panel_lower = roll(0.35, 0.75) * height if swings_up else roll(0.25, 0.6) * height
    panel_lower = round(panel_lower, 2)
    panel_spacing, wall_spacing = roll(45, 170), roll(45, 190)
    reach = roll(230, 650) * (1 if swings_up else -1)
    wall_lower = round(bottom + panel_lower + reach, 2)
    project = {
        "format": "overarm-project",
        "version": 1,
        "units": dice.choice(["mm", "in", "ft-in"]),
        "room": {"outline": [[0, 0], [0, 9000]]},
        "panel": {
            "width": roll(400, 1500), "height": height, "thickness": thickness, "mass": roll(4, 40),
            "centre_of_mass": [round(thickness / 2, 3), round(height / 2, 3)],
            "hung": {"standoff": standoff, "bottom": bottom},
        },
        "linkage": {
            "wall_lower": [wall[0], wall_lower],
            "wall_upper": [wall[1], round(wall_lower + wall_spacing, 2)],
            "panel_lower": [panel[0], panel_lower],
            "panel_upper": [panel[1], round(panel_lower + panel_spacing, 2)],
            "travel_deg": 90.0 if swings_up else -90.0,
        },
        "bars": {
            "build": build,
            "wall_bar": ended_bar(dice, max(wall)),
            "panel_bar": ended_bar(dice, -min(panel)),
            "lower_arm": {"width": width[0], "depth": 25.4},
            "upper_arm": {"width": width[1], "depth": 25.4},
        },
    }
    if dice.random() < 0.6:
        project["bars"]["running_clearance"] = roll(0.2, 0.8)
    return project


def ended_bar(dice, farthest):
    return {"width": round(farthest + dice.uniform(8, 20), 2), "depth": 25.4,
            "lower_end": round(dice.uniform(12, 40), 2), "upper_end": round(dice.uniform(12, 40), 2)}


def hangs_free(project):
    """Before the motion is worked out: nothing touches at hung, and the pose is not all in line."""
    lift = Lift.at_hung(project)
    pose = lift.pose(lift.hung)
    if lift.transmission(pose) < math.radians(1.5):
        return False
    return all(between.single(pose) > 0.3 for between in meetings(lift).values())


def meetings(lift):
    """{pair: distance} of everything that can meet on the way: arm and arm only where they share a
    layer; bars and the arms hinged to them overlap as plain outlines and are left out."""
    moving = parts(lift)
    pairs = [("lower_arm", "panel"), ("upper_arm", "panel"), ("wall_bar", "panel"), ("wall_bar", "panel_bar")]
    if lift.project["bars"]["build"] == "lapped":
        pairs.insert(0, ("lower_arm", "upper_arm"))
    every = moving | {"wall_bar": wall_bar(lift)}
    found = {pair: Between(every[pair[0]], every[pair[1]]) for pair in pairs}
    room = Room(lift.project)
    return found | {(name, "room"): room.touch(part) for name, part in moving.items()}


def kind_of_stop(pair):
    """What kind of stop a pair makes."""
    if pair[0] == "wall_bar":
        return "wall_bar"
    return {"panel": "panel", "room": "room"}.get(pair[1], "nose_on_flank")


def told_kind(pair):
    """What the findings call it: what meets the wall bar is told like the panel's other stop."""
    kind = kind_of_stop(pair)
    return "panel" if kind == "wall_bar" else kind


def first_contact(lift, end=None):
    """(place, pair) of the first touch of any pair before a place, or None."""
    found = []
    for pair, between in meetings(lift).items():
        place = lift.first_below_zero(between.batch, between.single, end)
        if place is not None:
            found.append((place, pair))
            end = place
    return min(found) if found else None


def choose_travel(dice, project, lift):
    """Sets the travel and gives (project, lift) again; None if nothing useful can be asked for."""
    limits = lift.dead_points()
    most = abs(lift.turn(limits[0])) if limits else 2 * math.pi
    contact = first_contact(lift, limits[0] if limits else None)
    if contact:
        most = min(most, abs(lift.turn(contact[0])) + math.radians(dice.uniform(0, 3)))
    sign = math.copysign(1.0, project["linkage"]["travel_deg"])
    kind = dice.random()
    if kind < 0.3:
        project["linkage"]["travel_deg"] = "to_stop"
        lift = Lift(project)
        stop = first_contact(lift)
        passes_dead_point = stop and limits and limits[0] < stop[0]
        if stop is None or (abs(lift.turn(stop[0])) < math.radians(12) and not passes_dead_point):
            return None
    elif kind < 0.4 and limits:
        missing = math.radians(dice.uniform(0.5, 20))
        wanted = abs(lift.turn(limits[0])) + missing
        project["linkage"]["travel_deg"] = round(sign * math.degrees(wanted), 4)
    elif kind < 0.55 and contact:
        # Parked just short of the contact, as a lift that stops on its fold would be.
        short = math.radians(dice.uniform(0.0, 0.3))
        project["linkage"]["travel_deg"] = round(math.degrees(lift.turn(contact[0]) - sign * short), 4)
    else:
        project["linkage"]["travel_deg"] = round(sign * math.degrees(most) * dice.uniform(0.4, 0.99), 4)
    if project["linkage"]["travel_deg"] != "to_stop" and abs(project["linkage"]["travel_deg"]) < 12:
        return None
    return project, lift


def parked_place(lift):
    """(place, missing turn) at the end of the travel that the project asks for."""
    wanted = lift.project["linkage"]["travel_deg"]
    if wanted == "to_stop":
        return first_contact(lift)[0], 0.0
    return lift.first_turn(math.radians(wanted))


def furnish(dice, project, lift):
    """Ceiling, beams, what to uncover; False where the lift has nowhere to go."""
    parked, _ = parked_place(lift)
    if not worth_having(lift, parked):
        return False
    poses = lift.poses_by_s(parked, 25)
    moving = parts(lift)
    room = project["room"]
    hung = panel_corners(project, poses[0])
    top = max(max(y for _, y in hung), project["linkage"]["wall_upper"][1] + 40)
    bottom = min(min(y for _, y in hung), project["linkage"]["wall_lower"][1] - 40)
    room["outline"] = outline(dice, round(top + dice.uniform(5, 500), 2), round(bottom - dice.uniform(50, 600), 2))
    room["solids"] = [
        {"name": f"beam {k + 1}", "outline": beam(dice, top)} for k in range(dice.choice([0, 0, 1, 1, 2]))
    ]
    if not room["solids"]:
        del room["solids"]
    if dice.random() < 0.7:
        room["clearance"] = round(dice.uniform(2, 40), 1)
    if dice.random() < 0.7:
        low = round(dice.uniform(bottom, top - 200), 1)
        room["uncover"] = {"name": "hatch", "bottom": low, "top": round(low + dice.uniform(100, 600), 1)}
    if not all(shapely.Polygon(solid["outline"]).is_valid for solid in room.get("solids", [])):
        return False
    fixed = Room(project)
    if any(fixed.touch(part).single(poses[0]) < 0.3 for part in moving.values()):
        return False
    # With its ceiling and beams a lift to its stop may park earlier.
    parked, _ = parked_place(lift)
    if not worth_having(lift, parked):
        return False
    poses = lift.poses_by_s(parked, 25)
    for part in moving.values():
        # Never through its own wall, never so deep in a beam that nobody would draw it.
        if fixed.wall is not None and min(fixed.to_wall(part, poses)) < -1e-6:
            return False
        if fixed.has_rest() and min(fixed.to_rest(part, poses)) < -25.0:
            return False
        if fixed.wall is None and min(fixed.touch(part).batch(poses)) < -1e-6:
            return False
    return True


def worth_having(lift, parked):
    """Whether the travel is one that somebody would build."""
    passes_dead_point = any(t < parked - 1e-6 for t in lift.dead_points())
    return abs(lift.turn(parked)) > math.radians(5) or passes_dead_point


def outline(dice, corner, shelf):
    """Floor, wall and ceiling."""
    reach = 2600
    rise = math.tan(math.radians(dice.uniform(5, 50)))
    kind = dice.random()
    wall = [[0, 0], [0, corner]]
    if kind < 0.3:
        return [*wall, [reach, corner]]
    if kind < 0.6:
        return [*wall, [reach, round(corner + rise * reach, 2)]]
    if kind < 0.7:
        bend = round(dice.uniform(300, 900), 2)
        return [*wall, [bend, round(corner + rise * bend, 2)], [reach, round(corner + rise * bend, 2)]]
    if kind < 0.8:
        return [*wall, [reach, round(corner - 0.1 * rise * reach, 2)]]
    if kind < 0.9:
        # A soffit over the lift, then a higher ceiling.
        return [*wall, [400, corner], [400, corner + 350], [reach, corner + 350]]
    if kind < 0.95:
        # Three points on the wall: the run has two edges.
        return [[0, 0], [0, 600], [0, corner], [reach, round(corner + 0.5 * rise * reach, 2)]]
    # A shelf below: the walk does not begin on the wall face, so there is no wall run.
    return [[120, 0], [120, shelf], [0, shelf], [0, corner], [reach, corner]]


def beam(dice, top):
    """A rectangle, a triangle or an angle, turned, somewhere out in the room."""
    x, y = dice.uniform(150, 1300), dice.uniform(top - 300, top + 500)
    w, h = dice.uniform(40, 220), dice.uniform(40, 220)
    shape = dice.choice([
        [(0, 0), (w, 0), (w, h), (0, h)],
        [(0, 0), (w, 0), (0.4 * w, h)],
        [(0, 0), (w, 0), (w, 0.4 * h), (0.4 * w, 0.4 * h), (0.4 * w, h), (0, h)],
    ])
    if dice.random() < 0.5:
        shape = shape[::-1]
    angle = math.radians(dice.uniform(-45, 45)) if dice.random() < 0.6 else 0.0
    c, s = math.cos(angle), math.sin(angle)
    return [[round(x + c * px - s * py, 2), round(y + s * px + c * py, 2)] for px, py in shape]
