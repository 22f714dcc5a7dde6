"""What `overarm check --json` should say of a project, worked out apart, and where it says otherwise.

Tolerances: angles 1e-6 degrees, positions 1e-6 mm, the turn at a contact 1e-6 rad, lengths 1e-6 mm,
distances at a pose 1e-6 mm (0.01 mm where parts overlap: the depth is found by shrinking the solid),
2e-5 mm and 1e-5 degrees for a lift to its stop, because parked is a contact there,
least distances over the travel never above the reference and at most 0.01 mm below.
"""

import math

import numpy as np
from scipy.optimize import minimize_scalar

from lift_maker import first_contact, kind_of_stop, parked_place, told_kind
from reference_room import Room, lowest, parts

ANGLE_DEG = 1e-6
PLACE_MM = 1e-6
# A contact is found to 1e-7 mm between the parts; at a shallow angle that moves the pose by more.
PLACE_AT_STOP_MM = 2e-5
ANGLE_AT_STOP_DEG = 1e-5
CONTACT_RAD = 1e-6
DEPTH_MM = 0.01
CERTIFIED_MM = 0.01
# The reference's own least distance is found to this, mm: what the program may lie above it.
REFERENCE_MM = 2e-6
# Poses of the dense sampling; every dip between them is then followed to its bottom.
DENSE = 361

BARS = ("lower_arm", "upper_arm", "panel_bar")


class Comparison:
    """Compares the findings of one project with the reference; collects what differs."""

    def __init__(self, lift, findings):
        self.lift = lift
        self.project = lift.project
        self.findings = findings
        self.moving = parts(lift)
        self.room = Room(lift.project)
        self.parked, self.missing = parked_place(lift)
        self.differences = []
        self.compared = 0

    def all(self):
        self.lengths()
        self.poses()
        self.clearances()
        self.stop()
        self.rules()
        return self.differences

    def near(self, field, found, expected, tolerance):
        self.compared += 1
        if expected is None or found is None:
            if expected is not found:
                self.differences.append(f"{field}: program {found}, reference {expected}")
        elif not abs(found - expected) <= tolerance:
            self.differences.append(f"{field}: program {found!r}, reference {expected!r}, off by {abs(found - expected):.3g}")

    def same(self, field, found, expected):
        self.compared += 1
        if found != expected:
            self.differences.append(f"{field}: program {found!r}, reference {expected!r}")

    # ----------------------------------------------------------------------------------------

    def lengths(self):
        for name in ("lower_arm", "upper_arm", "panel_bar", "wall_bar"):
            self.near(f"lengths_mm.{name}", self.findings["lengths_mm"][name], getattr(self.lift, name), PLACE_MM)
        self.same("class", self.findings["class"], self.lift.barker())

    def poses(self):
        found = self.findings["poses"]
        poses = self.lift.poses_by_s(self.parked, len(found))
        to_stop = self.project["linkage"]["travel_deg"] == "to_stop"
        place, angle = (PLACE_AT_STOP_MM, ANGLE_AT_STOP_DEG) if to_stop else (PLACE_MM, ANGLE_DEG)
        panel = self.distances(["panel"], poses)
        bars = self.distances(BARS, poses)
        for k, (row, pose) in enumerate(zip(found, poses)):
            at = f"poses[{k}]"
            self.near(f"{at}.s", row["s"], k / (len(found) - 1), 1e-9)
            self.near(f"{at}.lower_arm_deg", row["lower_arm_deg"], math.degrees(pose.lower), angle)
            self.near(f"{at}.upper_arm_deg", row["upper_arm_deg"], math.degrees(pose.upper), angle)
            self.near(f"{at}.x", row["x"], pose.origin[0], place)
            self.near(f"{at}.y", row["y"], pose.origin[1], place)
            self.near(f"{at}.tilt_deg", row["tilt_deg"], math.degrees(pose.tilt), angle)
            self.near(f"{at}.transmission_deg", row["transmission_deg"],
                      math.degrees(self.lift.transmission(pose)), angle)
            for name, values in (("panel_to_room_mm", panel), ("bars_to_room_mm", bars)):
                expected = None if values is None else float(values[k])
                touching = expected is not None and min(expected, row[name] or 0.0) <= 0
                tolerance = DEPTH_MM if touching else place
                self.near(f"{at}.{name}", row[name], expected, tolerance)

    def distances(self, names, poses):
        if not self.room.has_rest():
            return None
        return np.min([self.room.to_rest(self.moving[name], poses) for name in names], axis=0)

    def clearances(self):
        kinds = {
            "panel": (["panel"], self.room.to_rest, self.room.has_rest()),
            "bars": (BARS, self.room.to_rest, self.room.has_rest()),
            "panel_to_wall": (["panel"], self.room.to_wall, self.room.wall is not None),
            "bars_to_wall": (BARS, self.room.to_wall, self.room.wall is not None),
        }
        # In equal steps of the curve itself: the least distance does not depend on s.
        places = np.linspace(0.0, self.parked, DENSE)
        poses = [self.lift.pose_at(t) for t in places]
        self.least = {}
        for kind, (names, measure, exists) in kinds.items():
            found = self.findings["clearance"][kind]
            if not exists:
                self.same(f"clearance.{kind}", found, None)
                continue
            least = min(self.follow_dips(self.moving[name], measure, places, poses) for name in names)
            self.least[kind] = least
            if found is None:
                self.same(f"clearance.{kind}", found, least)
                continue
            self.compared += 1
            deep = DEPTH_MM if least < 0 else 0.0
            if not least - CERTIFIED_MM - deep <= found["mm"] <= least + REFERENCE_MM + deep:
                self.differences.append(f"clearance.{kind}.mm: program {found['mm']!r}, reference {least!r}")
            if found["mm"] > 0:
                apart = math.dist(*found["points"])
                self.near(f"clearance.{kind}.points", apart, found["mm"], CERTIFIED_MM)
            at = self.at_s(found["s"])
            there = min(float(measure(self.moving[name], [at])[0]) for name in names)
            self.near(f"clearance.{kind}.s", there, found["mm"], CERTIFIED_MM + deep)

    def follow_dips(self, part, measure, places, poses):
        values = measure(part, poses)
        best = float(values.min())
        for i in range(1, len(values) - 1):
            drop = abs(values[i - 1] - values[i]) + abs(values[i + 1] - values[i])
            if values[i] <= values[i - 1] and values[i] <= values[i + 1] and values[i] - drop < best and drop > 1e-9:
                best = min(best, self.bottom(part, measure, places[i - 1], places[i + 1]))
        for i, j in ((0, 1), (len(values) - 1, len(values) - 2)):
            if values[i] <= values[j] and values[i] - abs(values[j] - values[i]) < best and values[j] - values[i] > 1e-9:
                best = min(best, self.bottom(part, measure, *sorted((places[i], places[j]))))
        return best

    def bottom(self, part, measure, low, high):
        at = lambda t: float(measure(part, [self.lift.pose_at(t)])[0])  # noqa: E731
        return float(minimize_scalar(at, bounds=(low, high), method="bounded", options={"xatol": 1e-10}).fun)

    def at_s(self, s):
        """The pose nearest in s among finely spaced ones: close enough to judge a distance."""
        return self.lift.pose_at(self.lift.place_of_s(self.parked, s))

    def stop(self):
        stop = self.findings["stop"]
        to_stop = self.project["linkage"]["travel_deg"] == "to_stop"
        limits = self.lift.dead_points()
        # Parked at a dead point (the travel asks too much) counts as the first one beyond.
        beyond = [t for t in limits if t > self.parked - 1e-6]
        end = None if to_stop or not beyond else beyond[0]
        contact = first_contact(self.lift, end)
        self.contact = contact
        self.same("stop.found", stop["found"], contact is not None)
        if contact is None or not stop["found"]:
            return
        place, pair = contact
        turn = self.lift.turn(place)
        self.same("stop.parts", sorted(stop["parts"]), sorted(pair))
        self.near("stop.travel_deg", stop["travel_deg"], math.degrees(turn), math.degrees(CONTACT_RAD))
        after = [t for t in limits if t > place]
        reach = math.degrees(abs(self.lift.turn(after[0]) - turn)) if after else None
        self.near("stop.dead_point_beyond_deg", stop["dead_point_beyond_deg"], reach, 2 * math.degrees(CONTACT_RAD))
        self.same("stop.kind", stop["kind"], told_kind(pair))

    def rules(self):
        rules = {rule["rule"]: rule for rule in self.findings["rules"]}
        parked = self.lift.pose_at(self.parked)
        margins = {"assembles": (-math.degrees(self.missing), 1e-6)}
        hung = self.lift.pose(self.lift.hung)
        margins["hangs_flat"] = (math.degrees(self.lift.transmission(hung)) - 5.0, 1e-6)
        uncover = self.project["room"].get("uncover")
        margins["uncovers"] = (lowest(self.lift, parked) - uncover["top"] if uncover else None, 1e-5)
        wanted = self.project["room"].get("clearance", 15.0)
        rest = [self.least[k] for k in ("panel", "bars") if k in self.least]
        margins["clears_room"] = (min(rest) - wanted if rest else None, 0.011)
        margins["clears_wall"] = (self.wall_margin(), 0.011)
        margins["stops_on_fold"] = (self.fold_margin(), 2e-4)
        if not self.folds():
            # Nothing stops the fold, or room or wall bar do: no number says how far it is off.
            self.same("rules.stops_on_fold.holds", rules["stops_on_fold"]["holds"], False)
        for name, (margin, tolerance) in margins.items():
            rule = rules[name]
            self.near(f"rules.{name}.margin", rule["margin"], margin, tolerance)
            if margin is not None and abs(margin) > tolerance:
                self.same(f"rules.{name}.holds", rule["holds"], margin > 0)
        failing = any(rule["holds"] is False for rule in self.findings["rules"])
        self.same("verdict", self.findings["verdict"], "fails" if failing else "holds")

    def wall_margin(self):
        """Of the two limits at the wall the one that is worse for its size."""
        if "panel_to_wall" not in self.least:
            return None
        running = self.project["bars"].get("running_clearance", 0.5)
        limits = [(self.least["panel_to_wall"], self.project["panel"]["hung"]["standoff"] - 1.0),
                  (self.least["bars_to_wall"], running)]
        return min(((least - wanted) / wanted, least - wanted) for least, wanted in limits)[1]

    def folds(self):
        return self.contact is not None and kind_of_stop(self.contact[1]) in ("nose_on_flank", "panel")

    def fold_margin(self):
        if not self.folds():
            return None
        turns = self.lift.turn(self.contact[0]), self.lift.turn(self.parked)
        first = self.contact[0] < self.parked
        beyond = math.degrees(abs(turns[0] - turns[1])) * (-1 if first else 1)
        return min(beyond, 0.2 - beyond)
