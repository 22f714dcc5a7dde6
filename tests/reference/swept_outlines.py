"""The swept outlines told, against a dense union in Shapely.

A rectangle between two poses: its four edges each rule a strip from one to the next, a quadrangle
or, where the two places of the edge cross, two triangles. The rectangle when hung and all strips
are united. What that union is off the true region, either way, is bounded: corners leave their
chords by an eighth of their second difference, and lines ruled between two crossing places of an
edge pass their crossing by at most a quarter of step times turn. An arm turns about its wall pivot:
its region is the sector of its axis, thickened.

The outline told must lie within the union grown by what is allowed, and the union within the
outline grown so; both less the union's own error. Areas are compared too.
"""

import math

import numpy as np
import shapely

from dense_poses import DensePoses
from own_distances import whole_rings

# What an outline may be off the true one, mm, and its area, as a share.
ALLOWED_MM, ALLOWED_SHARE = 0.05, 0.0005
# Steps of the union, doubled until its own error is below the limit.
STEPS, MOST_STEPS = 1000, 16_000
UNION_MM = 0.02
# Chords of a thickened arm: at a radius of 15 mm off by 0.0003 mm.
QUARTER = 128
# Points along an outline at which its distance is told, mm.
SPACING_MM = 1.0


class SweptOutlines:
    """The swept outlines of one lift, checked."""

    def __init__(self, lift, parked, findings):
        self.lift, self.parked, self.told = lift, parked, findings["swept"]
        self.differences, self.compared, self.figures = [], 0, {}

    def all(self):
        rings = whole_rings(self.lift)
        panel, error = self.rectangle(rings["panel"])
        self.compare("panel", panel, error)
        bar, error = self.rectangle(rings["panel_bar"])
        arms = [self.arm(name) for name in ("lower_arm", "upper_arm")]
        bars = shapely.union_all([bar, *(shape for shape, _ in arms)])
        self.compare("bars", bars, max(error, *(error for _, error in arms)))
        return self.differences

    def say(self, good, text):
        self.compared += 1
        if not good:
            self.differences.append(text)

    # What is swept --------------------------------------------------------------------------------

    def rectangle(self, ring):
        """(region, its error) of a rectangle in the panel frame."""
        steps = STEPS
        while True:
            poses = DensePoses(self.lift, np.linspace(0.0, self.parked, steps + 1))
            places = poses.in_room("panel_bar", np.array(ring, float))
            bend = np.linalg.norm(np.diff(places, 2, axis=0), axis=2).max() / 8
            motion = np.linalg.norm(np.diff(places, axis=0), axis=2).max(axis=1)
            error = bend + (motion * np.abs(np.diff(poses.panel))).max() / 4
            if error <= UNION_MM or steps >= MOST_STEPS:
                break
            steps *= 2
        pieces = [shapely.polygons(places[[0, -1]])]
        for k in range(4):
            pieces += strips(places[:, k], places[:, (k + 1) % 4])
        pieces = np.concatenate(pieces)
        return shapely.union_all(pieces[shapely.area(pieces) > 0]), error

    def arm(self, name):
        """(region, its error) of an arm."""
        poses = DensePoses(self.lift, np.linspace(0.0, self.parked, 4 * STEPS + 1))
        pivot, angles, tips = {
            "lower_arm": (self.lift.wall_lower, poses.lower, poses.panel_lower),
            "upper_arm": (self.lift.wall_upper, poses.upper, poses.panel_upper),
        }[name]
        length, radius = getattr(self.lift, name), self.lift.project["bars"][name]["width"] / 2
        low, high = int(angles.argmin()), int(angles.argmax())
        turned = angles[high] - angles[low]
        # Between the outermost of the angles seen; where an arm turns back the next one may lie
        # outside them by the second difference.
        between = np.linspace(angles[low], angles[high], max(3, math.ceil(turned / 5e-4) + 1))
        arc = np.array(pivot) + length * np.stack([np.cos(between), np.sin(between)], axis=1)
        ends = [shapely.LineString([pivot, tips[k]]).buffer(radius, quad_segs=QUARTER) for k in (low, high)]
        rim = shapely.LineString(arc).buffer(radius, quad_segs=QUARTER)
        sector = shapely.Polygon([pivot, *arc]).buffer(0) if turned < math.pi else shapely.union_all(
            [shapely.Polygon([pivot, *arc[k: k + 2]]) for k in range(len(arc) - 1)])
        bend = np.abs(np.diff(angles, 2)).max() / 8 * length
        chord = length * (between[1] - between[0]) ** 2 / 8
        around = radius * (1 - math.cos(math.pi / 4 / QUARTER))
        return shapely.union_all([*ends, rim, sector]), bend + chord + around

    # Against what is told ---------------------------------------------------------------------------

    def compare(self, name, true, error):
        self.say(error <= UNION_MM, f"swept {name}: the reference's own error is {error:.4f} mm")
        contours = self.told[name]["contours"]
        told = region(contours)
        area = self.told[name]["area_mm2"]
        signed = sum(signed_area(contour) for contour in contours)
        self.say(abs(signed - area) <= 1e-6 * area and abs(told.area - area) <= 1e-6 * area,
                 f"swept {name}: area told {area!r}, of the contours {signed!r}, of the region {told.area!r}")
        share = told.area / true.area - 1
        self.say(abs(share) <= ALLOWED_SHARE, f"swept {name}: area {told.area:.1f} mm2, reference {true.area:.1f}, "
                                              f"off by {100 * share:.4f} %")
        allowed = ALLOWED_MM - error
        out, short = farthest(told, true), farthest(true, told)
        self.say(true.buffer(allowed).covers(told), f"swept {name}: lies {at(out)} outside the true region")
        self.say(told.buffer(allowed).covers(true), f"swept {name}: leaves out what lies {at(short)} outside it")
        self.figures[f"swept {name}, outside the true one, mm"] = out[0]
        self.figures[f"swept {name}, short of the true one, mm"] = short[0]
        self.figures[f"swept {name}, area off, %"] = 100 * share


def strips(start, end):
    """What an edge rules from each pose to the next; its two ends at all poses, (N, 2) each."""
    a0, b0, a1, b1 = start[:-1], end[:-1], start[1:], end[1:]
    left = cross(b0 - a0, a1 - a0)
    right = cross(b0 - a0, b1 - a0)
    swaps = left * right < 0
    along = np.divide(left, left - right, out=np.zeros_like(left), where=swaps)
    x = a1 + along[:, None] * (b1 - a1)
    return [
        shapely.polygons(np.stack([a0, b0, b1, a1], axis=1)[~swaps]),
        shapely.polygons(np.stack([a0, a1, x], axis=1)[swaps]),
        shapely.polygons(np.stack([b0, b1, x], axis=1)[swaps]),
    ]


def cross(u, v):
    return u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0]


def region(contours):
    """Outer contours less holes, by the way they are wound. A contour may touch itself; one that
    crosses itself gives another area than its own."""
    polygons = [(shapely.make_valid(shapely.Polygon(contour), method="structure", keep_collapsed=False),
                 signed_area(contour) > 0) for contour in contours]
    outer, holes = ([shape for shape, is_outer in polygons if is_outer == wanted] for wanted in (True, False))
    return shapely.union_all(outer).difference(shapely.union_all(holes))


def signed_area(contour):
    x, y = np.array(contour).T
    x, y = x - x[0], y - y[0]
    return float(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y)) / 2


def farthest(inner, outer):
    """(distance, place) of the point of one outline that lies farthest outside another."""
    points = shapely.points(shapely.get_coordinates(shapely.segmentize(inner, SPACING_MM)))
    shapely.prepare(outer)
    apart = np.zeros(len(points))
    out = ~shapely.covers(outer, points)
    apart[out] = shapely.distance(outer, points[out])
    k = int(apart.argmax())
    return float(apart[k]), points[k]


def at(found):
    return f"{found[0]:.4f} mm (at {found[1].x:.2f}, {found[1].y:.2f})"
