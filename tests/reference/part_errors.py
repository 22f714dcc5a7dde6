"""Errors of made parts by a NumPy simulation of its own: sets closed on the wall by Newton's method on
the panel's place, pairs by distances between pivots, twist by a least-squares solution.

It draws with NumPy's generator, so figures of both are compared as two samples: quantiles and shares
have to agree within the interval of their difference, 95 % over all figures of all lifts together.
"""

import copy
import json
import math
import random
import statistics
import time

import numpy as np

from lift_maker import random_lift
from program import GOLDEN, check

POSES = 33
SETS = 20_000
# Of the program: what its rules are judged by.
THEIRS = 100_000
FIGURES = 4
LIFTS = 10
DIMENSIONS = ["lower_arm", "panel_bar", "upper_arm", "wall_bar", "wall_lower", "wall_upper", "panel_lower",
              "panel_upper"]
# Play, stiffness of an arm: as in the project's definitions.
ARM_STIFFNESS = 2000.0


def cross(a, b):
    return a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0]


def bar(lower, upper, length, lower_offset, upper_offset):
    """Pivots of a bar with errors: the lower keeps its height, the upper slides along the edge."""
    across = upper[0] - lower[0] + upper_offset - lower_offset
    long = math.hypot(*(upper - lower)) + length
    up = np.sqrt(long * long - across * across) * np.sign(upper[1] - lower[1])
    one = np.stack([lower[0] + lower_offset, np.full_like(up, lower[1])], axis=-1)
    return one, np.stack([one[:, 0] + across, one[:, 1] + up], axis=-1)


class Sets:
    """Many sets of one lift; errors are an array, count × 8."""

    def __init__(self, project, errors):
        link, hung = project["linkage"], project["panel"]["hung"]
        points = {name: np.array(link[name], float) for name in
                  ("wall_lower", "wall_upper", "panel_lower", "panel_upper")}
        self.hung = np.array([hung["standoff"], hung["bottom"]], float)
        e = errors.T
        self.wall = bar(points["wall_lower"], points["wall_upper"], e[3], e[4], e[5])
        self.panel = bar(points["panel_lower"], points["panel_upper"], e[1], e[6], e[7])
        self.arms = [np.linalg.norm(points["panel_" + k] + self.hung - points["wall_" + k]) + e[of]
                     for k, of in (("lower", 0), ("upper", 2))]
        self.drawn_arm = points["panel_lower"] + self.hung - points["wall_lower"]
        rests = project["panel"].get("rests", [0.0, project["panel"]["height"]])
        self.tips = [np.array([-hung["standoff"], height]) for height in rests]

    def at(self, place, point):
        c, s = np.cos(place[:, 2]), np.sin(place[:, 2])
        point = np.broadcast_to(point, (len(place), 2))
        return np.stack([place[:, 0] + c * point[:, 0] - s * point[:, 1],
                         place[:, 1] + s * point[:, 0] + c * point[:, 1]], axis=-1)

    def with_tip_on_wall(self, tip):
        """Panel places (x, y, turn) with a tip at x = 0 and both arms right, by Newton; and whether found."""
        count = len(self.arms[0])
        place = np.tile([*self.hung, 0.0], (count, 1))
        step = np.zeros((count, 3))
        for _ in range(60):
            rows, off = np.zeros((count, 3, 3)), np.zeros((count, 3))
            origin = place[:, :2]
            for arm in range(2):
                end = self.at(place, self.panel[arm])
                line = end - self.wall[arm]
                reach = end - origin
                off[:, arm] = np.einsum("ij,ij->i", line, line) - self.arms[arm] ** 2
                rows[:, arm, 0], rows[:, arm, 1] = 2 * line[:, 0], 2 * line[:, 1]
                rows[:, arm, 2] = 2 * cross(reach, line)
            there = self.at(place, tip)
            off[:, 2] = there[:, 0]
            rows[:, 2, 0], rows[:, 2, 2] = 1.0, -(there - origin)[:, 1]
            step = np.linalg.solve(rows, off[..., None])[..., 0]
            # No step leaves the neighbourhood: a tenth of a radian at most.
            step *= np.minimum(1.0, 0.1 / np.maximum(np.abs(step[:, 2]), 1e-300))[:, None]
            place = place - step
        return place, np.abs(step[:, 2]) < 1e-10

    def gaps(self):
        """Upper tip less lower tip with the first rest on the wall; NaN where neither way closes."""
        gap = np.full(len(self.arms[0]), np.nan)
        for first in range(2):
            place, found = self.with_tip_on_wall(self.tips[first])
            lower, upper = (self.at(place, tip)[:, 0] for tip in self.tips)
            other = (lower, upper)[1 - first]
            fits = found & (other >= -1e-9) & np.isnan(gap)
            gap[fits] = (upper - lower)[fits]
        return gap

    def short_of_hung(self):
        along = self.drawn_arm / np.linalg.norm(self.drawn_arm)
        lower = self.wall[0] + self.arms[0][:, None] * along
        bridged = np.linalg.norm(self.wall[1] - lower, axis=1)
        long = np.linalg.norm(self.panel[1] - self.panel[0], axis=1)
        return (bridged > long + self.arms[1]) | (bridged < np.abs(long - self.arms[1]))


class Pairs:
    """Pairs of sets at the poses of the program's findings."""

    def __init__(self, project, findings, left, right, plumb, level):
        self.project = project
        self.places = np.array([[p["x"], p["y"], -math.radians(p["tilt_deg"])] for p in findings["poses"]])
        self.sets = []
        for errors, sign in ((left, 0.5), (right, -0.5)):
            made = Sets(project, errors)
            # Half of what one bar is out of plumb and level goes to each side.
            lower, upper = made.wall
            lift = np.stack([np.zeros_like(level), sign * level], axis=-1)
            # Out of plumb the upper pivot stands off and comes down along the circle about the lower one.
            reach = upper - lower
            across = reach[:, 0] + sign * plumb
            up = np.sqrt(np.einsum("ij,ij->i", reach, reach) - across**2) * np.sign(reach[:, 1])
            made.wall = lower + lift, lower + lift + np.stack([across, up], axis=-1)
            self.sets.append(made)

    def misfits(self):
        """Poses × pairs: δ of the lower arm less δ of the upper, left less right."""
        count = len(self.sets[0].arms[0])
        found = np.zeros((len(self.places), count))
        for index, place in enumerate(self.places):
            at = np.tile(place, (count, 1))
            for made, side in zip(self.sets, (1.0, -1.0)):
                delta = [made.arms[arm] - np.linalg.norm(made.at(at, made.panel[arm]) - made.wall[arm], axis=1)
                         for arm in range(2)]
                found[index] += side * (delta[0] - delta[1])
        return found

    def twists(self):
        """Twist at a corner, poses × pairs: of all shifts that close both loops the one that moves the
        corners least, by least squares on the corners themselves."""
        height, thick = self.project["panel"]["height"], self.project["panel"]["thickness"]
        corners = np.array([[0, 0], [thick, 0], [thick, height], [0, height]], float)
        count = len(self.sets[0].arms[0])
        exact = Sets(self.project, np.zeros((1, 8)))
        found = np.zeros((len(self.places), count))
        for index, place in enumerate(self.places):
            at = np.tile(place, (count, 1))
            off = []
            rows = np.zeros((2, 3))
            for arm in range(2):
                one = place[None, :]
                end = exact.at(one, exact.panel[arm])[0]
                line = end - exact.wall[arm][0]
                line = line / np.linalg.norm(line)
                rows[arm] = [*line, cross(end - place[:2], line)]
                gap = [np.linalg.norm(made.at(at, made.panel[arm]) - made.wall[arm], axis=1) - made.arms[arm]
                       for made in self.sets]
                off.append(gap[0] - gap[1])
            moved = np.zeros((8, 3))
            for number, corner in enumerate(corners):
                about = exact.at(place[None, :], corner)[0] - place[:2]
                moved[2 * number] = [1, 0, -about[1]]
                moved[2 * number + 1] = [0, 1, about[0]]
            # Coordinates in which the corners' shift is the plain length: its QR factor.
            _, upper = np.linalg.qr(moved)
            shift = np.linalg.solve(upper, np.linalg.pinv(rows @ np.linalg.inv(upper)) @ -np.array(off))
            found[index] = np.abs(shift[2]) * height
        return found


def near_one_line(project):
    """Every pivot's distance from the mean of the four, hung, drawn together until 2.5° are left between upper
    arm and panel bar: some sets cannot close there."""
    together = 0.121_823_461_429_37
    link, standoff = project["linkage"], project["panel"]["hung"]["standoff"]
    off = {"wall_lower": 0.0, "wall_upper": 0.0, "panel_lower": standoff, "panel_upper": standoff}
    mean = sum(link[name][0] + shift for name, shift in off.items()) / 4
    for name, shift in off.items():
        link[name][0] = mean + together * (link[name][0] + shift - mean) - shift


def furnished(seed):
    """A random lift with bearings and tolerances of its own; the first is the golden one, the second the
    same with its pivots near one line."""
    dice = random.Random(f"part errors {seed}")
    if seed < 2:
        project = json.loads((GOLDEN / "chapel-hatch" / "complete.overarm.json").read_text(encoding="utf-8"))
        if seed == 1:
            near_one_line(project)
    else:
        project = copy.deepcopy(random_lift(seed)[0])
    project["joints"] = {"bearing": {"bore": 8, "outside": 22, "width": 7, "static_n": 1e6}, "per_hinge": 1,
                         "radial_play": round(dice.uniform(0.002, 0.02), 4), "friction": 0.002}
    project["tolerances"] = {"length": round(dice.uniform(0.01, 0.08), 3), "offset": round(dice.uniform(0.01, 0.08), 3),
                             "parallel": round(dice.uniform(0, 0.2), 3), "level": round(dice.uniform(0, 0.5), 3)}
    if dice.random() < 0.5:
        project["panel"]["torsional_stiffness"] = round(dice.uniform(50, 2000), 1)
    findings = check(project, POSES)
    pair = findings["part_errors"]["pair"]
    if pair is None or any(at["allowed_force"] is None for at in pair["poses"]):
        return project, findings
    # A bearing that leaves little: so some pairs fail.
    least = min(at["allowed_force"] for at in pair["poses"])
    load = 1e6 / 2 - least
    project["joints"]["bearing"]["static_n"] = round(2 * (load + max(3.0, dice.uniform(0.5, 1.5) * pair["force_p95"])), 3)
    return project, check(project, POSES)


def drawn(dice, project, count):
    given = project["tolerances"]
    size = np.array([given["length"]] * 4 + [given["offset"]] * 4)
    return dice.uniform(-1, 1, (count, 8)) * size


def quantile_interval(values, share, z):
    """Where a quantile lies, from the order of its sample."""
    ordered = np.sort(values)
    n = len(ordered)
    half = z * math.sqrt(n * share * (1 - share))
    low, high = (min(max(int(n * share + side * half), 0), n - 1) for side in (-1, 1))
    return ordered[low], ordered[high]


def compare(seed, project, findings):
    """Differences of one lift, the figures compared, seconds of NumPy for as many as the program draws."""
    errors = findings["part_errors"]
    one, pair = errors["one_set"], errors["pair"]
    if one is None or pair is None:
        return ["no figures of one set or pair"], 0, None
    # 95 % over all figures of all lifts, two-sided; both are samples, so the smaller one's interval is widened.
    z = statistics.NormalDist().inv_cdf(1 - 0.025 / (FIGURES * LIFTS)) * math.sqrt(1 + SETS / THEIRS)
    dice = np.random.default_rng(seed)
    found, compared = [], 0

    def quantile(name, told, values):
        nonlocal compared
        compared += 1
        low, high = quantile_interval(values, 0.95, z)
        if told is None or not low - 1e-9 <= told <= high + 1e-9:
            found.append(f"{name}: {told} told, {low:.6g} … {high:.6g} simulated")

    def share(name, told, hits):
        nonlocal compared
        compared += 1
        p = (told["hits"] + hits.sum()) / (told["of"] + len(hits))
        half = z * math.sqrt(max(p * (1 - p), 1e-9) / len(hits)) + 1e-9
        if abs(told["share"] - hits.mean()) > half:
            found.append(f"{name}: {told['share']} told, {hits.mean()} ± {half:.5f} simulated")

    start = time.perf_counter()
    sets = Sets(project, drawn(dice, project, SETS))
    gaps = sets.gaps()
    short = sets.short_of_hung()
    given = project["tolerances"]
    plumb = dice.uniform(-1, 1, SETS) * given["parallel"]
    level = dice.uniform(-1, 1, SETS) * given["level"]
    pairs = Pairs(project, findings, drawn(dice, project, SETS), drawn(dice, project, SETS), plumb, level)
    misfits, twists = np.abs(pairs.misfits()), pairs.twists()
    took = (time.perf_counter() - start) * THEIRS / SETS

    if one["hung_gap"]["linear_trusted"]:
        if np.isnan(gaps).any():
            found.append(f"{np.isnan(gaps).sum()} sets do not close here")
        quantile("hung_gap.p95", one["hung_gap"]["p95"], np.abs(gaps))
    share("short_of_hung", one["short_of_hung"], short)
    stiffness = project["panel"].get("torsional_stiffness")
    play = 8 * project["joints"]["radial_play"]
    fails = np.zeros(SETS, bool)
    for at, pose, misfit in zip(pair["poses"], findings["poses"], misfits):
        give = 4 / ARM_STIFFNESS + (pose["lever_mm"] ** 2 / (1e3 * stiffness) if stiffness else 0.0)
        if at["allowed_force"] is not None:
            # Where there is too little already nothing runs free, not even what play takes up.
            fails |= (at["allowed_force"] < 0) | (np.maximum(misfit - play, 0.0) / give > at["allowed_force"])
    share("pair.failing", pair["failing"], fails)
    quantile("pair.twist_p95", pair["twist_p95"], twists.max(axis=0))
    return found, compared, took


def compare_all(first=0):
    """Each lift's seed, differences, figures, seconds of NumPy and of the whole program."""
    seed, done = first, 0
    while done < LIFTS:
        project, findings = furnished(seed)
        if findings["part_errors"]["one_set"] is not None and findings["part_errors"]["pair"] is not None:
            start = time.perf_counter()
            check(project, POSES)
            ours = time.perf_counter() - start
            differences, figures, took = compare(seed, project, findings)
            yield seed, differences, figures, took, ours, findings["part_errors"]
            done += 1
        seed += 1


def unnoticed():
    """Spoilt figures have to be noticed."""
    project, findings = furnished(0)
    spoilt = []
    for name, spoil in (
        ("gap", lambda e: e["one_set"]["hung_gap"].update(p95=1.04 * e["one_set"]["hung_gap"]["p95"])),
        ("failing", lambda e: e["pair"]["failing"].update(share=e["pair"]["failing"]["share"] + 0.02)),
        ("twist", lambda e: e["pair"].update(twist_p95=0.96 * e["pair"]["twist_p95"])),
    ):
        changed = copy.deepcopy(findings)
        spoil(changed["part_errors"])
        if not compare(0, project, changed)[0]:
            spoilt.append(f"a spoilt {name} is not noticed")
    # Sets that cannot close: some, and a few more or less of them are noticed.
    project, findings = furnished(1)
    short = findings["part_errors"]["one_set"]["short_of_hung"]
    if not short["share"] > 0.02:
        spoilt.append(f"too few sets cannot close near one line: {short}")
    short["share"] += 0.02
    if not compare(1, project, findings)[0]:
        spoilt.append("a spoilt share of sets that cannot close is not noticed")
    return spoilt


if __name__ == "__main__":
    for row in compare_all():
        figures = row[5]
        print(row[0], row[1], row[2], f"NumPy {row[3]:.2f} s, program {row[4]:.2f} s, ratio {row[3] / row[4]:.0f}",
              "failing", figures["pair"]["failing"]["share"], "trusted", figures["one_set"]["hung_gap"]["linear_trusted"],
              "gap", figures["one_set"]["hung_gap"]["p95"], "short", figures["one_set"]["short_of_hung"]["share"])
    print(unnoticed())
