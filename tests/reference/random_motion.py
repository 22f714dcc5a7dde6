"""Random lifts' swept outlines, least distances and first touches, sampled densely."""

import json
import multiprocessing
import sys
import traceback

import numpy as np

from first_contacts import FirstContacts
from least_distances import LeastDistances
from lift_maker import parked_place, random_lift
from program import GOLDEN, check
from random_lifts import kind_of
from reference_lift import Lift
from swept_outlines import SweptOutlines


def compare(seed):
    """(seed, kind of lift, figures compared, {figure: value}, differences)."""
    try:
        project, lift = random_lift(seed)
        compared, figures, differences = compare_project(seed, project, lift)
        return seed, kind_of(lift), compared, figures, differences
    except Exception:  # a crash of either side is a failed lift, named by its seed
        return seed, "none", 0, {}, [traceback.format_exc(limit=4)]


def compare_project(seed, project, lift):
    parked, _ = parked_place(lift)
    findings = check(project, poses=2)
    checks = [SweptOutlines(lift, parked, findings), LeastDistances(lift, parked, findings),
              FirstContacts(seed, lift, parked)]
    differences = [line for one in checks for line in one.all()]
    figures = {name: value for one in checks for name, value in one.figures.items()}
    return sum(one.compared for one in checks), figures, differences


def compare_all(first, count, workers=2):
    with multiprocessing.Pool(workers) as pool:
        yield from pool.imap(compare, range(first, first + count), chunksize=2)


def summary(figures):
    """Lines: the least and the largest of every figure."""
    return "\n".join(f"  {name}: {min(values):+.3g} to {max(values):+.3g} ({len(values)} lifts)"
                     for name, values in sorted(figures.items()))


def chapel():
    """Differences of the golden chapel hatch board, both builds."""
    project = json.loads((GOLDEN / "chapel-hatch" / "project.overarm.json").read_text(encoding="utf-8"))
    found = []
    for build in ("lapped", "sandwich"):
        project["bars"]["build"] = build
        found += [f"{build}: {line}" for line in compare_project(0, project, Lift(project))[2]]
    return found


def unnoticed():
    """The checks must be able to fail: the chapel board's findings, each spoilt in one place, and
    which of these went by unnoticed."""
    project = json.loads((GOLDEN / "chapel-hatch" / "project.overarm.json").read_text(encoding="utf-8"))
    lift = Lift(project)
    parked, _ = parked_place(lift)
    good = check(project, poses=2)
    missed = []
    for name, spoil in SPOILT.items():
        findings = json.loads(json.dumps(good))
        spoil(findings)
        if not (SweptOutlines(lift, parked, findings).all() or LeastDistances(lift, parked, findings).all()):
            missed.append(f"{name}: not noticed")
    for name, spoil in SPOILT_STOPS.items():
        contacts = FirstContacts(0, lift, parked)
        stop = contacts.stop(["lower_arm", "upper_arm"])
        spoil(stop)
        contacts.judge(["lower_arm", "upper_arm"], (contacts.first((("lower_arm", "upper_arm"), False)),
                                                    ("lower_arm", "upper_arm"), False), stop)
        if not contacts.differences:
            missed.append(f"{name}: not noticed")
    return missed


def shifted(contour, start, stop, by):
    """Some points of a contour moved away from its middle."""
    points = np.array(contour)
    out = points[start:stop] - points.mean(axis=0)
    points[start:stop] += by * out / np.linalg.norm(out, axis=1)[:, None]
    contour[:] = points.tolist()


def first_contour(findings, name):
    return findings["swept"][name]["contours"][0]


# Ways to spoil findings.
SPOILT = {
    "a piece of the panel's outline 0.07 mm too far out": lambda f: shifted(first_contour(f, "panel"), 60, 70, 0.07),
    "a piece of the panel's outline 0.07 mm too far in": lambda f: shifted(first_contour(f, "panel"), 60, 70, -0.07),
    "a piece of the bars' outline 0.07 mm too far out": lambda f: shifted(first_contour(f, "bars"), 5, 40, 0.07),
    "a piece of the bars' outline 0.07 mm too far in": lambda f: shifted(first_contour(f, "bars"), 5, 40, -0.07),
    "half of the panel's outline left out": lambda f: first_contour(f, "panel").__delitem__(slice(0, 100)),
    "an area off by a millionth": lambda f: f["swept"]["panel"].update(area_mm2=f["swept"]["panel"]["area_mm2"] * (1 + 2e-6)),
    "a clearance told 0.0001 mm too large": lambda f: f["clearance"]["panel"].update(
        mm=f["clearance"]["panel"]["mm"] + 0.0021),
    "a clearance told 0.011 mm too small": lambda f: f["clearance"]["bars"].update(mm=f["clearance"]["bars"]["mm"] - 0.011),
    "a clearance to the wall left out": lambda f: f["clearance"].update(panel_to_wall=None),
    "a clearance told of another bar": lambda f: f["clearance"]["bars_to_wall"].update(part="upper_arm"),
}
SPOILT_STOPS = {
    "a touch 2e-6 rad off": lambda stop: stop.update(travel_deg=stop["travel_deg"] + 1.2e-4),
    "a touch left out": lambda stop: stop.update(found=False),
    "a touch of another kind": lambda stop: stop.update(kind="pin"),
    "points apart": lambda stop: stop["points"][0].__setitem__(0, stop["points"][0][0] + 1e-3),
}


if __name__ == "__main__":
    # One lift by its seed: its project on standard output, what differs on standard error.
    for word in sys.argv[1:]:
        print(json.dumps(random_lift(int(word))[0], indent=2))
        found = compare(int(word))
        print(found[1], found[3], file=sys.stderr)
        print("\n".join(found[4]) or "no difference", file=sys.stderr)
