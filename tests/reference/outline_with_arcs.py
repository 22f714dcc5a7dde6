"""Closed outlines of lines and arcs, [[x, y, bulge], …] as the findings give them.

Bulge = tan(angle / 4) of the arc to the next vertex, counter-clockwise positive.
"""

import math
from dataclasses import dataclass

import numpy as np
import shapely

# Sagitta of the chords that stand for an arc, mm.
SAGITTA_MM = 0.001


@dataclass(frozen=True)
class Edge:
    """From one vertex to the next."""

    start: tuple
    end: tuple
    bulge: float

    @property
    def chord(self):
        return math.dist(self.start, self.end)

    @property
    def turn(self):
        """Angle of the arc, counter-clockwise positive."""
        return 4.0 * math.atan(self.bulge)

    @property
    def length(self):
        turn = abs(self.turn)
        return self.chord if turn < 1e-9 else self.radius * turn

    @property
    def radius(self):
        half = abs(self.turn) / 2
        return math.inf if half < 1e-12 else self.chord / (2 * math.sin(half))

    def heading(self, at_end):
        """Direction of the edge at its start or end."""
        chord = math.atan2(self.end[1] - self.start[1], self.end[0] - self.start[0])
        return chord + (0.5 if at_end else -0.5) * self.turn

    def points(self):
        """Start and what follows, without the end. Never inside the material that the edge bounds:
        a bulging arc is drawn a sagitta outside itself, a hollow one by its chords."""
        turn, radius = self.turn, self.radius
        if not math.isfinite(radius) or abs(turn) < 1e-9:
            return [self.start]
        step = 2.0 * math.acos(max(1.0 - SAGITTA_MM / radius, 0.5))
        count = max(2, math.ceil(abs(turn) / step))
        middle = self.centre()
        size = radius / math.cos(turn / count / 2) if turn > 0 else radius
        first = math.atan2(self.start[1] - middle[1], self.start[0] - middle[0])
        if turn > 0:
            # Tangents between the touching points, so that the polygon holds the arc.
            angles = [first + turn * (k + 0.5) / count for k in range(count)]
            return [self.start, *((middle[0] + size * math.cos(a), middle[1] + size * math.sin(a)) for a in angles)]
        angles = [first + turn * k / count for k in range(1, count)]
        return [self.start, *((middle[0] + size * math.cos(a), middle[1] + size * math.sin(a)) for a in angles)]

    def centre(self):
        dx, dy = self.end[0] - self.start[0], self.end[1] - self.start[1]
        chord = self.chord
        left = (-dy / chord, dx / chord)
        away = self.radius * math.cos(self.turn / 2) * math.copysign(1.0, self.bulge)
        return ((self.start[0] + self.end[0]) / 2 + away * left[0],
                (self.start[1] + self.end[1]) / 2 + away * left[1])


def edges(piece):
    return [Edge((a[0], a[1]), (b[0], b[1]), a[2]) for a, b in zip(piece, piece[1:] + piece[:1])]


def polygon(piece):
    """A Shapely polygon that holds the outline and lies within `SAGITTA_MM` of it."""
    return shapely.Polygon([point for edge in edges(piece) for point in edge.points()])


def together(pieces):
    return shapely.union_all([polygon(piece) for piece in pieces]) if pieces else shapely.Polygon()


def inside_corners(piece, radius, tolerance):
    """What a round cutter of a radius could not have made: (hollow arcs too tight, hollow kinks).

    A kink of an angle a leaves such a cutter r (1/cos(a/2) - 1) short of the corner."""
    found = []
    around = edges(piece)
    for edge, after in zip(around, around[1:] + around[:1]):
        if edge.bulge < 0 and edge.radius < radius - tolerance and sagitta(edge) > tolerance:
            found.append(f"hollow arc of radius {edge.radius:.4f} at {near(edge.start)}, cutter {radius:.4f}")
        kink = math.remainder(after.heading(False) - edge.heading(True), 2 * math.pi)
        if kink < 0 and radius * (1 / math.cos(kink / 2) - 1) > tolerance:
            found.append(f"inside corner of {math.degrees(-kink):.2f} degrees at {near(edge.end)}, not rounded")
    return found


def sagitta(edge):
    return edge.radius * (1 - math.cos(abs(edge.turn) / 2))


def near(point):
    return f"({point[0]:.3f}, {point[1]:.3f})"


def rectangle(low, high):
    return [[low[0], low[1], 0.0], [high[0], low[1], 0.0], [high[0], high[1], 0.0], [low[0], high[1], 0.0]]


def stadium(length, radius):
    return [[0.0, -radius, 0.0], [length, -radius, 1.0], [length, radius, 0.0], [0.0, radius, 1.0]]


def coordinates(shape):
    return np.array(shape.exterior.coords[:-1])
