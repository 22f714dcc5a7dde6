"""The PDF files of a job folder read back by poppler, which shares no code with the writer.

Page sizes are exact, fonts are inside, a bar of 100 mm measures 100 mm where it is rastered, no word
lies off its sheet or over another one, poppler has nothing to complain of, and the dimensions on the
drawings are those of the project, worked out here: between pivots and from datums, sizes, fits with
their limits, screws, and the corners of half laps and reliefs as the DXF files have them.
"""

import copy
import csv
import math
import re
import subprocess
from pathlib import Path
from tempfile import TemporaryDirectory

import ezdxf
import ezdxf.path
import numpy
import shapely

from program import GOLDEN, make
from read_dxf import BEARINGS, arc, corners, expected_part

POINTS = 72 / 25.4
INCH = 25.4
# Sizes of sheets, mm.
A4, A3, LETTER, TABLOID = (210, 297), (420, 297), (8.5 * INCH, 11 * INCH), (17 * INCH, 11 * INCH)
SHEETS = {
    "mm": {"drawings": A3, "set-up-sheets": A4, "wall-template": A4, "mock-up": A4, "job-sheet": A4},
    "in": {"drawings": TABLOID, "set-up-sheets": LETTER, "wall-template": LETTER, "mock-up": LETTER, "job-sheet": LETTER},
}
FULL_SIZE = ("wall-template", "mock-up")
# poppler prints page sizes to six figures.
SIZE_PT = 0.006
# The bar, mm, and how finely it is rastered.
BAR, BAR_OFF, DPI = 100.0, 0.1, 600
DARK = 160
# A word's box reaches from the typeface's highest to its lowest letter; ink of figures and capitals is
# this share of its height in from both sides.
BARE = 0.2
# Boxes may share this much of the smaller one: rounding.
SHARED = 0.02
# Words of one line of a table, in points; how far the end of a cell may stand below its start; and from
# one row to the next where both have two lines.
LINE, SAME_ROW, ROW = 2.0, 13.5, 34.0
# The files beside the sheets round their places to 0.0001 mm.
ROUNDED = 1e-4
# What lies on a part's edge, mm.
ON_EDGE = 1e-3
# What an outside diameter may be too small, mm, by the diameter up to which (ISO 492, normal class).
RING = ((18, 0.008), (30, 0.009), (50, 0.011))
# The fit of a bore that holds its pin for good.
PIN_BORE = "P7"
# Words of one sentence stand nearer to each other, points.
APART = 4.0
# Greys of what is toned, and the share of it that lines and words leave seen, with the key's swatch.
TONES = ((227, 234), (206, 213))
TONED = (0.6, 1.04)
# How finely a datum's frame is rastered.
DATUM_DPI = 150
# ISO 5455.
SCALES = {(5, 1), (2, 1), (1, 1), (1, 2), (1, 5), (1, 10), (1, 20), (1, 50)}
# An A3 sheet of words and lines takes a moment.
PATIENCE_S = 60


class Sheets:
    """The PDF files of one project's job folder."""

    def __init__(self, project, made_from=None):
        self.project = project
        self.made_from = made_from or project
        self.wrong = []
        self.pages = 0

    def expect(self, what, true):
        if not true:
            self.wrong.append(what)

    def differences(self):
        kinds = SHEETS["mm" if self.project.get("units", "mm") == "mm" else "in"]
        with TemporaryDirectory() as place:
            folder, again = Path(place) / "job", Path(place) / "again"
            make(self.made_from, folder, "--only", ",".join([*kinds, "parts", "hole-table"]))
            make(self.made_from, again, "--only", ",".join(kinds))
            for kind, size in kinds.items():
                path = folder / f"{kind}.pdf"
                if not path.is_file():
                    self.wrong.append(f"{path.name}: missing")
                    continue
                self.expect(f"{path.name}: other bytes the second time", path.read_bytes() == (again / path.name).read_bytes())
                self.file(path, size)
            if (folder / "drawings.pdf").is_file():
                self.drawings(folder)
        return self.wrong

    def poppler(self, *command):
        """What a tool prints; anything on its error output is a difference."""
        done = subprocess.run(command, capture_output=True, timeout=PATIENCE_S, check=False)
        said = done.stderr.decode(errors="replace").strip()
        self.expect(f"{Path(command[-1]).name}: {command[0]} says {said!r}, exit {done.returncode}", not said and done.returncode == 0)
        return done.stdout

    # One file ---------------------------------------------------------------------------------

    def file(self, path, size):
        name = path.name
        info = self.poppler("pdfinfo", "-f", "1", "-l", "999", str(path)).decode()
        sizes = re.findall(r"Page +\d+ size: +([\d.]+) x ([\d.]+)", info)
        self.pages += len(sizes)
        self.expect(f"{name}: no page", sizes)
        for width, height in sizes:
            off = max(abs(float(width) - size[0] * POINTS), abs(float(height) - size[1] * POINTS))
            self.expect(f"{name}: a page of {width} × {height} points", off <= SIZE_PT)
        fonts = self.poppler("pdffonts", str(path)).decode().splitlines()[2:]
        self.expect(f"{name}: no font", fonts)
        for font in fonts:
            self.expect(f"{name}: font not inside: {font}", re.search(r"\byes yes yes\b", font) and re.search("B612|DejaVu", font))
        for number, (page, words) in enumerate(self.words(path), 1):
            self.boxes(f"{name}, page {number}", page, words)
            text = " ".join(word for word, *_ in words)
            self.expect(f"{name}, page {number}: no caution", "local codes" in text and "kill" in text)
            if name.removesuffix(".pdf") in FULL_SIZE:
                self.expect(f"{name}, page {number}: does not say how to print it", "Print at 100 %" in text)
                self.bar(path, number, words)
                self.rulers(f"{name}, page {number}", words)

    def words(self, path):
        """Of every page its size and words, (text, left, top, right, bottom), in points."""
        html = self.poppler("pdftotext", "-bbox", str(path), "-").decode()
        for page in re.split(r"<page ", html)[1:]:
            width, height = (float(number) for number in re.match(r'width="([\d.]+)" height="([\d.]+)"', page).groups())
            found = re.findall(r'<word xMin="([-\d.]+)" yMin="([-\d.]+)" xMax="([-\d.]+)" yMax="([-\d.]+)">(.*?)</word>', page)
            yield (width, height), [(unescaped(text), *map(float, box)) for *box, text in found]

    def boxes(self, where, page, words):
        bare = []
        for word, left, top, right, bottom in words:
            if len(word) > 1 and bottom - top > right - left:
                by = BARE * (right - left)
                box = (left + by, top, right - by, bottom)
            else:
                by = BARE * (bottom - top)
                box = (left, top + by, right, bottom - by)
            inside = box[0] >= 0 and box[1] >= 0 and box[2] <= page[0] and box[3] <= page[1]
            self.expect(f"{where}: {word!r} lies off the sheet", inside)
            bare.append((word, box))
        boxes = numpy.array([box for _, box in bare])
        for index, (word, box) in enumerate(bare):
            others = boxes[index + 1:]
            if not len(others):
                continue
            wide = numpy.minimum(others[:, 2], box[2]) - numpy.maximum(others[:, 0], box[0])
            high = numpy.minimum(others[:, 3], box[3]) - numpy.maximum(others[:, 1], box[1])
            areas = numpy.minimum((others[:, 2] - others[:, 0]) * (others[:, 3] - others[:, 1]), (box[2] - box[0]) * (box[3] - box[1]))
            for other in numpy.nonzero((wide > 0) & (high > 0) & (wide * high > SHARED * areas))[0]:
                self.wrong.append(f"{where}: {word!r} and {bare[index + 1 + other][0]!r} lie over each other")

    def bar(self, path, number, words):
        """The longest dark run just below the words "this bar: 100 mm"."""
        found = [(left, bottom) for (word, left, _, _, bottom), (after, *_) in zip(words, words[1:]) if (word, after) == ("this", "bar:")]
        self.expect(f"{path.name}, page {number}: {len(found)} bars", len(found) == 1)
        if len(found) != 1:
            return
        scale = DPI / 72
        top, deep = round((found[0][1] - 1) * scale), round(12 * scale)
        image = self.poppler("pdftoppm", "-r", str(DPI), "-f", str(number), "-l", str(number), "-gray",
                             "-x", "0", "-y", str(top), "-W", str(round(14 * DPI)), "-H", str(deep), str(path))
        rows = grey(image)
        longest = max(longest_run(row < DARK) for row in rows) * INCH / DPI
        self.expect(f"{path.name}, page {number}: the bar measures {longest:.3f} mm", abs(longest - BAR) <= BAR_OFF)

    def rulers(self, where, words):
        """Labels of the rulers up the left edge and along the lower one stand as far apart as they say."""
        unit = POINTS if self.project.get("units", "mm") == "mm" else 72
        labels = [(value, box) for word, *box in words if (value := self.on_ruler(word)) is not None]
        for axis, across in (("upwards", 0), ("along", 1)):
            # The largest row or column of labels that share an edge.
            rows = [[label for label in labels if abs(label[1][across] - edge[1][across]) < 0.2
                     and abs(label[1][across + 2] - edge[1][across + 2]) < 0.2] for edge in labels]
            row = sorted(max(rows, key=len, default=[]))
            self.expect(f"{where}: no ruler {axis}", len(row) >= 4)
            places = [(value, (box[1 - across] + box[3 - across]) / 2) for value, box in row]
            for (value, at), (after, further) in zip(places, places[1:]):
                measured = (at - further if axis == "upwards" else further - at) / unit
                self.expect(f"{where}: ruler {axis} from {value} to {after} measures {measured:.4f}",
                            abs(measured - (after - value)) * unit <= BAR_OFF * POINTS)

    def on_ruler(self, word):
        """What a ruler's label says: whole millimetres or inches, or feet and inches with their marks."""
        if self.project.get("units", "mm") != "ft-in":
            return int(word.replace("−", "-")) if re.fullmatch(r"−?\d+", word) else None
        found = re.fullmatch(r"""(−?)(?:(\d+)'-)?(\d+)\"""", word)
        return found and (-1 if found[1] else 1) * (12 * int(found[2] or 0) + int(found[3]))

    # Drawings ---------------------------------------------------------------------------------

    def drawings(self, folder):
        path, numbers, drawn = folder / "drawings.pdf", [], []
        with (folder / "hole-table.csv").open(newline="", encoding="utf-8") as file:
            holes = list(csv.DictReader(file))
        pages = list(self.words(path))
        self.assembly(f"{path.name}, assembly", pages[0][1])
        for page, (_, words) in enumerate(pages[1:], 2):
            text = " ".join(word for word, *_ in words)
            number = re.search(r"\bPart drawing (\d+)\b", text)
            subject = re.search(r"\b(Left|Right) (wall bar|panel bar|lower arm|upper arm)\b", text)
            self.expect(f"{path.name}: a sheet without number or name: {text[-300:]}", number and subject)
            if not number or not subject:
                continue
            numbers.append(number.group(1))
            name = subject.group(0).lower()
            hand, part = subject.group(1)[0], subject.group(2).replace(" ", "-")
            drawn.append((hand, part))
            self.datums(f"{path.name}, {name}", path, page, words)
            self.section(f"{path.name}, {name}", text)
            self.dimensions(f"{path.name}, {name}", hand, part, words)
            frame = SheetFrame(self.project, hand, part)
            stem = f"{hand}-{part}"
            self.hole_rows(f"{path.name}, {name}", frame, [hole for hole in holes if hole["part"] == stem], words)
            self.names(f"{path.name}, {name}", [hole for hole in holes if hole["part"] == stem], words)
            self.edge_view(f"{path.name}, {name}", words, text)
            self.figures(f"{path.name}, {name}", text)
            self.lowered(f"{path.name}, {name}", path, page, folder / "parts" / f"{stem}.dxf", text)
            self.contours(f"{path.name}, {name}", frame, folder / "parts" / f"{stem}.dxf", words)
        # Every part of each hand has its own sheet with its own number, whether or not the two are alike.
        self.expect(f"{path.name}: numbers {numbers} of {drawn}",
                    len(set(numbers)) == len(numbers) == 8 and len(set(drawn)) == 8)

    def datums(self, where, path, page, words):
        """The letters of both datums, each in a frame of 5 mm as it is rastered (ISO 5459)."""
        image = grey(self.poppler("pdftoppm", "-r", str(DATUM_DPI), "-f", str(page), "-l", str(page), "-gray", str(path))) < DARK
        scale, side = DATUM_DPI / 72, DATUM_DPI / INCH
        half, inner = round(2.5 * side), round(2 * side)

        def framed(left, top, right, bottom):
            x, about = round((left + right) / 2 * scale), (top + bottom) / 2 * scale
            # The letter's box reaches from the typeface's highest to its lowest letter: its middle is near.
            for y in range(round(about - 1.2 * side), round(about + 1.2 * side) + 1):
                columns = [image[y - inner:y + inner, x + way * half - 2:x + way * half + 3].mean(axis=0) for way in (-1, 1)]
                rows = [image[y + way * half - 2:y + way * half + 3, x - inner:x + inner].mean(axis=1) for way in (-1, 1)]
                if all(line.size and line.max() > 0.95 for line in columns + rows):
                    return True
            return False

        for letter in "AB":
            found = [box for word, *box in words if word == letter]
            self.expect(f"{where}: no datum {letter}", any(framed(*box) for box in found))

    def assembly(self, where, words):
        """Pins have their limits; bearings are pressed in only where one is chosen."""
        text = " ".join(word for word, *_ in words)
        joints = self.project.get("joints", {})
        bearing, pin = joints.get("bearing"), joints.get("pin")
        self.expect(f"{where}: bearings are {'not ' if bearing else ''}pressed in", ("Press the bearings in" in text) == bool(bearing))
        self.expect(f"{where}: not said that no bearing is chosen", bearing or "No bearing is chosen, so none is pressed in" in text)
        if bearing in BEARINGS and pin:
            bore = BEARINGS[bearing][0]
            row = next((line for line in lines(words) if {"Hinge", "pin,"} <= {word for word, *_ in line}), [])
            there = {word.strip(",") for word, *_, bottom in words if row and abs(bottom - row[0][4]) < SAME_ROW}
            size = {f"Ø{way}" for way in self.figure(bore, True)}
            self.expect(f"{where}: pins {sorted(there)}, not {sorted(size)}", size & there)
            for ways in self.off_printed(bore, listed_limits(pin, bore, "shafts")):
                self.expect(f"{where}: pins {sorted(there)}, not {sorted(ways)}", ways & there)

    def names(self, where, holes, words):
        """Every hole's name stands in the table, screws in order, and once more at a view."""
        screws = [hole["hole"].replace("screw ", "S") for hole in holes if hole["feature"] == "screw hole"]
        for name in ["H1", "H2", *screws]:
            at_view = [word for line in lines(words) for word in alone(line) if word[0] == name and not row_of(line, name)]
            self.expect(f"{where}: {name} is named at {len(at_view)} views", at_view)
        rows = [line[0][0] for line in lines(words) if re.fullmatch(r"S\d", line[0][0]) and row_of(line, line[0][0])]
        self.expect(f"{where}: screws in rows {rows}", rows == sorted(screws))

    def edge_view(self, where, words, text):
        """The view onto the edge has a letter, and the arrow with it is at the side that it is seen from."""
        seen = re.search(r"\bY seen from (above|below), inner face (up|down)\b", text)
        self.expect(f"{where}: no view Y", seen and seen.group(1, 2) in (("above", "up"), ("below", "down")))
        follows = [after for _, (after, *_) in zip(words, words[1:])] + [""]
        letters = [word[4] for word, after in zip(words, follows) if word[0] == "Y" and after != "seen"]
        names = [word[4] for line in lines(words) for word in alone(line) if word[0] in ("H1", "H2")]
        if seen and names:
            beyond = [letter < min(names) if seen.group(1) == "above" else letter > max(names) for letter in letters]
            self.expect(f"{where}: no arrow for the view {seen.group(0)}", any(beyond))

    def figures(self, where, text):
        """What stays between two seats has its figure in the section; in feet and inches, fractions stand for what is
        sawn alone, the decimal behind them."""
        web = re.search(r"\bWeb ([\d.\"]+) to ([\d.\"]+)", text)
        if web and "from the inner face and the outer face" in text:
            self.expect(f"{where}: no figure of the web {web.group(0)}", f"({web.group(1)} to {web.group(2)})" in text)
        fractions = re.findall(r"\d+/\d+\"", text)
        sawn = re.search(r"sawn to (?:(\d+)'\s)?(?:(\d+)-)?(\d+)(?:/(\d+))?\"(?:\s\(([\d.]+)\"\))?\.", text)
        if self.project.get("units", "mm") != "ft-in":
            self.expect(f"{where}: fractions {fractions}", not fractions)
            return
        self.expect(f"{where}: no sawn length, or fractions {fractions}", sawn and len(fractions) <= 1)
        if sawn:
            feet, whole, top, under, exact = sawn.groups()
            told = 12 * int(feet or 0) + (int(whole or 0) + int(top) / int(under) if under else int(top))
            self.expect(f"{where}: {sawn.group(0)}", exact is None or abs(told - float(exact)) <= 1 / 128 + 0.0005)

    def lowered(self, where, path, page, model, text):
        """What lies low is toned, as large as the DXF file has it, and a key says on which side."""
        entities = [entity for entity in ezdxf.readfile(model).modelspace() if entity.dxf.layer in ("LAPS", "RELIEFS")]
        key = re.search(r"\blow(| behind), (half lap|relief): ", text)
        self.expect(f"{where}: {'no key' if entities else 'a key'} to what is low", bool(key) == bool(entities))
        if not entities or not key:
            return
        self.expect(f"{where}: {key.group(0)}", (key.group(1) == " behind") == ("arm" in where))
        places = [list(ezdxf.path.make_path(entity).flattening(0.02)) for entity in entities]
        shapes = [shapely.Polygon([(place.x, place.y) for place in around]).buffer(0) for around in places]
        # What stands in a pocket is an outline of its own within it.
        low = sum(shape.area * (-1 if any(other.contains(shape) for other in shapes if other is not shape) else 1) for shape in shapes)
        view = re.search(r"(?<!\S)(\d+):(\d+)(?!\S)", text)
        scale = int(view.group(1)) / int(view.group(2))
        image = grey(self.poppler("pdftoppm", "-r", str(DATUM_DPI), "-f", str(page), "-l", str(page), "-gray", str(path)))
        toned = 0.0
        for darkest, lightest in TONES:
            # Only what has the tone about it: not the edges of letters.
            tone = (image >= darkest) & (image <= lightest)
            inside = tone[1:-1, 1:-1] & tone[:-2, 1:-1] & tone[2:, 1:-1] & tone[1:-1, :-2] & tone[1:-1, 2:]
            toned += inside.sum() * (INCH / DATUM_DPI) ** 2
        share = toned / (low * scale ** 2)
        self.expect(f"{where}: {share:.2f} of what is low is toned", TONED[0] <= share <= TONED[1])

    def section(self, where, text):
        """The section is drawn at no smaller scale than the views, and both to scales of ISO 5455."""
        section = re.search(r"X–X \((\d+):(\d+)\)", text)
        # The views' stands alone, in the title block.
        view = re.search(r"(?<!\S)(\d+):(\d+)(?!\S)", text)
        self.expect(f"{where}: no scale of section or views", section and view)
        if section and view:
            scales = [tuple(int(number) for number in found.groups()) for found in (section, view)]
            self.expect(f"{where}: scales {scales}", set(scales) <= SCALES)
            self.expect(f"{where}: section and views at {scales}", scales[0][0] / scales[0][1] >= scales[1][0] / scales[1][1])

    def dimensions(self, where, hand, part, words):
        """Every size that the project fixes stands on the sheet as a word of its own."""
        there = {word for word, *_ in words}
        for what, value in self.sizes(hand, part):
            fine = what.startswith("bore")
            said = self.figure(value, fine)
            self.expect(f"{where}: {what} {said} is not on the sheet", said & there)
        # Bores and their places stand to 0.001 mm or 0.0001 in, never finer but for limits that leave nothing there.
        finest = 3 if self.project.get("units", "mm") == "mm" else 4
        told = {way.strip("+−") for ways in self.off_printed(*self.fit(part)) for way in ways}
        seat = any(re.search(rf"\d\.\d{{{finest + 1},}}", way) for way in told)
        finer = [word for word in there if re.search(rf"\d\.\d{{{finest + 1},}}", word)] if not seat else []
        self.expect(f"{where}: {finer} is finer than {finest} decimals", not finer)
        # Whatever carries a tolerance is one of the bores' distances.
        bores = set().union(*(self.figure(value, True) for what, value in self.sizes(hand, part) if what.startswith("bore")))
        for (word, *_), (after, *_) in zip(words, words[1:]):
            if after.startswith("±") and re.fullmatch(r"[\d.]+\"?", word):
                self.expect(f"{where}: {word} {after} is no distance of its bores", word in bores)
                self.expect(f"{where}: {word} {after} is freer than it is allowed", self.held(hand, part, word, after))

    def held(self, hand, part, word, after):
        """Whether a printed place and how far it may be off it stay within what the project allows."""
        tolerances = self.project.get("tolerances", {})
        millimetres = self.project.get("units", "mm") == "mm"
        per = 1.0 if millimetres else INCH
        nominal, free = (per * float(figure.strip('"±')) for figure in (word, after))
        for what, value in self.sizes(hand, part):
            allowed = tolerances.get({"bore to bore": "length", "bore from edge": "offset"}.get(what))
            # In millimetres the printed size is the one that is meant.
            off = 0.0 if millimetres else abs(nominal - value)
            if allowed is not None and word in self.figure(value, True) and free + off <= allowed + 1e-6:
                return True
        return False

    def hole_rows(self, where, frame, holes, words):
        """The hole table's rows: hinges with fit and limits, screws with their places."""
        rows = {}
        for line in lines(words):
            # A hinge's name stands on the view as well, alone.
            if re.fullmatch(r"[HS]\d", line[0][0]) and len(line) > 3:
                # The end of a cell may stand on the next line of the row.
                rows[line[0][0]] = {word for word, *_, bottom in words if abs(bottom - line[0][4]) < SAME_ROW}
        hinges = [hole for hole in holes if hole["feature"] in ("bearing seat", "pin bore", "default bore")]
        places = dict.fromkeys((float(hole["x_mm"]), float(hole["y_mm"])) for hole in hinges)
        self.expect(f"{where}: {len(places)} hinges", len(places) == 2)
        _, centres = expected_part(self.project, frame.hand, frame.part)
        for index, centre in enumerate(centres, 1):
            x, y = frame.place(*centre)
            fitted, limits = self.fit(frame.part)
            said = [self.figure(value, True) for value in (x, y, fitted)]
            self.in_row(where, rows, f"H{index}", said + self.off_printed(fitted, limits))
        screws = [hole for hole in holes if hole["feature"] == "screw hole"]
        self.expect(f"{where}: {len(screws)} screws, rows {sorted(rows)}", len(rows) == 2 + len(screws))
        for hole in screws:
            x, _ = frame.place(float(hole["x_mm"]), float(hole["y_mm"]))
            sizes = (x, float(hole["diameter_mm"]), float(hole["z_mm"]))
            said = [self.figure(value, False, off=ROUNDED) for value in sizes]
            self.in_row(where, rows, hole["hole"].replace("screw ", "S"), said)

    def in_row(self, where, rows, name, said):
        there = rows.get(name, set())
        for ways in said:
            self.expect(f"{where}: row {name} has {sorted(there)}, not {sorted(ways)}", ways & there)

    def fit(self, part):
        """Diameter of the bore that is fitted, mm, and its limits off it."""
        joints = self.project.get("joints", {})
        bore, outside, _ = BEARINGS.get(joints.get("bearing"), (8, None, None))
        if outside is None:
            return bore, None
        if part.endswith("arm") != (joints.get("seat_in", "bars") == "arms"):
            return bore, listed_limits(PIN_BORE, bore)
        housing = joints.get("housing")
        if isinstance(housing, str):
            return outside, listed_limits(housing, outside)
        if not housing:
            return outside, None
        least, most = housing["interference"]
        ring = next(by for up_to, by in RING if outside <= up_to)
        return outside, (-ring - least, -most)

    def contours(self, where, frame, path, words):
        """Corners of half laps and reliefs: as the DXF file has them, in the sheet's own table."""
        entities = ezdxf.readfile(path).modelspace()
        pockets = [corners(entity) for entity in entities if entity.dxf.layer in ("LAPS", "RELIEFS")]
        edge = shapely.Polygon([(x, y) for x, y, _ in frame.outline]).exterior
        found = corner_rows(words)
        self.expect(f"{where}: a table of corners for no pocket", pockets or not found)
        self.expect(f"{where}: corners numbered {[row[0] for row in found]}",
                    sorted(int(row[0]) for row in found) == list(range(1, len(found) + 1)))
        drawn = []

        def is_own(x, y):
            return edge.distance(shapely.Point(x, y)) <= ON_EDGE

        for pocket in pockets:
            told = []
            for (x, y, bulge), after in ways(pocket, frame.hand == "R"):
                here = [self.figure(value, False, plain=True, off=ROUNDED) for value in frame.place(x, y)]
                drawn.append(here)
                rows = [row for row in found if row[1] in here[0] and row[2] in here[1]]
                self.expect(f"{where}: corner at {here} is in {len(rows)} rows", len(rows) == 1 or not rows and is_own(x, y))
                if not rows:
                    continue
                if bulge:
                    centre, radius, begin, swept = arc((x, y), after, bulge)
                    middle = [centre[0] + radius * math.cos(begin + swept / 2),
                              centre[1] + radius * math.sin(begin + swept / 2)]
                    wanted = {f"R{way}" for way in self.figure(radius, False, plain=True, off=ROUNDED)}
                else:
                    middle = [(x + after[0]) / 2, (y + after[1]) / 2]
                    wanted = {"line"}
                told.append((rows[0], {"edge", "end"} if is_own(*middle) else wanted))
            for ((number, _, _, rest), wanted), (following, _) in zip(told, told[1:] + told[:1]):
                self.expect(f"{where}: from corner {number} {rest}, not {wanted}", rest[0].rstrip(",") in wanted)
                leads = int(rest[-1]) if "to" in rest else int(number) + 1
                self.expect(f"{where}: corner {number} leads to {leads}, not {following[0]}", leads == int(following[0]))
        for _, x, y, _ in found:
            self.expect(f"{where}: corner {x}, {y} is in no pocket", any(x in a and y in b for a, b in drawn))

    def signed(self, value):
        """A limit with its sign."""
        said = set()
        for way in self.figure(abs(value), True):
            nothing = not re.search("[1-9]", way)
            said.add("0" if nothing else f"{'−' if value < 0 else '+'}{way}")
        return said

    def off_printed(self, nominal, limits):
        """Limits with their signs. In inches both sizes are rounded inwards to 0.0001, or where that leaves nothing
        between them to as many more decimals as it takes, and stand off the nominal size as it is printed, so that table
        and gauges agree."""
        if self.project.get("units", "mm") == "mm" or not limits:
            return [self.signed(limit) for limit in limits or ()]
        mark = '"' if self.project.get("units") == "ft-in" else ""
        for decimals in range(4, 8):
            one = 10**-decimals * INCH
            low = math.ceil((nominal + min(limits)) / one - 1e-6)
            high = math.floor((nominal + max(limits)) / one + 1e-6)
            if low < high:
                break
        printed = round(nominal / INCH * 1e4) * 10**(decimals - 4)
        off = [size - printed for size in (low, high)]
        return [{f"{'−' if by < 0 else '+'}{abs(by) / 10**decimals:.{decimals}f}{mark}" if by else "0"} for by in off]

    def sizes(self, hand, part):
        outline, ((ax, ay), (bx, by)) = expected_part(self.project, hand, part)
        links, bar = self.project["linkage"], self.project["bars"][part.replace("-", "_")]
        yield "bore to bore", math.dist((ax, ay), (bx, by))
        yield "depth", bar["depth"]
        yield "width", bar["width"]
        if part.endswith("arm"):
            yield "length", math.dist((ax, ay), (bx, by)) + bar["width"]
            return
        wall = part == "wall-bar"
        low, high = links["wall_lower" if wall else "panel_lower"], links["wall_upper" if wall else "panel_upper"]
        yield "bore from edge", abs(low[0])
        yield "bore from edge", abs(high[0])
        yield "lower end", bar["lower_end"]
        yield "length", abs(high[1] - low[1]) + bar["lower_end"] + bar["upper_end"]

    def figure(self, value, fine, plain=False, off=1e-9):
        """The ways a size may be written that is known to this much: rounding of a half may go either
        way; `plain` has no inch mark."""
        units = self.project.get("units", "mm")
        if plain and value < 0:
            return {f"−{way}" if re.search("[1-9]", way) else way for way in self.figure(-value, fine, plain, off)}
        units = "in" if plain and units == "ft-in" else units
        decimals = (3 if fine else 2) if units == "mm" else (4 if fine else 3)
        value = value if units == "mm" else value / INCH
        mark = '"' if units == "ft-in" else ""
        said = {f"{value + by:.{decimals}f}{mark}" for by in (-off, 0, off)}
        if units == "ft-in" and not fine and abs(value * 64 - round(value * 64)) < 0.05:
            said |= set(inches(value))
        return said


class SheetFrame:
    """From a part's frame to the axes of its sheet: X from the left end (arms: from H1), Y from datum A
    (arms: from the axis)."""

    def __init__(self, project, hand, part):
        self.hand, self.part = hand, part
        shape, centres = expected_part(project, hand, part)
        self.outline = [(x, y, 0.0) for x, y in shape.exterior.coords[:-1]]
        links, side = project["linkage"], part.split("-")[0]
        if part.endswith("arm"):
            self.along, self.start, self.datum = (1.0, 0.0), 0.0, None
            return
        low, high = links[f"{side}_lower"], links[f"{side}_upper"]
        turn = math.atan2(high[1] - low[1], high[0] - low[0])
        mirror = -1 if hand == "R" else 1
        # Upwards in the room, and from the lower pivot square to the edge that is fixed.
        self.along = (math.sin(turn), mirror * math.cos(turn))
        self.start = min(x * self.along[0] + y * self.along[1] for x, y, _ in self.outline)
        foot = (-low[0] * math.cos(turn), mirror * low[0] * math.sin(turn))
        self.datum = self.across(*foot)
        self.inwards = 1 if self.across(*centres[0]) > self.datum else -1

    def across(self, x, y):
        return y * self.along[0] - x * self.along[1]

    def place(self, x, y):
        along = x * self.along[0] + y * self.along[1] - self.start
        if self.datum is None:
            return along, self.across(x, y)
        return along, self.inwards * (self.across(x, y) - self.datum)


# Where the last column of the table of corners begins, from its first.
LAST_COLUMN = 36 * POINTS


def lines(words):
    """Words of one height, from left to right; only those that read across."""
    found = []
    for word in sorted(words, key=lambda word: word[4]):
        if found and abs(found[-1][0][4] - word[4]) <= LINE:
            found[-1].append(word)
        else:
            found.append([word])
    return [sorted(line, key=lambda word: word[1]) for line in found]


def ways(pocket, clockwise):
    """Each corner of a pocket with its bulge and the place it leads to; both hands walk mirrored ways."""
    count = len(pocket)
    for index in reversed(range(count)) if clockwise else range(count):
        (x, y, bulge), after, before = pocket[index], pocket[(index + 1) % count], pocket[index - 1]
        yield ((x, y, -before[2]), before[:2]) if clockwise else ((x, y, bulge), after[:2])


def corner_rows(words):
    """Rows of the table of corners, (number, x, y, [words to the next corner])."""
    heads = sorted((word for word in words if word[0] == "P"), key=lambda word: word[1])
    rows = []
    for index, (_, left, _, _, bottom) in enumerate(heads):
        right = heads[index + 1][1] if index + 1 < len(heads) else left + 62 * POINTS
        inside = [word for word in words if left - 1 <= word[1] < right - 1 and word[4] > bottom + 1]
        for line in lines(inside):
            # What did not fit beside the corner stands below it in the last column.
            if rows and line[0][1] > left + LAST_COLUMN and line[0][4] - bottom <= ROW:
                rows[-1][3].extend(word for word, *_ in line)
                bottom = line[0][4]
                continue
            if line[0][4] - bottom > ROW or not re.fullmatch(r"\d+", line[0][0]) or len(line) < 4:
                break
            bottom = line[0][4]
            number, x, y, *rest = (word for word, *_ in line)
            rows.append((number, x, y, rest))
    return rows


def alone(line):
    """Words of a line that no other stands close beside."""
    ends = [float("-inf"), *(word[3] for word in line)]
    starts = [*(word[1] for word in line[1:]), float("inf")]
    return [word for word, end, start in zip(line, ends, starts) if word[1] - end > APART and start - word[3] > APART]


def row_of(line, name):
    """Whether a line of words is the table's row of a hole."""
    return line[0][0] == name and len(line) > 3 and re.match("lower|upper|wall|panel|across", line[1][0])


def listed_limits(name, diameter, of="holes"):
    """Upper and lower limit of a hole or a shaft, mm (ISO 286-2, see the head of the table)."""
    for line in (GOLDEN / "limits" / f"{of}.csv").read_text(encoding="utf-8").splitlines():
        row = line.split(",")
        if row[0] == name and float(row[1]) < diameter <= float(row[2]):
            return float(row[3]) / 1000, float(row[4]) / 1000
    raise ValueError(f"{name} of {diameter} mm is not in the table of limits")


def inches(value):
    """A whole number of 64ths as people write it: 1-1/2", and the last word of 1' 6-1/2"."""
    parts = round(value * 64)
    whole, rest = divmod(parts % (12 * 64), 64)
    divisor = math.gcd(rest, 64)
    fraction = f"{rest // divisor}/{64 // divisor}" if rest else ""
    yield f'{whole}-{fraction}"' if whole and rest else f'{fraction or whole}"'


def unnoticed(demo):
    """What is not noticed of sheets that were made from a project a little different from the one they
    are compared with."""

    def changed(*path, to):
        project = copy.deepcopy(demo)
        at = project
        for key in path[:-1]:
            at = at[key]
        at[path[-1]] = to
        return project

    spoils = {
        "an upper wall pivot 0.02 mm off": changed("linkage", "wall_upper", 1, to=demo["linkage"]["wall_upper"][1] + 0.02),
        "an arm 0.05 mm wider": changed("bars", "lower_arm", "width", to=demo["bars"]["lower_arm"]["width"] + 0.05),
        "a seat of another class": changed("joints", "housing", to="N6"),
        "another bearing": changed("joints", "bearing", to="688"),
        "pins of another class": changed("joints", "pin", to="g6"),
    }
    return [what for what, other in spoils.items() if not Sheets(demo, made_from=other).differences()]


def unescaped(text):
    for mark, letter in (("&lt;", "<"), ("&gt;", ">"), ("&quot;", '"'), ("&apos;", "'"), ("&#39;", "'"), ("&amp;", "&")):
        text = text.replace(mark, letter)
    return text


def grey(pgm):
    """Rows of a binary PGM file."""
    width, height, head = re.match(rb"P5\s+(\d+)\s+(\d+)\s+255\s", pgm).group(1, 2, 0)
    return numpy.frombuffer(pgm, dtype=numpy.uint8, offset=len(head)).reshape(int(height), int(width))


def longest_run(dark):
    edges = numpy.flatnonzero(numpy.diff(numpy.concatenate(([0], dark.astype(numpy.int8), [0]))))
    return int((edges[1::2] - edges[::2]).max(initial=0))
