"""An independent four-bar lift: the motion, found by root finding on the loop equations.

Shares no code and no method with the program: it never uses a closed form. The unknowns are
q = (lower arm's angle, upper arm's angle, panel's angle), radians, counter-clockwise from +x.
Two equations say that the arms and the panel bar close the loop; what they leave free is a
curve, and the curve is followed from the hung pose in small steps (SciPy's fsolve corrects each
step within the plane across the tangent), so an arm's dead point is passed like any other pose.

Millimetres and radians; side view: x out of the wall, y up.
"""

import math
from dataclasses import dataclass

import numpy as np
from scipy.optimize import brentq, fsolve, minimize_scalar

# Longest step along the curve, radians of q. Small against every feature of a lift's motion:
# neighbouring circuits of the lifts tested lie further apart.
STEP = 0.03
# A step is halved until the tangent turns by less than this cosine over it.
STRAIGHT = math.cos(0.15)
# No circuit of a four-bar is longer than two full turns of all three angles.
LONGEST = 2.0 * 2.0 * math.pi * math.sqrt(3.0)
# Largest loop residual accepted, of the longest bar.
CLOSED = 1e-11


class NoMotion(Exception):
    """The curve cannot be followed: two circuits meet here, or root finding failed."""


@dataclass(frozen=True)
class Pose:
    """One pose; `t` is the place on the curve (table index plus fraction)."""

    t: float
    lower: float
    upper: float
    panel: float
    panel_lower: tuple
    panel_upper: tuple
    origin: tuple

    @property
    def tilt(self):
        return -self.panel


class Lift:
    """The linkage of a project: lengths, hung pose, and the curve of poses from there."""

    def __init__(self, project):
        self._place(project)
        self._follow(self._first_tangent())

    @classmethod
    def at_hung(cls, project):
        """The linkage at hung only, without its motion."""
        lift = cls.__new__(cls)
        lift._place(project)
        return lift

    def _place(self, project):
        self.project = project
        links = project["linkage"]
        hung = project["panel"]["hung"]
        self.wall_lower = tuple(links["wall_lower"])
        self.wall_upper = tuple(links["wall_upper"])
        self.panel_lower = tuple(links["panel_lower"])
        self.panel_upper = tuple(links["panel_upper"])
        x0, y0 = hung["standoff"], hung["bottom"]
        lower_end = (x0 + self.panel_lower[0], y0 + self.panel_lower[1])
        upper_end = (x0 + self.panel_upper[0], y0 + self.panel_upper[1])
        self.lower_arm = math.dist(self.wall_lower, lower_end)
        self.upper_arm = math.dist(self.wall_upper, upper_end)
        self.panel_bar = math.dist(self.panel_lower, self.panel_upper)
        self.wall_bar = math.dist(self.wall_lower, self.wall_upper)
        self.size = max(self.lower_arm, self.upper_arm, self.panel_bar, self.wall_bar)
        self.bar_angle = direction(self.panel_lower, self.panel_upper)
        self.hung = (direction(self.wall_lower, lower_end), direction(self.wall_upper, upper_end), 0.0)

    # The loop equations -------------------------------------------------------------------

    def gap(self, q):
        """Where the lower arm and panel bar put the upper panel pivot, minus where the upper arm
        puts it, in units of the longest bar."""
        lower, upper, panel = q
        bar = panel + self.bar_angle
        return (
            (self.wall_lower[0] + self.lower_arm * math.cos(lower) + self.panel_bar * math.cos(bar)
             - self.wall_upper[0] - self.upper_arm * math.cos(upper)) / self.size,
            (self.wall_lower[1] + self.lower_arm * math.sin(lower) + self.panel_bar * math.sin(bar)
             - self.wall_upper[1] - self.upper_arm * math.sin(upper)) / self.size,
        )

    def slopes(self, q):
        """Derivatives of `gap` by q."""
        lower, upper, panel = q
        bar = panel + self.bar_angle
        a, b, c = self.lower_arm / self.size, self.panel_bar / self.size, self.upper_arm / self.size
        return (
            (-a * math.sin(lower), c * math.sin(upper), -b * math.sin(bar)),
            (a * math.cos(lower), -c * math.cos(upper), b * math.cos(bar)),
        )

    def tangent(self, q):
        """Unit vector along the curve: what both slopes are blind to. Its sense is arbitrary."""
        (a0, a1, a2), (b0, b1, b2) = self.slopes(q)
        v = (a1 * b2 - a2 * b1, a2 * b0 - a0 * b2, a0 * b1 - a1 * b0)
        length = math.sqrt(v[0] ** 2 + v[1] ** 2 + v[2] ** 2)
        if length < 1e-9:
            raise NoMotion("two circuits meet")
        return (v[0] / length, v[1] / length, v[2] / length)

    # The curve ----------------------------------------------------------------------------

    def _first_tangent(self):
        """At hung, towards the travel that the project asks for."""
        tangent = self.tangent(self.hung)
        wanted = self.project["linkage"]["travel_deg"]
        if wanted != "to_stop" and abs(tangent[0]) > 1e-9 and wanted != 0:
            forward = tangent[0] * wanted > 0
        else:
            forward = self._mass_goes_out(tangent)
        return tangent if forward else tuple(-v for v in tangent)

    def _mass_goes_out(self, tangent):
        """Whether the panel's centre of mass leaves the wall first in this sense, at hung."""
        mass_y = self.project["panel"]["centre_of_mass"][1]
        end = -self.lower_arm * math.sin(self.hung[0]) * tangent[0]
        return end - (mass_y - self.panel_lower[1]) * tangent[2] > 0

    def _follow(self, tangent):
        """Tabulates the whole circuit, hung to hung again: `points` and `tangents`."""
        q, h, length = self.hung, STEP, 0.0
        start, first = q, tangent
        points, tangents = [q], [tangent]
        self.loops = False
        while length < LONGEST:
            found = self._step(q, tangent, h)
            if found is None:
                h /= 2
                if h < 1e-7:
                    raise NoMotion(f"lost the curve at {q}")
                continue
            q, tangent = found
            length += h
            points.append(q)
            tangents.append(tangent)
            h = min(STEP, h * 2)
            back = [math.remainder(q[i] - start[i], 2 * math.pi) for i in range(3)]
            ahead = sum(b * f for b, f in zip(back, first))
            if length > 10 * STEP and max(map(abs, back)) < 1.5 * STEP and ahead >= 0:
                self.loops = True
                break
        self.points = np.array(points)
        self.tangents = np.array(tangents)

    def _step(self, q, tangent, h):
        guess = tuple(q[i] + h * tangent[i] for i in range(3))
        next_q = self._on_plane(guess, tangent, guess)
        if next_q is None:
            return None
        next_tangent = self.tangent(next_q)
        along = sum(a * b for a, b in zip(tangent, next_tangent))
        if along < 0:
            next_tangent, along = tuple(-v for v in next_tangent), -along
        off = math.dist(guess, next_q)
        if along < STRAIGHT or off > 0.2 * h:
            return None
        return next_q, next_tangent

    def _on_plane(self, guess, normal, through):
        """Root of the loop equations in the plane through a point; None if it is not found."""

        def equations(q):
            gap = self.gap(q)
            return [gap[0], gap[1], sum(normal[i] * (q[i] - through[i]) for i in range(3))]

        def derivatives(q):
            slopes = self.slopes(q)
            return [slopes[0], slopes[1], normal]

        q = fsolve(equations, guess, fprime=derivatives, xtol=1e-10, full_output=True)[0]
        q = tuple(map(float, q))
        if max(map(abs, equations(q))) > CLOSED:
            return None
        return q

    def q_at(self, t):
        """The root at a place on the curve, t = table index plus fraction."""
        i = min(max(int(math.floor(t)), 0), len(self.points) - 2)
        here, ahead = self.points[i], self.points[i + 1]
        normal = tuple(self.tangents[i])
        u, chord = t - i, ahead - here
        through = here + u * chord
        # Root finding starts on the cubic through both table points with their tangents.
        length = math.sqrt(float(np.dot(chord, chord)))
        bend = u * (1 - u) * ((1 - u) * (length * self.tangents[i] - chord) - u * (length * self.tangents[i + 1] - chord))
        q = self._on_plane(tuple(through + bend), normal, tuple(through))
        if q is None:
            raise NoMotion(f"no root at {t}")
        return q

    def pose_at(self, t):
        return self.pose(self.q_at(t), t)

    def pose(self, q, t=math.nan):
        lower, upper, panel = q
        end = (self.wall_lower[0] + self.lower_arm * math.cos(lower),
               self.wall_lower[1] + self.lower_arm * math.sin(lower))
        upper_end = (self.wall_upper[0] + self.upper_arm * math.cos(upper),
                     self.wall_upper[1] + self.upper_arm * math.sin(upper))
        back = turned(self.panel_lower, panel)
        origin = (end[0] - back[0], end[1] - back[1])
        return Pose(t, lower, upper, panel, end, upper_end, origin)

    def rate_at(self, t):
        """dq/dt at a place on the curve."""
        i = min(max(int(math.floor(t)), 0), len(self.points) - 2)
        tangent = self.tangent(self.q_at(t))
        along = float(np.dot(tangent, self.tangents[i]))
        length = float(np.dot(self.points[i + 1] - self.points[i], self.tangents[i]))
        return tuple(v * length / along for v in tangent)

    # Places on the curve ------------------------------------------------------------------

    def turn(self, t):
        """Net turn of the lower arm since hung."""
        return self.q_at(t)[0] - self.hung[0]

    def dead_points(self):
        """Places where the lower arm's turn is at a limit, in the order of the path."""
        rates = self.tangents[:, 0]
        places = []
        for i in np.nonzero(rates[:-1] * rates[1:] < 0)[0]:
            sense = self.tangents[i]

            def rate(t):
                tangent = self.tangent(self.q_at(t))
                return tangent[0] * math.copysign(1.0, float(np.dot(tangent, sense)))

            places.append(brentq(rate, i, i + 1, xtol=1e-13))
        return places

    def first_turn(self, wanted):
        """(place, missing turn): the first pose with that turn, or the nearest to it."""
        turns = self.points[:, 0] - self.hung[0]
        limits = self.dead_points()
        end = math.ceil(limits[0]) if limits else len(turns) - 1
        reach = turns[: end + 1] * math.copysign(1.0, wanted)
        past = np.nonzero(reach >= abs(wanted))[0]
        if limits:
            most = abs(self.turn(limits[0]))
            if most < abs(wanted):
                return limits[0], abs(wanted) - most
            high = past[0] if len(past) else limits[0]
            high = min(high, limits[0])
        elif len(past):
            high = past[0]
        else:
            return float(len(turns) - 1), abs(wanted) - float(reach[-1])
        low = max(0, math.ceil(high) - 1)
        return brentq(lambda t: self.turn(t) - wanted, low, high, xtol=1e-13), 0.0

    def first_below_zero(self, batch, single, end=None):
        """The first place where a distance falls to zero, before `end`.

        `batch(poses)` gives the distance at many poses, `single(pose)` at one. Dips between two
        table places are looked into; None if the distance stays above zero. What overlaps from the
        start stops nothing until it has come apart.
        """
        last = len(self.points) - 1 if end is None else min(len(self.points) - 1, math.ceil(end))
        end = last if end is None else end
        values = batch([self.pose(q) for q in self.points[: last + 1]])
        at = lambda t: single(self.pose_at(t))  # noqa: E731
        apart = next((i for i, value in enumerate(values) if value > 0), last)
        for i in range(apart, last):
            if values[i + 1] <= 0:
                place = first_touch(at, i, i + 1)
                return place if place <= end else None
            dip = apart < i and values[i] < values[i - 1] and values[i] <= values[i + 1]
            if dip and values[i] < abs(values[i - 1] - values[i]) + abs(values[i + 1] - values[i]):
                low = minimize_scalar(at, bounds=(i - 1, i + 1), method="bounded", options={"xatol": 1e-9})
                if low.fun <= 0:
                    place = first_touch(at, i - 1, low.x)
                    return place if place <= end else None
        return None

    def poses_by_s(self, parked, count):
        """`count` poses at equal steps of s, hung to a parked place."""
        measure = self._measure(parked)
        places = [self._invert(measure, parked, k / (count - 1)) for k in range(count)]
        return [self.pose_at(t) for t in places]

    def place_of_s(self, parked, s):
        """The place on the curve at a fraction of the travel."""
        return self._invert(self._measure(parked), parked, s)

    def _measure(self, parked):
        """(s at the table places, s at any place): the turn where it goes one way only, else the
        length of path in both arms' angles."""
        if any(1e-9 < t < parked - 1e-9 for t in self.dead_points()):
            return self._arc(parked)
        whole = self.turn(parked)
        return (self.points[:, 0] - self.hung[0]) / whole, lambda t: self.turn(t) / whole

    def _invert(self, measure, parked, s):
        table, exact = measure
        if s <= 0.0 or s >= 1.0:
            return 0.0 if s <= 0.0 else parked
        i = int(np.searchsorted(table[: math.ceil(parked)], s)) - 1
        return brentq(lambda t: exact(t) - s, i, min(i + 1, parked), xtol=1e-13)

    def _arc(self, parked):
        """Share of the length of path in (lower, upper) angles: at table places, and anywhere."""
        nodes, weights = np.polynomial.legendre.leggauss(5)

        def piece(low, high):
            half = (high - low) / 2
            rates = [self.rate_at(low + half * (1 + x)) for x in nodes]
            return half * sum(w * math.hypot(r[0], r[1]) for w, r in zip(weights, rates))

        count = math.ceil(parked)
        sums = np.concatenate([[0.0], np.cumsum([piece(i, i + 1) for i in range(count)])])
        whole = sums[count - 1] + piece(count - 1, parked)

        def measure(t):
            i = min(int(math.floor(t)), count - 1)
            return (sums[i] + piece(i, t)) / whole

        return sums / whole, measure

    # Figures ------------------------------------------------------------------------------

    def transmission(self, pose):
        """Acute angle between the panel bar's pivot line and the upper arm's."""
        between = math.remainder(pose.panel + self.bar_angle - pose.upper, math.pi)
        return abs(between)

    def barker(self):
        """Barker's class from the signs of the three sums."""
        a, b, c, d = self.lower_arm, self.panel_bar, self.upper_arm, self.wall_bar
        sums = (d + b - a - c, c + d - a - b, b + c - a - d)
        if any(abs(v) <= 1e-9 * self.size for v in sums):
            return "change point"
        names = {"--+": "GCCC", "+++": "GCRR", "-+-": "GRCR", "+--": "GRRC",
                 "++-": "RRR1", "---": "RRR2", "+-+": "RRR3", "-++": "RRR4"}
        return names["".join("+" if v > 0 else "-" for v in sums)]


def first_touch(distance, apart, touching):
    """The place between one apart and one touching, by halving: where two polygons overlap their
    distance stays zero, so there is no sign to look for."""
    while touching - apart > 1e-11:
        middle = (apart + touching) / 2
        if distance(middle) <= 0:
            touching = middle
        else:
            apart = middle
    return touching


def direction(start, end):
    return math.atan2(end[1] - start[1], end[0] - start[0])


def turned(point, angle):
    c, s = math.cos(angle), math.sin(angle)
    return (c * point[0] - s * point[1], s * point[0] + c * point[1])
