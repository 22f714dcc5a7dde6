"""Least distances of a lift's own parts to each other, by dense sampling in NumPy.

Parts count where they share a layer; the panel covers every layer. Distances apart are exact at
every pose sampled; where parts overlap the figure is the negative depth of the deepest point.
"""

import math

import numpy as np
import shapely
from scipy.optimize import brentq

from dense_poses import DensePoses

# Poses of the whole travel, and then around every minimum.
COARSE, FINE = 1200, 20_000
# Outlines farther apart than this at all of a dense row of poses do not cross between them, mm.
FAR_APART_MM = 1.0
# Distances that vary less than this from pose to pose are level, mm.
LEVEL_MM = 1e-9
# The stop pair may come nearer than the running clearance within this of its contact.
FREE_BEFORE_STOP_DEG = 3.0


class OwnDistances:
    """Every pair's distance at the poses of a lift; parts by the names of the findings."""

    def __init__(self, lift, parked, contact):
        self.lift, self.parked, self.contact = lift, parked, contact
        bars = lift.project["bars"]
        self.radius = {name: bars[name]["width"] / 2 for name in ("lower_arm", "upper_arm")}
        self.rings = whole_rings(lift)
        self.pairs = [("lower_arm", "panel"), ("upper_arm", "panel"), ("wall_bar", "panel"), ("wall_bar", "panel_bar")]
        if bars["build"] == "lapped":
            self.pairs.append(("lower_arm", "upper_arm"))

    def end(self, pair):
        """How far along the curve a pair counts."""
        # Parts that meet the wall bar do not fold: nothing is free for them.
        if self.contact is None or set(self.contact[1]) != set(pair) or pair[0] == "wall_bar":
            return self.parked
        place = self.contact[0]
        turn = self.lift.turn(place)
        reach = math.radians(FREE_BEFORE_STOP_DEG)
        short = lambda t: abs(self.lift.turn(t) - turn) - reach  # noqa: E731
        # Back from the contact until the lower arm is 3 degrees away; no farther than its dead point.
        grid = np.linspace(place, 0.0, 400)
        last = place
        limits = [t for t in self.lift.dead_points() if t < place]
        stop_at = limits[-1] if limits else 0.0
        for t in grid[1:]:
            if t < stop_at:
                return min(stop_at, self.parked)
            if short(t) >= 0:
                return min(brentq(short, t, last, xtol=1e-12), self.parked)
            last = t
        return 0.0

    def values(self, pair, t):
        """Distance of a pair at places on the curve; below zero where they overlap."""
        poses = DensePoses(self.lift, t)
        one, other = (self.shape(poses, name) for name in pair)
        apart = rings_apart(one, other)
        return apart - sum(self.radius.get(name, 0.0) for name in pair)

    def shape(self, poses, name):
        """Corners at every pose, (N, V, 2); an arm is its axis."""
        if name in self.radius:
            wall, pivot = {
                "lower_arm": (self.lift.wall_lower, poses.panel_lower),
                "upper_arm": (self.lift.wall_upper, poses.panel_upper),
            }[name]
            return np.stack([np.broadcast_to(np.array(wall), pivot.shape), pivot], axis=1)
        if name == "wall_bar":
            ring = np.array(self.rings[name], float)
            return np.broadcast_to(ring, (len(poses.t), *ring.shape))
        return poses.in_room("panel_bar", self.rings[name])

    def least(self, pair):
        """(least distance, place on the curve) up to where the pair counts."""
        end = self.end(pair)
        t = np.linspace(0.0, end, COARSE)
        values = self.values(pair, t)
        if values.min() <= 0 and pair != ("lower_arm", "upper_arm"):
            return self.deepest(pair, t, values)
        best, place = float(values.min()), float(t[values.argmin()])
        inner = (values[1:-1] <= values[:-2]) & (values[1:-1] <= values[2:])
        dips = [k + 1 for k in np.nonzero(inner)[0]] + [0, len(t) - 1]
        for k in sorted(dips, key=lambda k: values[k]):
            low, high = t[max(k - 1, 0)], t[min(k + 1, len(t) - 1)]
            span = np.ptp(values[max(k - 1, 0): k + 2])
            # A round end about its own pivot keeps its distance: rounding only, no dip.
            if values[k] - span > best or span < LEVEL_MM or high <= low:
                continue
            fine = np.linspace(low, high, FINE)
            around = self.values(pair, fine)
            if around.min() < best:
                best, place = float(around.min()), float(fine[around.argmin()])
        return best, place

    def deepest(self, pair, t, values):
        """The deepest point of the second part in the first (an arm: of the arm in the panel)."""
        touching = np.nonzero(values <= 0)[0]
        low, high = t[max(touching[0] - 1, 0)], t[min(touching[-1] + 1, len(t) - 1)]
        best, place = 0.0, low
        for _ in range(3):
            grid = np.linspace(low, high, 60)
            depths = [self.depth(pair, x) for x in grid]
            k = int(np.argmax(depths))
            best, place = max((best, place), (float(depths[k]), float(grid[k])))
            low, high = grid[max(k - 1, 0)], grid[min(k + 1, 59)]
        return -best, place

    def depth(self, pair, t):
        poses = DensePoses(self.lift, [t])
        solid, mover = (pair[1], pair[0]) if pair[0] in self.radius else pair
        solid = shapely.Polygon(self.shape(poses, solid)[0])
        shape = self.shape(poses, mover)[0]
        shape = shapely.LineString(shape) if mover in self.radius else shapely.Polygon(shape)
        radius = self.radius.get(mover, 0.0)
        low, high = 0.0, math.sqrt(solid.area)
        while high - low > 1e-5:
            middle = (low + high) / 2
            core = solid.buffer(-middle, join_style="mitre")
            reached = not core.is_empty and shape.distance(core) <= radius
            low, high = (middle, high) if reached else (low, middle)
        return low


def whole_rings(lift):
    """Corners of the uncut rectangles: wall bar (side view), panel bar and panel (panel frame)."""
    project = lift.project
    wall, bar, panel = project["bars"]["wall_bar"], project["bars"]["panel_bar"], project["panel"]
    on_wall = sorted((lift.wall_lower[1], lift.wall_upper[1]))
    on_panel = sorted((lift.panel_lower[1], lift.panel_upper[1]))
    return {
        "wall_bar": box(0.0, on_wall[0] - wall["lower_end"], wall["width"], on_wall[1] + wall["upper_end"]),
        "panel_bar": box(-bar["width"], on_panel[0] - bar["lower_end"], 0.0, on_panel[1] + bar["upper_end"]),
        "panel": box(0.0, 0.0, panel["thickness"], panel["height"]),
    }


def box(x0, y0, x1, y1):
    return [(x0, y0), (x1, y0), (x1, y1), (x0, y1)]


def rings_apart(one, other):
    """Distance between two outlines of straight edges at every pose, 0 where they overlap; two
    corners are a segment, more a closed convex ring, counter-clockwise."""
    best = np.full(len(one), np.inf)
    for ring, opposite in ((one, other), (other, one)):
        for k in range(ring.shape[1]):
            for a, b in sides(opposite):
                best = np.minimum(best, to_segment(ring[:, k], a, b))
    # Outlines that cross somewhere along these poses come near each other first.
    if best.min() < FAR_APART_MM or len(best) <= COARSE:
        for a, b in sides(one):
            for c, d in sides(other):
                best = np.where(crossing(a, b, c, d), 0.0, best)
        for ring, corner in ((one, other[:, 0]), (other, one[:, 0])):
            if ring.shape[1] > 2:
                best = np.where(within(ring, corner), 0.0, best)
    return best


def sides(ring):
    count = ring.shape[1]
    if count == 2:
        return [(ring[:, 0], ring[:, 1])]
    return [(ring[:, k], ring[:, (k + 1) % count]) for k in range(count)]


def crossing(a, b, c, d):
    return (side(a, b, c) * side(a, b, d) < 0) & (side(c, d, a) * side(c, d, b) < 0)


def to_segment(p, a, b):
    ab, ap = b - a, p - a
    u = np.clip(np.sum(ab * ap, axis=1) / np.sum(ab * ab, axis=1), 0.0, 1.0)
    off = ap - u[:, None] * ab
    return np.hypot(off[:, 0], off[:, 1])


def side(a, b, p):
    return (b[:, 0] - a[:, 0]) * (p[:, 1] - a[:, 1]) - (b[:, 1] - a[:, 1]) * (p[:, 0] - a[:, 0])


def within(ring, point):
    count = ring.shape[1]
    return np.all([side(ring[:, k], ring[:, (k + 1) % count], point) >= 0 for k in range(count)], axis=0)
