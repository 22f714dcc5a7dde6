"""Lands and shoulders: what is cut bears at parked, all along, and overlaps nowhere on the way.

Random lapped lifts that fold nose on flank are asked to go a little beyond that touch with a land,
and short of it with a shoulder in either bar. Layers are taken from the findings and put where the
poses of the findings say.
"""

import copy
import json
import math
import random

import shapely
import shapely.affinity

from lift_maker import random_lift
from outline_with_arcs import polygon, stadium
from program import GOLDEN, check

POSES = 401
# Outlines are drawn by chords that lie up to 0.001 mm outside of them.
DRAWN_MM = 0.002
OVERLAP_MM2 = 1e-3
# Of the face told, what must bear at parked.
BEARS = 0.97
CLEARANCE_MM = 0.02
FREE_DEG = 3.0
ARMS = ("lower_arm", "upper_arm")


def placed(shape, project, pose, name):
    """A shape of a bar's own frame in side view."""
    linkage = project["linkage"]
    if name in ARMS:
        x, y = linkage["wall_lower" if name == "lower_arm" else "wall_upper"]
        turn = math.radians(pose[f"{name}_deg"])
    elif name == "panel_bar":
        x, y, turn = pose["x"], pose["y"], -math.radians(pose["tilt_deg"])
    else:
        return shape
    cos, sin = math.cos(turn), math.sin(turn)
    return shapely.affinity.affine_transform(shape, [cos, -sin, sin, cos, x, y])


class Stop:
    """One stop, checked."""

    def __init__(self, project):
        self.project = project
        self.findings = check(project, POSES)
        self.stop = self.findings["stop"]
        self.differences, self.compared = [], 0

    def say(self, good, text):
        self.compared += 1
        if not good:
            self.differences.append(text)

    def layer(self, name, layer):
        rows = [row for row in self.findings["solids"] if (row["bar"], row["layer"]) == (name, layer)]
        return shapely.union_all([polygon(piece) for row in rows for piece in row["pieces"]])

    def land(self):
        stop, land = self.stop, self.stop["land"]
        depth = self.project["bars"][land["cut_in"]]["width"] / 8
        self.say(0 < land["depth_mm"] <= depth, f"land {land['depth_mm']} deep, at most {depth}")
        self.say(abs(stop["travel_deg"] - self.findings["travel_deg"]) < 1e-9, "does not bear at parked")
        for layer in ("inner", "outer"):
            self.free_all_the_way(*ARMS, layer)
        other = ARMS[1 - ARMS.index(land["cut_in"])]
        self.bears(land["cut_in"], other, "outer", stop["face_mm"])

    def shoulder(self):
        arm, bar = self.stop["parts"]
        self.say(abs(self.stop["travel_deg"] - self.findings["travel_deg"]) < 1e-9, "does not bear at parked")
        self.free_all_the_way(bar, arm, "outer")
        self.free_all_the_way(arm, bar, "inner")
        self.bears(bar, arm, "outer", self.stop["face_mm"])
        self.keeps_clear(bar, arm)

    def free_all_the_way(self, one, other, layer):
        first, second = self.layer(one, layer), self.layer(other, layer).buffer(-DRAWN_MM)
        worst = 0.0
        for pose in self.findings["poses"]:
            both = placed(first, self.project, pose, one), placed(second, self.project, pose, other)
            worst = max(worst, both[0].intersection(both[1]).area)
        self.say(worst < OVERLAP_MM2, f"{one} and {other}, {layer}: overlap by {worst:.4f} mm2")

    def bears(self, cut, other, layer, face):
        pose = self.findings["poses"][-1]
        edge = placed(self.layer(cut, layer), self.project, pose, cut).boundary
        onto = placed(self.layer(other, layer), self.project, pose, other)
        touching = edge.intersection(onto.buffer(2 * DRAWN_MM)).length
        self.say(touching > BEARS * face, f"{cut}: {touching:.3f} mm bear at parked, {face:.3f} told")

    def keeps_clear(self, bar, arm):
        """Until 3 degrees before parked, arm against bar."""
        rest, whole = self.layer(bar, "outer"), self.layer(arm, "outer")
        wanted = self.project["bars"].get("running_clearance", 0.5) - CLEARANCE_MM
        relative = lambda pose: pose[f"{arm}_deg"] + (pose["tilt_deg"] if bar == "panel_bar" else 0.0)  # noqa: E731
        end = relative(self.findings["poses"][-1])
        poses = [pose for pose in self.findings["poses"] if abs(relative(pose) - end) > FREE_DEG + 0.01]
        apart = [placed(rest, self.project, pose, bar).distance(placed(whole, self.project, pose, arm)) for pose in poses]
        nearest = min(apart, default=math.inf)
        self.say(nearest >= wanted, f"{bar} and {arm}: {nearest:.4f} mm apart, {wanted + CLEARANCE_MM} wanted")


def compare(seed):
    """(how many of each kind, figures compared, differences) of one seed."""
    dice = random.Random(f"bearing {seed}")
    project, _ = random_lift(seed)
    kinds, compared, differences = [], 0, []
    if project["bars"]["build"] != "lapped":
        return kinds, compared, differences
    # Few of them stop on their arms with a ceiling in the way.
    project["room"] = {"outline": [[0, 0], [0, 9000]]}
    project["linkage"]["travel_deg"] = "to_stop"
    bare = check(project, 3)["stop"]
    turn = bare["travel_deg"]
    if bare["kind"] != "nose_on_flank" or abs(turn) < 20:
        return kinds, compared, differences
    land = copy.deepcopy(project)
    land["bars"]["stop_land"] = True
    land["linkage"]["travel_deg"] = turn + math.copysign(dice.uniform(0.05, 0.4), turn)
    found = Stop(land)
    if found.stop["kind"] == "land":
        found.land()
        kinds.append("land")
    compared += found.compared
    differences += found.differences
    for bar in ("wall_bar", "panel_bar"):
        for arm in ARMS:
            shoulder = copy.deepcopy(project)
            shoulder["bars"]["stop_pair"] = dice.sample([bar, arm], 2)
            shoulder["linkage"]["travel_deg"] = turn * dice.uniform(0.5, 0.97)
            found = Stop(shoulder)
            if found.stop["kind"] == "shoulder":
                found.shoulder()
                kinds.append("shoulder")
            compared += found.compared
            differences += [f"shoulder of {arm} in {bar}: {line}" for line in found.differences]
    return kinds, compared, differences


def unnoticed():
    """The checks must be able to fail: solids without the land, and a shoulder with the land's arms."""
    project = json.loads((GOLDEN / "chapel-hatch" / "project.overarm.json").read_text(encoding="utf-8"))
    missed = []
    project["linkage"]["travel_deg"] = 116.45
    whole = check(project, 3)["solids"]
    project["bars"]["stop_land"] = True
    land = Stop(project)
    land.land()
    if land.differences:
        missed += [f"land of the chapel hatch board: {line}" for line in land.differences]
    land.findings["solids"] = whole
    land.land()
    if not land.differences:
        missed.append("a land that is not cut: not noticed")
    project["bars"]["stop_pair"] = ["upper_arm", "wall_bar"]
    project["linkage"]["travel_deg"] = 110.0
    shoulder = Stop(project)
    shoulder.findings["solids"] = whole
    shoulder.shoulder()
    if not shoulder.differences:
        missed.append("a shoulder that is cut away: not noticed")
    return missed


def compare_all(first, count):
    for seed in range(first, first + count):
        yield seed, *compare(seed)


if __name__ == "__main__":
    import sys

    totals = {}
    for seed, kinds, compared, differences in compare_all(*(int(word) for word in sys.argv[1:3])):
        for kind in kinds:
            totals[kind] = totals.get(kind, 0) + 1
        if differences:
            print(seed, *differences, sep="\n  ")
    print(totals)
