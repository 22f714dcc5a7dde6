"""Distances of the moving parts, measured by Shapely.

The panel and the panel bar are polygons, an arm is its axis less its half width, the room is its
edges and solids. Millimetres, side view.
"""

import math

import numpy as np
import shapely

from reference_lift import turned

# How far the ends of the room's outline are carried on: out of reach of every lift.
FAR = 1e5
# What still counts as the wall face, mm.
ON_WALL = 0.01


def panel_corners(project, pose):
    panel = project["panel"]
    return carried([(0, 0), (panel["thickness"], 0), (panel["thickness"], panel["height"]), (0, panel["height"])], pose)


def panel_bar_corners(project, pose):
    bar, links = project["bars"]["panel_bar"], project["linkage"]
    heights = sorted((links["panel_lower"][1], links["panel_upper"][1]))
    low, high = heights[0] - bar["lower_end"], heights[1] + bar["upper_end"]
    return carried([(-bar["width"], low), (0, low), (0, high), (-bar["width"], high)], pose)


def carried(points, pose):
    """From the panel frame to the side view."""
    moved = []
    for point in points:
        x, y = turned(point, pose.panel)
        moved.append((pose.origin[0] + x, pose.origin[1] + y))
    return moved


class Part:
    """A moving part: its shape at a pose is a polygon or a segment, thickened by `radius`."""

    def __init__(self, radius, coordinates, closed):
        self.radius = radius
        self.coordinates = coordinates
        self.closed = closed

    def shapes(self, poses):
        rings = np.array([self.coordinates(pose) for pose in poses])
        return shapely.polygons(rings) if self.closed else shapely.linestrings(rings)


def parts(lift):
    """Panel, panel bar, lower and upper arm of a lift."""
    project = lift.project
    bars = project["bars"]
    return {
        "panel": Part(0.0, lambda pose: panel_corners(project, pose), True),
        "panel_bar": Part(0.0, lambda pose: panel_bar_corners(project, pose), True),
        "lower_arm": Part(bars["lower_arm"]["width"] / 2, lambda pose: [lift.wall_lower, pose.panel_lower], False),
        "upper_arm": Part(bars["upper_arm"]["width"] / 2, lambda pose: [lift.wall_upper, pose.panel_upper], False),
    }


def wall_bar(lift):
    """The wall bar, which stays where it is."""
    bar = lift.project["bars"]["wall_bar"]
    heights = sorted((lift.wall_lower[1], lift.wall_upper[1]))
    low, high = heights[0] - bar["lower_end"], heights[1] + bar["upper_end"]
    corners = [(0.0, low), (bar["width"], low), (bar["width"], high), (0.0, high)]
    return Part(0.0, lambda pose: corners, True)


class Between:
    """Distance between two moving parts; below zero they overlap (the figure then is no depth)."""

    def __init__(self, one, other):
        self.one, self.other = one, other

    def batch(self, poses):
        apart = shapely.distance(self.one.shapes(poses), self.other.shapes(poses))
        return apart - self.one.radius - self.other.radius

    def single(self, pose):
        return float(self.batch([pose])[0])


class Room:
    """The fixed things of a project, split into the wall run and all the rest."""

    def __init__(self, project):
        room = project["room"]
        line = [tuple(map(float, p)) for p in room["outline"]]
        run = 0
        while run < len(line) and abs(line[run][0]) <= ON_WALL:
            run += 1
        # One point on the wall alone makes no run.
        self.run = run if run >= 2 else 0
        line = [beyond(line[1], line[0]), *line[1:-1], beyond(line[-2], line[-1])] if len(line) > 2 else [
            beyond(line[1], line[0]), beyond(line[0], line[1])]
        edges = list(zip(line, line[1:]))
        wall = edges[: self.run - 1] if self.run else []
        rest = edges[len(wall):]
        self.wall = shapely.MultiLineString(wall) if wall else None
        self.rest = shapely.MultiLineString(rest) if rest else None
        self.solids = [shapely.Polygon(solid["outline"]) for solid in room.get("solids", [])]
        far = 3 * FAR
        self.mass = shapely.Polygon([*line, (line[-1][0], far), (-far, far), (-far, line[0][1])])

    def has_rest(self):
        return self.rest is not None or bool(self.solids)

    def to_rest(self, part, poses):
        """Least distance of a part to every edge after the wall run and every solid, per pose;
        below zero the depth of the deepest point."""
        shapes = part.shapes(poses)
        least = np.full(len(poses), np.inf)
        if self.rest is not None:
            apart = shapely.distance(shapes, self.rest) - part.radius
            # Behind the wall run is the wall's matter, not the ceiling's.
            for i in np.nonzero((apart <= 0) | shapely.within(shapes, self.mass))[0]:
                apart[i] = -self._depth(shapes[i], part.radius, self.mass)
            least = np.minimum(least, apart)
        for solid in self.solids:
            apart = shapely.distance(shapes, solid) - part.radius
            for i in np.nonzero(apart <= 0)[0]:
                apart[i] = -self._depth(shapes[i], part.radius, solid)
            least = np.minimum(least, apart)
        return least

    def to_wall(self, part, poses):
        """Least distance of a part to the wall run, per pose; below zero the depth behind it."""
        shapes = part.shapes(poses)
        apart = shapely.distance(shapes, self.wall) - part.radius
        low = shapely.bounds(shapes)[:, 0] - part.radius
        behind = (apart <= 0) & (low < 0)
        return np.where(behind, low, apart)

    def touch(self, part):
        """Distance of a part to everything fixed, wall included; zero or less where they meet."""
        return Touch(self, part)

    @staticmethod
    def _depth(shape, radius, solid):
        """How far the deepest point of the thickened shape lies inside a solid: the solid is shrunk
        until the shape just reaches what is left of it."""
        low, high = 0.0, min(extent(shape) + 2 * radius, extent(solid))
        while high - low > 1e-6:
            middle = (low + high) / 2
            core = solid.buffer(-middle, join_style="round", quad_segs=128)
            reached = not core.is_empty and shape.distance(core) <= radius
            low, high = (middle, high) if reached else (low, middle)
        return low


def extent(shape):
    least_x, least_y, most_x, most_y = shape.bounds
    return math.hypot(most_x - least_x, most_y - least_y)


class Touch:
    """Distance of a moving part to the whole room (below zero the figure is no depth)."""

    def __init__(self, room, part):
        self.part = part
        self.fixed = shapely.union_all([room.mass, *room.solids])

    def batch(self, poses):
        return shapely.distance(self.part.shapes(poses), self.fixed) - self.part.radius

    def single(self, pose):
        return float(self.batch([pose])[0])


def beyond(start, end):
    """The outline's end point carried straight on."""
    length = math.dist(start, end)
    return (end[0] + (end[0] - start[0]) / length * FAR, end[1] + (end[1] - start[1]) / length * FAR)


def lowest(lift, pose):
    """Lowest point of panel and arms at a pose."""
    bars = lift.project["bars"]
    return min(
        min(y for _, y in panel_corners(lift.project, pose)),
        min(lift.wall_lower[1], pose.panel_lower[1]) - bars["lower_arm"]["width"] / 2,
        min(lift.wall_upper[1], pose.panel_upper[1]) - bars["upper_arm"]["width"] / 2,
    )
