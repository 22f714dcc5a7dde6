"""Random lifts' bars as solids: reliefs, clearances and the lift's own least distances.

The program gives the outlines; everything they are measured against is worked out here, from the
project and the reference's own poses. What is checked of a lapped lift:

- whole halves are the bars' own outlines, cut halves lie within them;
- at 400 poses from hung to the stop (and on to 1 degree beyond it) arms and bars that share a layer
  do not overlap, and keep the running clearance;
- a cutter of the given diameter reaches into every inside corner; few lines and arcs, none short;
- nothing is left that is thinner than it may be;
- not much more is cut away than the motion asks for.

Of every lift, sandwich too: the least distances told in `own`, and `clears_itself` from them.
"""

import json
import math
import multiprocessing
import random
import sys
import traceback

import numpy as np
import shapely
from scipy.optimize import brentq

from dense_poses import DensePoses
from lift_maker import first_contact, kind_of_stop, parked_place, random_lift
from outline_with_arcs import coordinates, edges, inside_corners, polygon, rectangle, stadium, together
from own_distances import OwnDistances, whole_rings
from program import GOLDEN, check
from reference_lift import Lift

POSES, POSES_BEYOND = 400, 40
BEYOND_STOP_DEG = 1.0
OVERLAP_MM2 = 0.01
CLEARANCE_MM = 0.02
CORNER_MM = 1e-3
MOST_VERTICES, SHORTEST_MM = 24, 0.01
CERTIFIED_MM = 0.01
DEPTH_MM = 0.02
THINNEST_MM = 3.0
# A sharp corner of 60 degrees loses this much of a square on the radius to a round tool.
CORNER_60 = math.sqrt(3.0) - math.pi / 3.0
# Poses whose hulls, from each to the next, make the region that a part sweeps.
SWEPT_POSES = 80
# What may be cut away beyond what the motion asks for, of that.
OVERCUT = 0.03

ARMS = ("lower_arm", "upper_arm")
BARS = ("wall_bar", "panel_bar")


def solids_lift(seed):
    """(project, lift): a random lift of the seed with stock and cutter of its own; half of them in
    a bare room and to their stop, so that arms fold as far as they can, some with long bars."""
    project, lift = random_lift(seed)
    dice = random.Random(f"solids {seed}")
    bars = project["bars"]
    for name in BARS + ARMS:
        bars[name]["depth"] = round(dice.uniform(10, 40), 2)
    if dice.random() < 0.7:
        bars["cutter_diameter"] = round(dice.uniform(3, 16), 2)
    if dice.random() < 0.5:
        project["room"] = {"outline": [[0, 0], [0, 9000]]}
        if dice.random() < 0.4:
            # Long wall and panel bars: they come near each other, or into each other's way.
            for name in BARS:
                bars[name]["lower_end"] = round(dice.uniform(12, 250), 2)
                bars[name]["upper_end"] = round(dice.uniform(12, 400), 2)
        lift = Lift(project)
        contact = first_contact(lift)
        if contact and abs(lift.turn(contact[0])) > math.radians(5):
            project["linkage"]["travel_deg"] = "to_stop"
            lift = Lift(project)
    return project, lift


class Solids:
    """The solids and own distances of one lift, checked."""

    def __init__(self, project, lift, findings):
        self.project, self.lift, self.findings = project, lift, findings
        self.bars = project["bars"]
        self.lapped = self.bars["build"] == "lapped"
        self.running = self.bars.get("running_clearance", 0.5)
        self.cutter = self.bars.get("cutter_diameter", 9.525) / 2
        self.parked, self.missing = parked_place(lift)
        limits = [t for t in lift.dead_points() if t > self.parked - 1e-6]
        to_stop = project["linkage"]["travel_deg"] == "to_stop"
        self.contact = first_contact(lift, None if to_stop or not limits else limits[0])
        rings = whole_rings(lift)
        self.whole = {name: rectangle(rings[name][0], rings[name][2]) for name in BARS}
        for name in ARMS:
            self.whole[name] = stadium(getattr(lift, name), self.bars[name]["width"] / 2)
        self.wholes = {name: polygon(piece) for name, piece in self.whole.items()}
        self.layers = {(row["bar"], row["layer"]): row for row in findings["solids"]}
        self.differences, self.compared, self.figures = [], 0, {}

    def all(self):
        self.own()
        if self.lapped:
            self.halves()
            self.running_past()
            self.corners()
            self.slivers()
            self.overcut()
        else:
            self.sandwich()
        return self.differences

    def say(self, good, text):
        self.compared += 1
        if not good:
            self.differences.append(text)

    # Layers -----------------------------------------------------------------------------------

    def cut_layer(self, name):
        return "outer" if name in BARS else "inner"

    def cut(self, name):
        return self.layers[name, self.cut_layer(name)]["pieces"]

    def sandwich(self):
        places = {"wall_bar": "middle", "panel_bar": "middle", "lower_arm": "outer", "upper_arm": "inner"}
        self.say(set(self.layers) == set(places.items()), f"layers {sorted(self.layers)}")
        for name, layer in places.items():
            self.is_whole(name, layer, self.bars[name]["depth"])

    def is_whole(self, name, layer, depth):
        row = self.layers[name, layer]
        self.say(abs(row["depth_mm"] - depth) < 1e-9, f"{name} {layer}: depth {row['depth_mm']}, {depth} expected")
        off = together(row["pieces"]).symmetric_difference(self.wholes[name]).area
        self.say(off < 1e-3, f"{name} {layer}: differs from the whole outline by {off:.4f} mm2")

    def halves(self):
        expected = {(name, layer) for name in BARS + ARMS for layer in ("inner", "outer")}
        self.say(set(self.layers) == expected, f"layers {sorted(self.layers)}")
        for name in BARS + ARMS:
            kept = "inner" if name in BARS else "outer"
            self.is_whole(name, kept, self.bars[name]["depth"] / 2)
            pieces = [polygon(piece) for piece in self.cut(name)]
            for index, piece in enumerate(pieces):
                where = f"{name} {self.cut_layer(name)} piece {index}"
                self.say(piece.is_valid, f"{where}: crosses itself")
                self.say(piece.exterior.is_ccw, f"{where}: is not counter-clockwise")
                out = piece.difference(self.wholes[name].buffer(0.003)).area
                self.say(out < 1e-6, f"{where}: {out:.4f} mm2 outside the bar")
            if all(piece.is_valid for piece in pieces):
                twice = sum(p.area for p in pieces) - shapely.union_all(pieces).area
                self.say(twice < 1e-3, f"{name}: pieces overlap by {twice:.4f} mm2")

    # Motion -----------------------------------------------------------------------------------

    def stop_place(self):
        return min(self.parked, self.contact[0]) if self.contact else self.parked

    def beyond(self, place):
        """1 degree of the lower arm beyond a place; no farther than its dead point."""
        turn, reach = self.lift.turn(place), math.radians(BEYOND_STOP_DEG)
        further = lambda t: abs(self.lift.turn(t) - turn) - reach  # noqa: E731
        limits = [t for t in self.lift.dead_points() if t > place - 1e-6]
        last = min(limits[0] if limits else math.inf, len(self.lift.points) - 1.0)
        low = place
        while low < last:
            high = min(low + 0.25, last)
            if further(high) >= 0:
                return brentq(further, low, high, xtol=1e-12)
            low = high
        return last

    def running_past(self):
        """Rules 2 and 3 of the halves: arms yield to bars inside, bars to arms outside."""
        stop = self.stop_place()
        # Beyond the stop a hair less than 1 degree: the contact itself is known to 1e-6 rad.
        last = stop + 0.999 * (self.beyond(stop) - stop)
        t = np.concatenate([np.linspace(0.0, stop, POSES), np.linspace(stop, last, POSES_BEYOND + 1)[1:]])
        poses = DensePoses(self.lift, t)
        for bar in BARS:
            for arm in ARMS:
                self.keeps_clear(poses, bar, arm)
                self.keeps_clear(poses, arm, bar)

    def keeps_clear(self, poses, yielding, passing):
        """The cut half of one bar against the whole half of the other, in the former's frame."""
        pieces = self.cut(yielding)
        if not pieces:
            return
        rest = together(pieces)
        moved = shapely.polygons(poses.seen_from(yielding, passing, coordinates(self.wholes[passing])))
        shapely.prepare(rest)
        close = np.nonzero(shapely.dwithin(rest, moved, self.running - CLEARANCE_MM))[0]
        where = f"{yielding} {self.cut_layer(yielding)} and {passing}"
        if not len(close):
            self.compared += 2
            return
        apart = shapely.distance(rest, moved[close])
        overlap = shapely.area(shapely.intersection(rest, moved[close]))
        k = int(np.lexsort((apart, -overlap))[0])
        self.say(overlap[k] < OVERLAP_MM2, f"{where}: overlap {overlap[k]:.4f} mm2 at {self.at(poses, close[k])}")
        self.say(False, f"{where}: {apart[k]:.4f} mm apart, {self.running} wanted, {len(close)} of {len(moved)} "
                        f"poses, worst at {self.at(poses, close[k])}")

    def at(self, poses, k):
        return f"a turn of {math.degrees(poses.lower[k] - self.lift.hung[0]):.3f} deg"

    # What a machinist would draw ----------------------------------------------------------------

    def corners(self):
        for name in BARS + ARMS:
            for index, piece in enumerate(self.cut(name)):
                where = f"{name} {self.cut_layer(name)} piece {index}"
                tight = inside_corners(piece, self.cutter, CORNER_MM)
                self.say(not tight, f"{where}: " + "; ".join(tight))
                self.say(len(piece) <= MOST_VERTICES, f"{where}: {len(piece)} vertices")
                short = [edge for edge in edges(piece) if edge.length < SHORTEST_MM]
                self.say(not short, f"{where}: {len(short)} edges shorter than {SHORTEST_MM} mm, "
                                    f"{min((e.length for e in short), default=0):.2g} mm at "
                                    f"{[tuple(round(c, 3) for c in e.start) for e in short[:2]]}")
            self.slots(name)

    def slots(self, name):
        """All that is cut must be reached by the cutter: no slot narrower than it, between pieces
        either. Its corners are judged one by one above."""
        rest = together(self.cut(name))
        if rest.is_empty:
            return
        steps = {"quad_segs": 64}
        filled = rest.buffer(self.cutter - 0.01, **steps).buffer(-(self.cutter - 0.01), **steps)
        narrow = filled.difference(rest.buffer(0.02)).area
        self.say(narrow < 0.01, f"{name} {self.cut_layer(name)}: {narrow:.3f} mm2 of the cut is out of the cutter's reach")

    def thinnest(self, name):
        return max(THINNEST_MM, 0.25 * self.bars[name]["depth"] / 2)

    def slivers(self):
        for name in BARS + ARMS:
            radius = self.thinnest(name) / 2
            for index, piece in enumerate(self.cut(name)):
                shape = polygon(piece)
                opened = opening(shape, radius - 0.002)
                # Without the hairs that chords leave along an edge.
                lost = shape.difference(opened).buffer(-0.003).buffer(0.003)
                bits = list(getattr(lost, "geoms", [lost]))
                most = max((bit.area for bit in bits), default=0.0)
                where = f"{name} {self.cut_layer(name)} piece {index}"
                self.say(most <= 1.03 * CORNER_60 * radius**2 + 0.01,
                         f"{where}: {most:.3f} mm2 thinner than {2 * radius:.3f} mm is left")
                # A corner of 60 degrees sticks out of the round tool's reach by its radius, one with
                # a hollow flank by little more.
                far = lost.difference(opened.buffer(1.25 * radius + 0.01)).area
                self.say(far < 1e-4, f"{where}: a fin thinner than {2 * radius:.3f} mm sticks out ({far:.4f} mm2)")

    # Not too much -------------------------------------------------------------------------------

    def overcut(self):
        end = self.beyond(max(self.parked, self.contact[0] if self.contact else 0.0))
        poses = DensePoses(self.lift, np.linspace(0.0, end, SWEPT_POSES))
        for name in BARS + ARMS:
            whole = self.wholes[name]
            partners = ARMS if name in BARS else BARS
            exact = shapely.union_all([self.swept(poses, name, other) for other in partners]).intersection(whole)
            rest = together(self.cut(name))
            over = self.beyond_need(name, exact, rest)
            self.figures[name] = over / exact.area if exact.area > 0 else 0.0
            self.say(over <= max(OVERCUT * exact.area, 5.0),
                     f"{name} {self.cut_layer(name)}: {over:.2f} mm2 cut away beyond need, of {exact.area:.0f} mm2; "
                     f"{rest.area:.0f} left of {whole.area:.0f}")

    def beyond_need(self, name, needed, rest):
        """Area gone that need not go. What goes with the need: inside corners opened to the cutter,
        what is too thin to leave, and at an arm every piece but the largest."""
        ideal = opening(cutter_can(self.wholes[name], needed, self.cutter), self.thinnest(name) / 2)
        if name in ARMS:
            ideal = max(getattr(ideal, "geoms", [ideal]), key=lambda g: g.area)
        pieces = list(getattr(ideal, "geoms", [ideal]))
        kept = [piece for piece in pieces if not self.may_go(piece, pieces, rest)]
        return sum(piece.difference(rest).area for piece in kept)

    def may_go(self, piece, pieces, rest):
        """Whether a piece is wholly gone because the slot to a larger one is too narrow to cut."""
        others = [other for other in pieces if other is not piece and other.area > piece.area]
        slot = min((piece.distance(other) for other in others), default=math.inf)
        return slot < 2 * self.cutter and piece.intersection(rest).area < 0.01 * piece.area

    def swept(self, poses, viewer, name):
        """What a whole bar sweeps in another's frame, and the running clearance, as far as it
        touches the other's outline."""
        points = poses.seen_from(viewer, name, coordinates(coarse(self.whole[name])))
        hulls = shapely.convex_hull(shapely.multipoints(np.concatenate([points[:-1], points[1:]], axis=1)))
        low_x, low_y, high_x, high_y = self.wholes[viewer].buffer(2 * self.running + 1).bounds
        hulls = shapely.clip_by_rect(hulls, low_x, low_y, high_x, high_y)
        return shapely.union_all(hulls[~shapely.is_empty(hulls)]).buffer(self.running, quad_segs=32)

    # Own distances --------------------------------------------------------------------------------

    def own(self):
        distances = OwnDistances(self.lift, self.parked, self.contact)
        told = {tuple(row["parts"]): row for row in self.findings["own"]}
        by_set = {frozenset(parts): row for parts, row in told.items()}
        self.say(set(by_set) == {frozenset(pair) for pair in distances.pairs}, f"own: pairs {sorted(told)}")
        for pair in distances.pairs:
            row = by_set.get(frozenset(pair))
            if row is None:
                continue
            least, place = distances.least(pair)
            self.figures[pair] = row["mm"] - least
            allowed = DEPTH_MM if least <= 0 else 1e-6
            self.say(least - CERTIFIED_MM - (allowed if least <= 0 else 0) <= row["mm"] <= least + allowed,
                     f"own {' and '.join(pair)}: program {row['mm']!r} at s {row['s']:.6f}, reference {least!r} at a "
                     f"turn of {math.degrees(self.lift.turn(place)):.4f} deg")
            there = self.lift.place_of_s(self.parked, row["s"])
            value = float(distances.values(pair, [there])[0])
            if row["mm"] > 0:
                self.say(abs(value - row["mm"]) <= CERTIFIED_MM + 2e-5,
                         f"own {' and '.join(pair)}: {value} at the s told, {row['mm']} told")
                self.say(abs(math.dist(*row["points"]) - row["mm"]) <= CERTIFIED_MM,
                         f"own {' and '.join(pair)}: points {math.dist(*row['points'])} apart, {row['mm']} told")
        order = [row["mm"] for row in self.findings["own"]]
        rule = next(rule for rule in self.findings["rules"] if rule["rule"] == "clears_itself")
        margin = min(order) - self.running
        self.say(rule["margin"] is not None and abs(rule["margin"] - margin) < 1e-9,
                 f"clears_itself: margin {rule['margin']}, least own less the running clearance is {margin}")
        self.say(rule["holds"] == (margin >= 0), f"clears_itself: holds is {rule['holds']} with a margin of {margin}")


def coarse(piece):
    """A convex outline with arcs of 0.03 mm sagitta: enough for areas."""
    return polygon(piece).simplify(0.03)


def opening(shape, radius):
    return shape.buffer(-radius, quad_segs=64).buffer(radius, quad_segs=64)


def cutter_can(whole, needed, radius):
    """What a round cutter leaves at most of a bar when all that is needed goes: inside corners that
    it cannot reach are rounded off by cutting more, so what it would leave in them is kept as need."""
    rest = whole.difference(needed)
    tight = opening_of_void(rest, radius)
    return rest.difference(tight.buffer(radius)) if not tight.is_empty else rest


def opening_of_void(rest, radius):
    filled = rest.buffer(radius, quad_segs=64).buffer(-radius, quad_segs=64)
    return filled.difference(rest.buffer(0.01))


def compare(seed):
    """(seed, kind of lift, figures compared, figures, differences)."""
    try:
        return (seed, *compare_project(*solids_lift(seed)))
    except Exception:  # a crash of either side is a failed lift, named by its seed
        return seed, "none", 0, {}, [traceback.format_exc(limit=4)]


def compare_project(project, lift):
    """(kind of lift, figures compared, figures, differences)."""
    solids = Solids(project, lift, check(project))
    solids.all()
    return kind_of(solids), solids.compared, solids.figures, solids.differences


def chapel():
    """Differences of the golden chapel hatch board, both builds."""
    project = json.loads((GOLDEN / "chapel-hatch" / "project.overarm.json").read_text(encoding="utf-8"))
    found = []
    for build in ("lapped", "sandwich"):
        project["bars"]["build"] = build
        found += [f"{build}: {line}" for line in compare_project(project, Lift(project))[3]]
    return found


def unnoticed():
    """The checks must be able to fail: the chapel board's findings, each spoilt in one place, and
    which of these went by unnoticed."""
    project = json.loads((GOLDEN / "chapel-hatch" / "project.overarm.json").read_text(encoding="utf-8"))
    lift, good = Lift(project), check(project)
    missed = []
    for name, spoil in SPOILT.items():
        findings = json.loads(json.dumps(good))
        spoil({(row["bar"], row["layer"]): row["pieces"] for row in findings["solids"]}, findings)
        if not Solids(project, lift, findings).all():
            missed.append(f"{name}: not noticed")
    return missed


def grown(pieces, by):
    """Outlines grown by a distance, straight edges only."""
    ring = together(pieces).buffer(by, join_style="mitre").exterior.coords[:-1]
    pieces[:] = [[[x, y, 0.0] for x, y in ring[::-1]]] if not shapely.LinearRing(ring).is_ccw else [
        [[x, y, 0.0] for x, y in ring]]


def notch(pieces):
    """A square notch where the outline's longest straight edge is."""
    piece = pieces[0]
    k = max((k for k, edge in enumerate(edges(piece)) if edge.bulge == 0), key=lambda k: edges(piece)[k].length)
    edge = edges(piece)[k]
    ux, uy = (edge.end[0] - edge.start[0]) / edge.length, (edge.end[1] - edge.start[1]) / edge.length
    place = lambda along, deep: [edge.start[0] + along * ux - deep * uy, edge.start[1] + along * uy + deep * ux, 0.0]  # noqa: E731
    half = edge.length / 2
    piece[k + 1: k + 1] = [place(half - 9, 0), place(half - 9, 1), place(half + 9, 1), place(half + 9, 0)]


def moved(row, by):
    row["mm"] += by


# Ways to spoil findings: (pieces by bar and layer, findings) -> None.
SPOILT = {
    "a wall bar's relief 0.05 mm too small": lambda at, _: grown(at["wall_bar", "outer"], 0.05),
    "a panel bar's relief 0.05 mm too small": lambda at, _: grown(at["panel_bar", "outer"], 0.05),
    "a lower arm's relief 0.05 mm too small": lambda at, _: grown(at["lower_arm", "inner"], 0.05),
    "an upper arm's relief 0.05 mm too small": lambda at, _: grown(at["upper_arm", "inner"], 0.05),
    "a wall bar's relief 1.5 mm too large": lambda at, _: grown(at["wall_bar", "outer"], -1.5),
    "no inner half of the lower arm": lambda at, _: at["lower_arm", "inner"].clear(),
    "a sharp notch": lambda at, _: notch(at["upper_arm", "inner"]),
    "a thin fin": lambda at, _: at["upper_arm", "inner"].append(
        [[130.0, 0.0, 0.0], [132.0, 0.0, 0.0], [132.0, 5.0, 0.0], [130.0, 5.0, 0.0]]),
    "a whole arm 0.01 mm short": lambda at, _: at["lower_arm", "outer"][0].__setitem__(
        0, [0.0, at["lower_arm", "outer"][0][0][1] + 0.01, 0.0]),
    "a distance told 0.0001 mm too large": lambda _, findings: moved(findings["own"][1], 1e-4),
    "a distance told 0.011 mm too small": lambda _, findings: moved(findings["own"][-1], -0.011),
    "a pair left out": lambda _, findings: findings["own"].pop(),
    "a margin off": lambda _, findings: next(
        rule for rule in findings["rules"] if rule["rule"] == "clears_itself").update(margin=1.0),
}


def kind_of(solids):
    words = [solids.project["bars"]["build"]]
    if solids.contact:
        words.append({"nose_on_flank": "folds on its arms", "wall_bar": "stops at the wall bar"}.get(
            kind_of_stop(solids.contact[1]), f"stops at the {solids.contact[1][1]}"))
    return ", ".join(words)


def compare_all(first, count, workers=2):
    with multiprocessing.Pool(workers) as pool:
        yield from pool.imap(compare, range(first, first + count), chunksize=2)


def summary(shares):
    """Lines: how far the figures told lie below the true ones, and how much more than needed is cut."""
    lines = []
    for name, figures in shares.items():
        figures = sorted(figures)
        middle = figures[len(figures) // 2]
        if isinstance(name, tuple):
            lines.append(f"  {' and '.join(name)}: told {min(figures):+.5f} to {max(figures):+.5f} mm from the least seen")
        else:
            lines.append(f"  {name}: cut beyond need {100 * middle:.2f} % in the middle, {100 * figures[-1]:.2f} % at most")
    return "\n".join(lines)


if __name__ == "__main__":
    # One lift by its seed: its project on standard output, what differs on standard error.
    for word in sys.argv[1:]:
        print(json.dumps(solids_lift(int(word))[0], indent=2))
        found = compare(int(word))
        print(found[1], found[3], file=sys.stderr)
        print("\n".join(found[4]) or "no difference", file=sys.stderr)
