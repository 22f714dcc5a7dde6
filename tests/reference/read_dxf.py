"""The job folder read back by readers that share no code with the program.

Every part file is opened with ezdxf and audited; its outline and bores are compared with what the
project asks for, worked out here; what half laps and reliefs leave of each layer with the solids that
the findings tell; left and right must be mirror images; the hole table and the manifest must agree
with the files beside them.
"""

import csv
import hashlib
import json
import math
import re
from pathlib import Path
from tempfile import TemporaryDirectory

import ezdxf
import shapely
import shapely.affinity

from program import check, make

PARTS = ("wall-bar", "panel-bar", "lower-arm", "upper-arm")
VERSIONS = {"r2000": "AC1015", "r12": "AC1009"}
# Bore centres, and every point of an outline, mm.
CENTRE = 1e-4
# Flattened arcs are compared by area: relative.
AREA = 1e-6
MILLIMETRES = 4
# Layers on which every entity is a closed outline, and those of circles.
OUTLINES = ("CONTOUR", "LAPS", "RELIEFS", "SCREWS")
SEATS = ("SEATS_OUTER", "SEATS_INNER")
CIRCLES = (*SEATS, "BORES", "LEAD_INS_OUTER", "LEAD_INS_INNER")
NOT_CUT = ("ENGRAVING", "REFERENCE", "TEXT")
# Bore, outside and width of some bearings, mm (ISO 15).
BEARINGS = {"608": (8, 22, 7), "688": (8, 16, 4), "6800": (10, 19, 5), "625": (5, 16, 5)}
# Group codes that hold decimal numbers.
DECIMAL_CODES = {*range(10, 60), *range(140, 150), *range(210, 240)}


class Folder:
    """One job folder, made from a project in one version of DXF."""

    def __init__(self, project, version):
        self.project = project
        self.version = version
        self.wrong = []
        self.files = 0

    def differences(self):
        self.solids = check(self.project, 2)["solids"]
        with TemporaryDirectory() as place:
            self.path = Path(place) / "job"
            make(self.project, self.path, "--dxf", self.version)
            parts = {}
            for part in PARTS:
                for hand in "LR":
                    parts[hand, part] = self.part(hand, part)
                if parts["L", part] and parts["R", part]:
                    self.hands(part, parts["L", part], parts["R", part])
            self.hole_table(parts)
            self.manifest()
        return self.wrong

    def expect(self, what, true):
        if not true:
            self.wrong.append(what)

    # One part file ----------------------------------------------------------------------------

    def part(self, hand, part):
        name = f"{hand}-{part}.dxf"
        path = self.path / "parts" / name
        if not path.is_file():
            self.wrong.append(f"{name}: missing")
            return None
        self.files += 1
        self.plain_numbers(name, path.read_text(encoding="utf-8"))
        drawing = ezdxf.readfile(path)
        auditor = drawing.audit()
        found = [entry.message for entry in auditor.errors + auditor.fixes]
        self.expect(f"{name}: audit {found}", not found)
        self.expect(f"{name}: version {drawing.dxfversion}", drawing.dxfversion == VERSIONS[self.version])
        self.expect(f"{name}: $INSUNITS {drawing.header.get('$INSUNITS')}", drawing.header.get("$INSUNITS") == MILLIMETRES)
        self.expect(f"{name}: paper space is not empty", not any(len(layout) for layout in drawing.layouts if layout.name != "Model"))
        entities = list(drawing.modelspace())
        kinds = [entity.dxftype() for entity in entities]
        outline_kind = "LWPOLYLINE" if self.version == "r2000" else "POLYLINE"
        wanted = {layer: {outline_kind} for layer in OUTLINES} | {layer: {"CIRCLE"} for layer in CIRCLES}
        wanted |= {"ENGRAVING": {"TEXT"}, "REFERENCE": {"LINE"}, "TEXT": {"TEXT"}}
        for entity in entities:
            layer, kind = entity.dxf.layer, entity.dxftype()
            self.expect(f"{name}: {kind} on layer {layer}", kind in wanted.get(layer, ()))
            normal = entity.dxf.get("extrusion", (0, 0, 1))
            self.expect(f"{name}: normal {normal} of {kind}", tuple(normal) == (0, 0, 1))
        on = {layer: [e for e in entities if e.dxf.layer == layer] for layer in wanted}
        outlines = on["CONTOUR"]
        self.expect(f"{name}: {len(outlines)} outlines", len(outlines) == 1)
        if len(outlines) != 1:
            return None
        for entity in (entity for layer in OUTLINES for entity in on[layer]):
            self.expect(f"{name}: an outline on {entity.dxf.layer} is open", entity.is_closed)
            self.no_repeats(name, corners(entity))
        vertices = corners(outlines[0])
        self.once(name, entities)
        self.text_reads(name, entities)
        bores = {layer: sorted((tuple(e.dxf.center)[:2], e.dxf.radius * 2) for e in on[layer]) for layer in CIRCLES}
        shape = flattened(vertices)
        self.expect(f"{name}: outline crosses itself", shape.is_valid)
        self.expect(f"{name}: outline runs clockwise", area(vertices) > 0)
        self.true_size(name, hand, part, vertices, shape, hinge_places(bores))
        self.layer_areas(name, part, vertices, [corners(e) for layer in ("LAPS", "RELIEFS") for e in on[layer]])
        self.seats(name, part, bores)
        screws = [corners(e) for e in on["SCREWS"]]
        self.screws(name, part, screws, shape)
        return vertices, bores, screws

    def plain_numbers(self, name, text):
        """Decimal numbers only: no exponents, no negative zero."""
        lines = text.splitlines()
        for code, value in zip(lines[::2], lines[1::2]):
            if int(code) in DECIMAL_CODES and not re.fullmatch(r"\s*-?\d+(\.\d*)?\s*", value):
                self.wrong.append(f"{name}: group {code.strip()} holds {value.strip()!r}")
            if int(code) in DECIMAL_CODES and value.strip().startswith("-") and float(value) == 0:
                self.wrong.append(f"{name}: group {code.strip()} holds a negative zero")

    def no_repeats(self, name, vertices):
        ring = vertices + vertices[:1]
        short = [a for a, b in zip(ring, ring[1:]) if math.dist(a[:2], b[:2]) < 1e-6]
        self.expect(f"{name}: repeated corner {short}", not short)

    def once(self, name, entities):
        """No two circles or outlines of a layer lie on each other."""
        seen = set()
        for entity in entities:
            if entity.dxftype() == "CIRCLE":
                place = (*(round(value, 4) for value in entity.dxf.center), round(entity.dxf.radius, 4))
            elif "POLYLINE" in entity.dxftype():
                place = tuple(sorted((round(x, 4), round(y, 4)) for x, y, _ in corners(entity)))
            else:
                continue
            self.expect(f"{name}: twice at {place} on {entity.dxf.layer}", (entity.dxf.layer, place) not in seen)
            seen.add((entity.dxf.layer, place))

    def layer_areas(self, name, part, vertices, pockets):
        """What pockets leave of the outline is what the solid has in its other layer."""
        rows = [row for row in self.solids if row["bar"] == part.replace("-", "_")]
        # The layer that is whole has the bores.
        whole = [row for row in rows if row["bores"]]
        cut = [row for row in rows if not row["bores"]]
        total = sum(area(piece_corners(p)) for p in whole[0]["pieces"])
        self.expect(f"{name}: outline of {area(vertices):.5f} mm², the solid has {total:.5f}",
                    abs(area(vertices) - total) <= AREA * total)
        left = sum(area(piece_corners(p)) for row in cut for p in row["pieces"])
        found = area(vertices) - sum(area(p) for p in pockets)
        wanted = left if cut else total
        self.expect(f"{name}: pockets leave {found:.5f} mm², the solid has {wanted:.5f}",
                    abs(found - wanted) <= AREA * total)

    def seats(self, name, part, bores):
        """Seats of the named bearing in the bars that hold them, from as many faces as it has
        bearings; a bore of the pin's size in the others."""
        joints = self.project.get("joints", {})
        known = BEARINGS.get(joints.get("bearing"))
        if known is None:
            self.expect(f"{name}: seats without a bearing", not any(bores[layer] for layer in SEATS))
            return
        bore, outside, width = known
        holds = part.endswith("arm") == (joints.get("seat_in", "bars") == "arms")
        # Where bearings leave nothing between them their seats are one bore, which a rule complains of.
        deep = max(row["depth_mm"] for row in self.solids
                   if row["bar"] == part.replace("-", "_") and row["bores"])
        count = joints.get("per_hinge", 1)
        room = deep > count * width
        for centre in hinge_places(bores):
            at_hinge = [size for layer in SEATS for at, size in bores[layer] if math.dist(at, centre) <= CENTRE]
            wanted = [float(outside)] * (count if room else 1) if holds else []
            self.expect(f"{name}: seats {at_hinge} at {centre}, not {wanted}",
                        len(at_hinge) == len(wanted) and all(abs(s - outside) < 1e-9 for s in at_hinge))
            through = [size for at, size in bores["BORES"] if math.dist(at, centre) <= CENTRE]
            if holds:
                good = len(through) == int(room) and all(bore < size < outside for size in through)
            else:
                good = len(through) == 1 and abs(through[0] - bore) < 1e-9
            self.expect(f"{name}: through bore of {through} at {centre}", good)

    def screws(self, name, part, screws, shape):
        """As many across wall and panel bar as the project has, each from face to face."""
        fixings = self.project.get("fixings", {})
        wanted = 0 if part.endswith("arm") or "diameter" not in fixings else fixings.get("count", 0)
        self.expect(f"{name}: {len(screws)} screw holes, {wanted} wanted", len(screws) == wanted)
        for screw in screws:
            xs = flattened(screw)
            off = xs.difference(shape).area
            self.expect(f"{name}: a screw hole lies {off:.6f} mm² outside", off < 1e-6 * xs.area)
            # The narrow hole, by the two corners at its far end.
            far = math.dist(screw[2][:2], screw[3][:2])
            self.expect(f"{name}: a hole of {far} mm for a screw of {fixings['diameter']} mm",
                        1.0 < far / fixings["diameter"] < 1.15)

    def text_reads(self, name, entities):
        texts = [e for e in entities if e.dxftype() == "TEXT"]
        self.expect(f"{name}: no text names the part", any(name.removesuffix(".dxf") in t.dxf.text for t in texts))
        for text in texts:
            self.expect(f"{name}: text is mirrored", text.dxf.get("text_generation_flag", 0) == 0)
            self.expect(f"{name}: text is turned", abs(text.dxf.get("rotation", 0.0)) < 1e-9)
            self.expect(f"{name}: text is squeezed", text.dxf.get("width", 1.0) > 0)

    def true_size(self, name, hand, part, vertices, shape, bores):
        reference, centres = expected_part(self.project, hand, part)
        for centre in centres:
            nearest = min(math.dist(centre, found) for found in bores) if bores else math.inf
            self.expect(f"{name}: bore at {centre} is {nearest:.6f} mm away", nearest <= CENTRE)
        self.expect(f"{name}: bores at {bores}", len(bores) == 2)
        self.expect(f"{name}: outline is {shape.hausdorff_distance(reference):.6f} mm off",
                    shape.hausdorff_distance(reference) <= 0.01)
        apart = math.dist(*centres)
        width = self.bar(part)["width"]
        if part.endswith("arm"):
            whole = apart * width + math.pi * width**2 / 4
        else:
            bar = self.bar(part)
            links = self.project["linkage"]
            side = part.removesuffix("-bar")
            rise = abs(links[f"{side}_upper"][1] - links[f"{side}_lower"][1])
            whole = width * (rise + bar["lower_end"] + bar["upper_end"])
        self.expect(f"{name}: area {area(vertices):.4f} mm², {whole:.4f} mm² is true size",
                    abs(area(vertices) - whole) <= AREA * whole)

    def bar(self, part):
        return self.project["bars"][part.replace("-", "_")]

    # Between files ----------------------------------------------------------------------------

    def hands(self, part, left, right):
        """The right part is the left one mirrored, and turning lays one on the other only where
        the part is its own mirror image."""
        mirrored = shapely.affinity.scale(flattened(left[0]), 1, -1, origin=(0, 0))
        other = flattened(right[0])
        off = mirrored.hausdorff_distance(other)
        self.expect(f"{part}: right is {off:.6f} mm off the mirrored left", off <= CENTRE)
        for layer in CIRCLES:
            for (centre, diameter), (twin, size) in zip(
                    sorted(((x, -y), d) for (x, y), d in left[1][layer]), right[1][layer], strict=True):
                self.expect(f"{part}: {layer} {centre} of the mirrored left lies at {twin}",
                            math.dist(centre, twin) <= CENTRE and abs(diameter - size) <= CENTRE)
        places = [sorted((round(x, 4), round(sign * y, 4)) for screw in screws for x, y, _ in screw)
                  for sign, screws in ((-1, left[2]), (1, right[2]))]
        self.expect(f"{part}: screw holes are not mirrored", all(
            math.dist(one, other) <= 2 * CENTRE for one, other in zip(*places, strict=True)))
        places = [[(place, 1.0) for place in hinge_places(bores)] for bores in (left[1], right[1])]
        found = lies_on(flattened(left[0]), places[0], other, places[1])
        wanted_left, wanted_right = (expected_part(self.project, hand, part) for hand in "LR")
        wanted = lies_on(wanted_left[0], [(c, 1.0) for c in wanted_left[1]],
                         wanted_right[0], [(c, 1.0) for c in wanted_right[1]])
        self.expect(f"{part}: left {'can' if found else 'cannot'} be turned onto right, which is wrong", found == wanted)

    def hole_table(self, parts):
        path = self.path / "hole-table.csv"
        if not path.is_file():
            self.wrong.append("hole-table.csv: missing")
            return
        with path.open(newline="", encoding="utf-8") as file:
            rows = list(csv.DictReader(file))
        for (hand, part), read in parts.items():
            if read is None:
                continue
            name = f"{hand}-{part}"
            own = [r for r in rows if r["part"] == name and r["hand"] == hand]
            for layers, features in ((SEATS, ("bearing seat",)), (("BORES",), ("clearance bore", "pin bore", "default bore"))):
                table = sorted(((float(r["x_mm"]), float(r["y_mm"])), float(r["diameter_mm"]))
                               for r in own if r["feature"] in features)
                drawn = sorted(circle for layer in layers for circle in read[1][layer])
                near = len(table) == len(drawn) and all(
                    math.dist(a[0], b[0]) <= CENTRE and abs(a[1] - b[1]) <= CENTRE for a, b in zip(table, drawn))
                self.expect(f"hole-table.csv: {name} has {table}, the drawing {drawn}", near)
            sinks = [r for r in own if r["feature"] == "countersink"]
            self.expect(f"hole-table.csv: {name} has {len(sinks)} screw holes", len(sinks) == len(read[2]))

    def manifest(self):
        path = self.path / "manifest.json"
        if not path.is_file():
            self.wrong.append("manifest.json: missing")
            return
        manifest = json.loads(path.read_text(encoding="utf-8"))
        there = {p.relative_to(self.path).as_posix() for p in self.path.rglob("*") if p.is_file()} - {"manifest.json"}
        listed = {entry["path"]: entry for entry in manifest["files"]}
        self.expect(f"manifest.json: lists {sorted(listed)}, there are {sorted(there)}", set(listed) == there)
        for name in there & set(listed):
            content = (self.path / name).read_bytes()
            self.expect(f"manifest.json: size of {name}", listed[name]["bytes"] == len(content))
            self.expect(f"manifest.json: hash of {name}", listed[name]["sha256"] == hashlib.sha256(content).hexdigest())
        own = hashlib.sha256((self.path / "project.overarm.json").read_bytes()).hexdigest()
        self.expect("manifest.json: the project's own hash", manifest["project_sha256"] == own)
        kept = json.loads((self.path / "project.overarm.json").read_text(encoding="utf-8"))
        self.expect("project.overarm.json: not the project that was given", same_data(kept, self.project))


# Shapes -------------------------------------------------------------------------------------------


def corners(outline):
    """[(x, y, bulge)] of a polyline of either kind."""
    if outline.dxftype() == "LWPOLYLINE":
        return [(x, y, bulge) for x, y, _, _, bulge in outline.get_points()]
    return [(v.dxf.location[0], v.dxf.location[1], v.dxf.get("bulge", 0.0)) for v in outline.vertices]


def hinge_places(bores):
    """Middles of all circles, each once, from left to right."""
    places = []
    for at in sorted(at for layer in CIRCLES for at, _ in bores[layer]):
        if all(math.dist(at, other) > CENTRE for other in places):
            places.append(at)
    return places


def piece_corners(piece):
    return [tuple(vertex) for vertex in piece]


def arc(start, end, bulge):
    """(centre, radius, start angle, swept angle) of a bulge's arc."""
    swept = 4 * math.atan(bulge)
    chord = math.dist(start, end)
    radius = chord / 2 / abs(math.sin(swept / 2))
    middle = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
    rise = chord / 2 / math.tan(swept / 2)
    along = ((end[0] - start[0]) / chord, (end[1] - start[1]) / chord)
    centre = (middle[0] - along[1] * rise, middle[1] + along[0] * rise)
    return centre, radius, math.atan2(start[1] - centre[1], start[0] - centre[0]), swept


def flattened(vertices, steps=240):
    """The outline as a fine polygon."""
    points = []
    for (x, y, bulge), following in zip(vertices, vertices[1:] + vertices[:1]):
        points.append((x, y))
        if bulge:
            centre, radius, begin, swept = arc((x, y), following[:2], bulge)
            points += [(centre[0] + radius * math.cos(begin + swept * k / steps),
                        centre[1] + radius * math.sin(begin + swept * k / steps)) for k in range(1, steps)]
    return shapely.Polygon(points)


def area(vertices):
    """Signed area within straight edges and true arcs; counter-clockwise positive."""
    total = 0.0
    for (x, y, bulge), following in zip(vertices, vertices[1:] + vertices[:1]):
        total += (x * following[1] - following[0] * y) / 2
        if bulge:
            _, radius, _, swept = arc((x, y), following[:2], bulge)
            total += radius**2 * (swept - math.sin(swept)) / 2
    return total


def expected_part(project, hand, part):
    """(outline, bore centres) in the part frame: origin at the lower (arms: wall-side) pivot, x
    towards the other one, seen from the outside of the set: the right set is mirrored."""
    links, hung = project["linkage"], project["panel"]["hung"]
    in_room = {
        "wall_lower": links["wall_lower"], "wall_upper": links["wall_upper"],
        "panel_lower": [links["panel_lower"][0] + hung["standoff"], links["panel_lower"][1] + hung["bottom"]],
        "panel_upper": [links["panel_upper"][0] + hung["standoff"], links["panel_upper"][1] + hung["bottom"]],
    }
    kind, shape = part.split("-")
    bar = project["bars"][part.replace("-", "_")]
    if shape == "arm":
        start, end = in_room[f"wall_{kind}"], in_room[f"panel_{kind}"]
        outline = shapely.LineString([start, end]).buffer(bar["width"] / 2, quad_segs=120)
    else:
        start, end = in_room[f"{kind}_lower"], in_room[f"{kind}_upper"]
        low, high = min(start[1], end[1]) - bar["lower_end"], max(start[1], end[1]) + bar["upper_end"]
        back = 0.0 if kind == "wall" else hung["standoff"] - bar["width"]
        outline = shapely.box(back, low, back + bar["width"], high)
    angle = math.atan2(end[1] - start[1], end[0] - start[0])
    outline = shapely.affinity.translate(outline, -start[0], -start[1])
    outline = shapely.affinity.rotate(outline, -angle, origin=(0, 0), use_radians=True)
    if hand == "R":
        outline = shapely.affinity.scale(outline, 1, -1, origin=(0, 0))
    return outline, [(0.0, 0.0), (math.dist(start, end), 0.0)]


def lies_on(one, bores, other, other_bores):
    """Whether one part can be turned in its plane onto the other, bores on bores."""
    (a, size_a), (b, size_b) = bores
    for (p, size_p), (q, size_q) in (other_bores, other_bores[::-1]):
        if abs(size_a - size_p) > CENTRE or abs(size_b - size_q) > CENTRE:
            continue
        turn = math.atan2(q[1] - p[1], q[0] - p[0]) - math.atan2(b[1] - a[1], b[0] - a[0])
        moved = shapely.affinity.rotate(shapely.affinity.translate(one, p[0] - a[0], p[1] - a[1]), turn,
                                        origin=p, use_radians=True)
        # Coarser than the centres: arcs are flattened, and a hand that differs less is no hand.
        if moved.hausdorff_distance(other) < 0.005:
            return True
    return False


def same_data(one, other):
    """Whether two JSON values say the same; 2 and 2.0 do, an empty list and none do."""
    if isinstance(one, dict) and isinstance(other, dict):
        one, other = ({k: v for k, v in side.items() if v != []} for side in (one, other))
        return one.keys() == other.keys() and all(same_data(one[k], other[k]) for k in one)
    if isinstance(one, list) and isinstance(other, list):
        return len(one) == len(other) and all(map(same_data, one, other))
    return one == other
