"""What the program's computations cost beside the Python that a user would script for the same question.

One run, one machine, the fastest of many repetitions of each; figures and ratio side by side. The
program's figures are those of its benchmarks (`cargo bench`); the Python is plain NumPy, SciPy and
Shapely on the demo project, with no code of the program. Where the program proves its figure and the
script only samples, the table says so: the script's answer is the lesser one.

    tests/reference/compare-speed
"""

import json
import math
import re
import subprocess
import sys
import time
from pathlib import Path

import numpy as np
import shapely
from scipy.optimize import fsolve
from shapely.geometry import LineString, Polygon
from shapely.ops import unary_union

ROOT = Path(__file__).resolve().parents[2]
GOLDEN = json.loads((ROOT / "tests/golden/chapel-hatch/project.overarm.json").read_text())
UNITS = {"ns": 1e-9, "µs": 1e-6, "ms": 1e-3, "s": 1.0}


def benchmarks():
    """Seconds by name, "bench/name" or "bench/name/argument": the fastest sample of each."""
    command = ["cargo", "bench", "--locked", "-p", "overarm-solver"]
    for bench in ("motion", "drag_frame", "corners", "part_errors"):
        command += ["--bench", bench]
    text = subprocess.run(command, cwd=ROOT, check=True, text=True, stdout=subprocess.PIPE).stdout
    found, path = {}, []
    for line in text.splitlines():
        row = re.match(r"^(?P<indent>[│ ]*)(?P<branch>[├╰]─ )?(?P<name>\w+) +(?P<rest>.*)$", line)
        if not row:
            continue
        if not row["branch"]:
            path = [row["name"]] if "fastest" in row["rest"] else path
            continue
        depth = len(row["indent"]) // 3 + 1
        path = path[:depth] + [row["name"]]
        time_found = re.match(r"([\d.]+) (ns|µs|ms|s)\b", row["rest"])
        if time_found:
            found["/".join(path)] = float(time_found[1]) * UNITS[time_found[2]]
    return found


def fastest(work, repeats=7, least=0.02):
    """Seconds of one call: the fastest of several runs, each long enough to be told."""
    count = 1
    while True:
        start = time.perf_counter()
        for _ in range(count):
            work()
        took = time.perf_counter() - start
        if took >= least:
            break
        count *= 2
    best = took / count
    for _ in range(repeats - 1):
        start = time.perf_counter()
        for _ in range(count):
            work()
        best = min(best, (time.perf_counter() - start) / count)
    return best


class Lift:
    """The demo lift as a script would have it: closed form, two circles, NumPy arrays of poses."""

    def __init__(self, project):
        link, panel, bars = project["linkage"], project["panel"], project["bars"]
        self.project = project
        self.wall = [np.array(link["wall_lower"]), np.array(link["wall_upper"])]
        self.on_panel = [np.array(link["panel_lower"]), np.array(link["panel_upper"])]
        hung = np.array([panel["hung"]["standoff"], panel["hung"]["bottom"]])
        lower, upper = (p + hung for p in self.on_panel)
        self.a, self.c = np.linalg.norm(lower - self.wall[0]), np.linalg.norm(upper - self.wall[1])
        self.b, self.d = np.linalg.norm(upper - lower), np.linalg.norm(self.wall[1] - self.wall[0])
        self.start = math.atan2(*(lower - self.wall[0])[::-1])
        # The demo folds until it stops: as far as the golden case asks for.
        self.turn = math.radians(GOLDEN["linkage"]["travel_deg"])
        to_wall = self.wall[1] - lower
        self.side = math.copysign(1.0, to_wall[0] * (upper - lower)[1] - to_wall[1] * (upper - lower)[0])
        bar = self.on_panel[1] - self.on_panel[0]
        self.bar_angle = math.atan2(bar[1], bar[0])
        self.width, self.height = panel["thickness"], panel["height"]
        self.arm_radius = [0.5 * bars[arm]["width"] for arm in ("lower_arm", "upper_arm")]

    def poses(self, count):
        """Lower and upper panel pivot (count × 2) and the panel's turn (count)."""
        theta = self.start + self.turn * np.linspace(0.0, 1.0, count)
        low = self.wall[0] + self.a * np.column_stack([np.cos(theta), np.sin(theta)])
        off = self.wall[1] - low
        r2 = np.einsum("ij,ij->i", off, off)
        foot = 0.5 * (r2 + self.b**2 - self.c**2) / r2
        height = self.side * np.sqrt(np.maximum(self.b**2 / r2 - foot**2, 0.0))
        up = low + foot[:, None] * off + height[:, None] * np.column_stack([-off[:, 1], off[:, 0]])
        bar = up - low
        return low, up, np.arctan2(bar[:, 1], bar[:, 0]) - self.bar_angle

    def panels(self, count):
        """Corners of the panel at every pose, count × 4 × 2."""
        low, _, turn = self.poses(count)
        corners = np.array([[0, 0], [self.width, 0], [self.width, self.height], [0, self.height]], float)
        local = corners - self.on_panel[0]
        cosine, sine = np.cos(turn)[:, None], np.sin(turn)[:, None]
        x = cosine * local[:, 0] - sine * local[:, 1] + low[:, :1]
        y = sine * local[:, 0] + cosine * local[:, 1] + low[:, 1:]
        return np.stack([x, y], axis=-1)

    def one_by_fsolve(self, theta, guess):
        a, b, c, d = self.a, self.b, self.c, self.d
        return fsolve(
            lambda q: [
                a * math.cos(theta) + b * math.cos(q[0]) - c * math.cos(q[1]) - d,
                a * math.sin(theta) + b * math.sin(q[0]) - c * math.sin(q[1]),
            ],
            guess,
        )

    def pose_in_a_loop(self, theta):
        a, b, c, d = self.a, self.b, self.c, self.d
        x, y = d - a * math.cos(theta), -a * math.sin(theta)
        r2 = x * x + y * y
        foot = 0.5 * (r2 + b * b - c * c) / r2
        height = self.side * math.sqrt(max(b * b / r2 - foot * foot, 0.0))
        return d - x + foot * x - height * y, -y + foot * y + height * x


def room_lines(project, more_corners=0):
    """The outline after its first edge, and how many corners it is given."""
    points = project["room"]["outline"][1:]
    if more_corners:
        (x0, y0), (x1, y1) = points[0], points[-1]
        share = np.linspace(0.0, 1.0, more_corners + 1)
        lift = 4.0 * (np.arange(more_corners + 1) % 2)
        points = np.column_stack([x0 + share * (x1 - x0), y0 + share * (y1 - y0) + lift])
    return LineString(points)


def clearance(lift, count, ceiling, wall):
    """Least distance of panel and arms to ceiling and wall, as seen at `count` poses."""
    panels = shapely.polygons(lift.panels(count))
    low, up, _ = lift.poses(count)
    least = []
    for other in (ceiling, wall):
        least.append(shapely.distance(panels, other).min())
        for wall_end, panel_end, radius in zip(lift.wall, (low, up), lift.arm_radius):
            axes = np.stack([np.broadcast_to(wall_end, panel_end.shape), panel_end], axis=1)
            least.append(shapely.distance(shapely.linestrings(axes), other).min() - radius)
    return least


def swept(lift, count):
    """Union of the hulls of neighbouring panels."""
    panels = lift.panels(count)
    pairs = np.concatenate([panels[:-1], panels[1:]], axis=1)
    return unary_union(shapely.convex_hull(shapely.multipoints(pairs)))


def swept_arms(lift, count):
    low, up, _ = lift.poses(count)
    arms = []
    for wall_end, panel_end, radius in zip(lift.wall, (low, up), lift.arm_radius):
        axes = np.stack([np.broadcast_to(wall_end, panel_end.shape), panel_end], axis=1)
        arms.append(unary_union(shapely.buffer(shapely.linestrings(axes), radius)))
    return arms


def reliefs(lift, count):
    """What each arm sweeps in the frame of wall and panel bar, and each bar in the arm's, taken away."""
    low, up, turn = lift.poses(count)
    clear = lift.project["bars"].get("running_clearance", 0.5)
    cut = []
    for wall_end, panel_end, radius in zip(lift.wall, (low, up), lift.arm_radius):
        length = float(np.linalg.norm(panel_end[0] - wall_end))
        arm = LineString([(0, 0), (length, 0)]).buffer(radius)
        angle = np.arctan2(*(panel_end - wall_end).T[::-1])
        for directions in (angle, angle + math.pi - turn):
            bar = Polygon([(-25, -150), (25, -150), (25, 150), (-25, 150)])
            ends = length * np.column_stack([np.cos(directions), np.sin(directions)])
            axes = np.stack([np.zeros_like(ends), ends], axis=1)
            cut.append(bar - unary_union(shapely.buffer(shapely.linestrings(axes), radius + clear)))
            corners = np.array(bar.exterior.coords)[:-1]
            cosine, sine = np.cos(directions)[:, None], np.sin(directions)[:, None]
            turned = np.stack(
                [cosine * corners[:, 0] + sine * corners[:, 1], cosine * corners[:, 1] - sine * corners[:, 0]], axis=-1
            )
            cut.append(arm - unary_union(shapely.buffer(shapely.polygons(turned), clear)))
    return cut


def told(seconds):
    for unit, size in (("s", 1.0), ("ms", 1e-3), ("µs", 1e-6)):
        if seconds >= size:
            return f"{seconds / size:.3g} {unit}"
    return f"{seconds / 1e-9:.3g} ns"


def pairs_by_numpy(project, lift):
    """Seconds of the misfit of 100,000 pairs at 33 poses: distances between pivots, all pairs at once."""
    given = project["tolerances"]
    dice = np.random.default_rng(1)
    size = np.array([given["length"]] * 4 + [given["offset"]] * 4)
    low, up, _ = lift.poses(33)

    def work():
        misfit = np.zeros((33, 100_000))
        for side in (1.0, -1.0):
            e = dice.uniform(-1, 1, (100_000, 8)) * size
            for index in range(33):
                lower = low[index] - lift.wall[0] + np.column_stack([e[:, 6] - e[:, 4], np.zeros(100_000)])
                upper = up[index] - lift.wall[1] + np.column_stack([e[:, 7] - e[:, 5], e[:, 1] - e[:, 3]])
                misfit[index] += side * (
                    e[:, 0] - np.linalg.norm(lower, axis=1) + lift.a - e[:, 2] + np.linalg.norm(upper, axis=1) - lift.c
                )
        return np.quantile(np.abs(misfit).max(axis=0), 0.95)

    return fastest(work, repeats=2)


def main():
    project = json.loads((ROOT / "demo/chapel-hatch.overarm.json").read_text())
    lift = Lift(project)
    ceiling, wall = room_lines(project), LineString(project["room"]["outline"][:2])
    ours = benchmarks()

    print(f"{'what':<58}{'ours':>10}{'Python':>10}{'ratio':>8}  wanted")
    missed = []

    def row(what, seconds, python, limit=None):
        # Only where both answer the same question.
        ratio = f"{python / seconds:.3g}×" if python and not what.endswith(("poses", "corners")) else ""
        mark = ""
        if limit:
            holds = seconds <= limit
            mark = f"≤ {told(limit)}" + ("" if holds else "  MISSED")
            if not holds:
                missed.append(what)
        print(f"{what:<58}{told(seconds):>10}{told(python) if python else '':>10}{ratio:>8}  {mark}")

    pose, bare = ours["motion/placements_1000"] / 1000, ours["motion/bare_closed_form_1000"] / 1000
    thetas = np.linspace(lift.start, lift.start + lift.turn, 1000).tolist()
    loop = fastest(lambda: [lift.pose_in_a_loop(theta) for theta in thetas]) / 1000
    row("one pose; a Python loop of the closed form", pose, loop, 2 * bare)
    row("  the same, NumPy on arrays of 100,000", pose, fastest(lambda: lift.poses(100_000)) / 100_000)
    guess = [1.0, 1.0]
    row("  the same, SciPy fsolve", pose, fastest(lambda: lift.one_by_fsolve(lift.start + 0.3, guess)))
    row("  with continuous angles", ours["motion/poses_1000"] / 1000, None)
    row("  the bare closed form in a loop, ours", bare, None)
    at_720 = fastest(lambda: clearance(lift, 720, ceiling, wall))
    row("clearances of a lift, certified; Shapely, 720 poses each", ours["motion/certified_clearances"], at_720, 1e-3)
    hulls = fastest(lambda: swept(lift, 720)) + fastest(lambda: swept_arms(lift, 720), repeats=3)
    row("swept outlines; Shapely's union of 720 hulls and arms", ours["motion/swept_outlines"], hulls, 1e-3)
    row("  the same, the panel's hulls alone", ours["motion/swept_outlines"], fastest(lambda: swept(lift, 720)))
    cut = fastest(lambda: reliefs(lift, 180), repeats=3)
    row("reliefs of four bars; Shapely, 180 poses each", ours["motion/reliefs_of_four_bars"], cut, 20e-3)

    def whole(count):
        clearance(lift, count, ceiling, wall)
        swept(lift, count)
        swept_arms(lift, count)
        reliefs(lift, count // 2)

    frame = ours["drag_frame/analysis_of_361_poses_with_outlines"]
    row("whole analysis of a drag frame; the above, 361 poses each", frame, fastest(lambda: whole(361), repeats=3), 4e-3)

    golden = json.loads((ROOT / "tests/golden/chapel-hatch/complete.overarm.json").read_text())
    row("100,000 pairs drawn at 33 poses; NumPy, misfit alone", ours["part_errors/pairs_100000_at_33_poses"],
        pairs_by_numpy(golden, lift), 0.3)
    row("100,000 sets closed on the wall and parked", ours["part_errors/sets_100000"], None)

    print("\ngrowth with poses: whole analysis without outlines; Shapely's distances at as many poses")
    for count in (90, 360, 1440, 5760):
        python = fastest(lambda n=count: clearance(lift, n, ceiling, wall), repeats=3)
        row(f"  {count} poses", ours[f"motion/analysis_by_poses/{count}"], python)
    print("\ngrowth with the ceiling's corners: a whole drag frame; Shapely's distances at 361 poses alone")
    for count in (8, 16, 32, 64, 128, 256, 512):
        line = room_lines(project, count)
        python = fastest(lambda other=line: clearance(lift, 361, other, wall), repeats=3)
        row(f"  {count} corners", ours[f"corners/ceiling/{count}"], python)
    print("\ngrowth with a solid's corners: a whole drag frame, the solid far away, near, and overlapped")
    for count in (8, 16, 32, 64, 128, 256, 512):
        figures = [told(ours[f"corners/solid_{where}/{count}"]) for where in ("far_away", "near", "overlapped")]
        print(f"  {count} corners".ljust(58) + "".join(figure.rjust(10) for figure in figures))

    print()
    print("every wanted figure is kept" if not missed else "missed: " + "; ".join(missed))
    return 0


if __name__ == "__main__":
    sys.exit(main())
