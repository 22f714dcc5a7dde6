"""First touches of every pair of parts, by dense sampling in NumPy and brackets narrowed to rounding.

The program tells one stop. Asked with `bars.stop_pair` for each pair in turn it tells them all:
arm on arm, arm on panel, panel and panel bar on the wall bar, every moving part on the room, and a
stop pin on whatever it can meet.
"""

import copy
import math
import random

import numpy as np

from dense_poses import DensePoses
from least_distances import segments
from lift_maker import told_kind
from own_distances import rings_apart, to_segment, whole_rings, within
from program import check
from reference_room import Room

CONTACT_RAD = 1e-6
# Both points of a touch are the same place but for what a contact's place is off, mm.
SAME_PLACE_MM = 1e-5
# Poses of the whole search, and of each narrower one.
COARSE, FINE = 6000, 400
# A bracket narrower than this share of the curve's step is a point.
NARROWEST = 1e-13
# Gaps that only just open or close, mm: a touch so slight that rounding decides whether it is one.
GRAZING_MM = 1e-7

ARMS = ("lower_arm", "upper_arm")
BARS = ("wall_bar", "panel_bar", *ARMS)


def with_pin(seed, project):
    """A project with a stop pin: beside an arm or a bar, where the others may pass."""
    dice = random.Random(f"pin {seed}")
    project = copy.deepcopy(project)
    bar = dice.choice([*ARMS, *ARMS, *BARS])
    half = project["bars"][bar]["width"] / 2
    diameter = round(dice.uniform(4, 20), 2)
    along = dice.uniform(30, 600) if bar in ARMS else dice.uniform(-60, 200)
    off = half + dice.uniform(-4, 30)
    at = [round(along, 2), round(dice.choice([-1, 1]) * off, 2)]
    project["bars"]["stop_pin"] = {"bar": bar, "at": at, "diameter": diameter}
    return project


class FirstContacts:
    """The first touches of one lift, checked."""

    def __init__(self, seed, lift, parked):
        self.lift, self.parked = lift, parked
        self.project = with_pin(seed, lift.project)
        bars = self.project["bars"]
        self.pin = bars["stop_pin"]
        self.radius = {name: bars[name]["width"] / 2 for name in ARMS}
        self.rings = {name: np.array(ring, float) for name, ring in whole_rings(lift).items()}
        room = Room(self.project)
        self.fixed = [piece for line in (room.wall, room.rest, *(solid.boundary for solid in room.solids))
                      for piece in segments(line)]
        limits = [t for t in lift.dead_points() if t > parked - 1e-6]
        to_stop = self.project["linkage"]["travel_deg"] == "to_stop"
        self.end = len(lift.points) - 1.0 if to_stop or not limits else limits[0]
        self.differences, self.compared, self.figures = [], 0, {}

    def all(self):
        found = {pair: self.first(pair) for pair in self.pairs()}
        by_parts = {}
        for (parts, by_pin), place in found.items():
            if place is not None:
                by_parts.setdefault(frozenset(parts), []).append((place, parts, by_pin))
        # With no pair named whichever touches first stops; a pair that never touches stops nothing.
        every = [touch for touches in by_parts.values() for touch in touches]
        self.ask(None, min(every, default=None))
        for parts in sorted({tuple(sorted(parts)) for parts, _ in found}):
            if not self.asks_for_shoulder(parts):
                self.ask(list(parts), min(by_parts.get(frozenset(parts), []), default=None))
        return self.differences

    def pairs(self):
        """(parts, by the pin) of everything that can touch."""
        pairs = [((arm, "panel"), False) for arm in ARMS]
        pairs += [((name, "room"), False) for name in ("panel", "panel_bar", *ARMS)]
        pairs += [(("wall_bar", name), False) for name in ("panel", "panel_bar")]
        if self.project["bars"]["build"] == "lapped":
            pairs.append((ARMS, False))
        carrier = self.pin["bar"]
        fixed = {carrier} | ({"panel"} if carrier == "panel_bar" else set())
        pairs += [((carrier, name), True) for name in (*BARS, "panel") if name not in fixed]
        return pairs

    def asks_for_shoulder(self, parts):
        """An arm and a bar named in a lapped lift that goes to a number of degrees: its relief stops
        it, at parked, whatever the pin does. The solids are checked for that."""
        arm_and_bar = len(set(parts) & set(ARMS)) == 1 and len(set(parts) & set(BARS)) == 2
        return (arm_and_bar and self.project["bars"]["build"] == "lapped"
                and self.project["linkage"]["travel_deg"] != "to_stop")

    def ask(self, pair, expected):
        self.judge(pair, expected, self.stop(pair))

    def stop(self, pair):
        project = copy.deepcopy(self.project)
        if pair:
            project["bars"]["stop_pair"] = pair
        return check(project, poses=2)["stop"]

    def judge(self, pair, expected, stop):
        self.compared += 1
        name = "any pair" if pair is None else " and ".join(pair)
        if expected is None or not stop["found"]:
            if (expected is None) == stop["found"]:
                self.differences.append(f"first touch of {name}: told {self.words(stop)}, reference {self.where(expected)}")
            return
        place, parts, by_pin = expected
        off = math.radians(stop["travel_deg"]) - self.lift.turn(place)
        self.figures["first touch, rad off"] = max(self.figures.get("first touch, rad off", 0.0), abs(off))
        kind = "pin" if by_pin else told_kind(parts)
        same = abs(off) <= CONTACT_RAD and tuple(stop["parts"]) == parts and stop["kind"] == kind
        if not same:
            self.differences.append(f"first touch of {name}: told {self.words(stop)}, reference {self.where(expected)}, "
                                    f"off by {off:.3g} rad")
        apart = math.dist(*stop["points"])
        self.compared += 1
        if apart > SAME_PLACE_MM:
            self.differences.append(f"first touch of {name}: its two points are {apart:.3g} mm apart")

    @staticmethod
    def words(stop):
        return f"{stop['kind']} of {stop['parts']} at {stop['travel_deg']}" if stop["found"] else "none"

    def where(self, found):
        if found is None:
            return "none"
        place, parts, by_pin = found
        return f"{'pin, ' if by_pin else ''}{' and '.join(parts)} at {math.degrees(self.lift.turn(place))!r}"

    # The first place where a pair touches ---------------------------------------------------------------

    def first(self, pair):
        t = np.linspace(0.0, self.end, COARSE)
        gaps = self.gaps(pair, t)
        for k in range(1, len(t)):
            if gaps[k - 1] > 0 >= gaps[k]:
                return self.narrow(pair, t[k - 1], t[k])
            if k + 1 < len(t) and gaps[k] > 0 and gaps[k] <= gaps[k - 1] and gaps[k] <= gaps[k + 1]:
                low, high = t[k - 1], t[k + 1]
                found = self.within_dip(pair, low, high, gaps[k - 1: k + 2])
                if found is not None:
                    return found
        return None

    def within_dip(self, pair, low, high, gaps):
        """A touch between two poses that are apart, around one that is nearer."""
        for _ in range(4):
            if gaps.min() > np.ptp(gaps):
                return None
            t = np.linspace(low, high, FINE)
            gaps = self.gaps(pair, t)
            # Two outlines that overlap are nought apart, however deep.
            if gaps.min() <= -GRAZING_MM or (gaps <= 0).sum() > 2:
                k = int(np.nonzero(gaps <= 0)[0][0])
                return self.narrow(pair, t[k - 1], t[k])
            k = int(gaps.argmin())
            low, high = t[max(k - 1, 0)], t[min(k + 1, FINE - 1)]
            gaps = gaps[max(k - 1, 0): k + 2]
        return None

    def narrow(self, pair, low, high):
        while high - low > NARROWEST * max(1.0, self.end):
            t = np.linspace(low, high, FINE)
            k = int(np.nonzero(self.gaps(pair, t) <= 0)[0][0])
            if k == 0 or t[k - 1] == low and t[k] == high:
                break
            low, high = t[k - 1], t[k]
        return high

    # Gaps ---------------------------------------------------------------------------------------------

    def gaps(self, pair, t):
        """Distance of a pair at places on the curve; zero or less where they touch."""
        (one, other), by_pin = pair
        poses = DensePoses(self.lift, t)
        if by_pin:
            return self.to_point(poses, self.centre(poses), other) - self.pin["diameter"] / 2
        shape = self.shape(poses, one)
        radius = self.radius.get(one, 0.0)
        if other == "room":
            still = (np.broadcast_to(np.array(piece), (len(t), 2, 2)) for piece in self.fixed)
            return np.min([rings_apart(shape, piece) for piece in still], axis=0) - radius
        return rings_apart(shape, self.shape(poses, other)) - radius - self.radius.get(other, 0.0)

    def shape(self, poses, name):
        """Corners at every pose, (N, V, 2); an arm is its axis."""
        if name in ARMS:
            pivot, end = {
                "lower_arm": (self.lift.wall_lower, poses.panel_lower),
                "upper_arm": (self.lift.wall_upper, poses.panel_upper),
            }[name]
            return np.stack([np.broadcast_to(np.array(pivot), end.shape), end], axis=1)
        if name == "wall_bar":
            return np.broadcast_to(self.rings[name], (len(poses.t), 4, 2))
        return poses.in_room("panel_bar", self.rings[name])

    def centre(self, poses):
        """The pin's middle: from its bar's lower or wall-side pivot, x towards the other."""
        pivots = {
            "lower_arm": (self.lift.wall_lower, poses.panel_lower),
            "upper_arm": (self.lift.wall_upper, poses.panel_upper),
            "panel_bar": (poses.panel_lower, poses.panel_upper),
            "wall_bar": (self.lift.wall_lower, self.lift.wall_upper),
        }[self.pin["bar"]]
        start, end = (np.broadcast_to(np.array(p, float), (len(poses.t), 2)) for p in pivots)
        x = (end - start) / np.linalg.norm(end - start, axis=1)[:, None]
        y = np.stack([-x[:, 1], x[:, 0]], axis=1)
        return start + self.pin["at"][0] * x + self.pin["at"][1] * y

    def to_point(self, poses, point, name):
        shape = self.shape(poses, name)
        count = shape.shape[1]
        if count == 2:
            return to_segment(point, shape[:, 0], shape[:, 1]) - self.radius[name]
        sides = [to_segment(point, shape[:, k], shape[:, (k + 1) % count]) for k in range(count)]
        return np.where(within(shape, point), 0.0, np.min(sides, axis=0))
