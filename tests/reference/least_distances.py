"""Least distances of panel, panel bar and arms to room and wall, by dense sampling in NumPy.

Every edge of the room and of its solids apart: all its dips between coarse poses are sampled again
with 20,000 poses. Distances are between straight segments, exact at every pose; where a part
reaches into something, Shapely shrinks that until the part just reaches what is left.
"""

import numpy as np

from dense_poses import DensePoses
from own_distances import crossing, sides, to_segment, whole_rings
from reference_room import Room, parts

# Poses of the whole travel, and then around every dip.
COARSE, FINE = 1200, 20_000
# Distances that vary less than this from pose to pose are level, mm.
LEVEL_MM = 1e-9
# What is promised of a least distance, mm; and how exact the reference's own figure is, where parts
# are apart and where they overlap.
CERTIFIED_MM = 0.01
APART_MM, DEPTH_MM = 1e-8, 1e-5
# A lift to its stop parks at a contact, and that is known to this, mm.
AT_STOP_MM = 2e-6
# Poses in a row of the search for the deepest point, and rows.
ROW, ROWS = 24, 4

MOVING = ("panel", "panel_bar", "lower_arm", "upper_arm")
TOLD = {"panel": MOVING[:1], "bars": MOVING[1:]}


class LeastDistances:
    """The least distances of one lift to what is fixed, checked."""

    def __init__(self, lift, parked, findings):
        self.lift, self.parked, self.told = lift, parked, findings["clearance"]
        self.room = Room(lift.project)
        self.parts = parts(lift)
        self.rings = {name: np.array(ring, float) for name, ring in whole_rings(lift).items()}
        self.at_stop = lift.project["linkage"]["travel_deg"] == "to_stop"
        self.coarse = self.poses(np.linspace(0.0, parked, COARSE))
        self.differences, self.compared, self.figures = [], 0, {}

    def all(self):
        for words, against in (("", "rest"), ("_to_wall", "wall")):
            for kind, names in TOLD.items():
                self.kind(kind + words, names, against)
        return self.differences

    def say(self, good, text):
        self.compared += 1
        if not good:
            self.differences.append(text)

    def kind(self, kind, names, against):
        told = self.told[kind]
        exists = self.room.has_rest() if against == "rest" else self.room.wall is not None
        self.say((told is not None) == exists, f"clearance.{kind}: told {told}")
        if told is None or not exists:
            return
        least = {name: self.least(name, against) for name in names}
        name, (mm, _) = min(least.items(), key=lambda item: item[1][0])
        deep = mm <= 0
        over = DEPTH_MM if deep else AT_STOP_MM if self.at_stop else APART_MM
        # Depths are found from samples: no more than what a step between two of them can hide.
        under = CERTIFIED_MM + (DEPTH_MM if deep else 0.0)
        self.say(mm - under <= told["mm"] <= mm + over,
                 f"clearance.{kind}: told {told['mm']!r} ({told['part']}, s {told['s']:.6f}), least seen {mm!r} ({name})")
        self.say(told["part"] in names and least[told["part"]][0] <= told["mm"] + CERTIFIED_MM + over,
                 f"clearance.{kind}: told of the {told['part']}, whose least is {least.get(told['part'])}")
        self.figures[f"{kind}, {'overlap' if deep else 'least distance'} told less seen, mm"] = told["mm"] - mm

    # Distances ----------------------------------------------------------------------------------------

    def least(self, name, against):
        """(least distance, place on the curve) of one part."""
        t = self.coarse.t
        rows = [(piece, self.values(self.coarse, name, piece)) for piece in self.pieces(against)]
        best, place = min((float(values.min()), float(t[values.argmin()])) for _, values in rows)
        for at, span, k, piece in sorted(dip for row in rows for dip in dips(*row)):
            if best <= 0:
                return self.deepest(name, against)
            if at - span > best or span < LEVEL_MM:
                continue
            fine = self.poses(np.linspace(t[max(k - 1, 0)], t[min(k + 1, len(t) - 1)], FINE))
            around = self.values(fine, name, piece)
            if around.min() < best:
                best, place = float(around.min()), float(fine.t[around.argmin()])
        return (best, place) if best > 0 else self.deepest(name, against)

    def pieces(self, against):
        if against == "wall":
            return segments(self.room.wall)
        return segments(self.room.rest) + [piece for solid in self.room.solids for piece in segments(solid.boundary)]

    def poses(self, t):
        return DensePoses(self.lift, t)

    def values(self, poses, name, piece):
        """Distance of a part to one edge at every pose; zero or less where they meet."""
        shape = self.shape(poses, name)
        a, b = (np.broadcast_to(np.array(end), (len(poses.t), 2)) for end in piece)
        best = np.min([to_segment(shape[:, k], a, b) for k in range(shape.shape[1])], axis=0)
        for c, d in sides(shape):
            for point in (a, b):
                best = np.minimum(best, to_segment(point, c, d))
            best = np.where(crossing(a, b, c, d), 0.0, best)
        return best - self.parts[name].radius

    def shape(self, poses, name):
        if name in self.rings:
            return poses.in_room("panel_bar", self.rings[name])
        pivot, end = {
            "lower_arm": (self.lift.wall_lower, poses.panel_lower),
            "upper_arm": (self.lift.wall_upper, poses.panel_upper),
        }[name]
        return np.stack([np.broadcast_to(np.array(pivot), end.shape), end], axis=1)

    def deepest(self, name, against):
        """(minus the depth of the deepest point, place on the curve)."""
        part = self.parts[name]
        measure = {"rest": self.room.to_rest, "wall": self.room.to_wall}[against]
        at = lambda places: measure(part, [self.lift.pose_at(t) for t in places])  # noqa: E731
        low, high, best, place = 0.0, self.parked, np.inf, 0.0
        for _ in range(ROWS):
            row = np.linspace(low, high, ROW)
            values = at(row)
            k = int(values.argmin())
            if values[k] < best:
                best, place = float(values[k]), float(row[k])
            low, high = row[max(k - 1, 0)], row[min(k + 1, ROW - 1)]
        return best, place


def dips(piece, values):
    """(value, change to its neighbours, index, piece) of every pose that none beside it is below."""
    count = len(values)
    inner = (values[1:-1] <= values[:-2]) & (values[1:-1] <= values[2:])
    for k in [0, *(np.nonzero(inner)[0] + 1), count - 1]:
        yield float(values[k]), float(np.ptp(values[max(k - 1, 0): k + 2])), int(k), piece


def segments(line):
    """Straight pieces of lines, ((x, y), (x, y)) each."""
    if line is None:
        return []
    found = []
    for one in getattr(line, "geoms", [line]):
        corners = list(one.coords)
        found += list(zip(corners, corners[1:]))
    return found
