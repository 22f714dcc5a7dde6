"""The PDF files of a job folder read back by poppler, which shares no code with the writer.

Page sizes are exact, fonts are inside, a bar of 100 mm measures 100 mm where it is rastered, no word
lies off its sheet or over another one, poppler has nothing to complain of, and the dimensions on the
drawings are those of the project, worked out here.
"""

import math
import re
import subprocess
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy

from program import make
from read_dxf import expected_part

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
# An A3 sheet of words and lines takes a moment.
PATIENCE_S = 60


class Sheets:
    """The PDF files of one project's job folder."""

    def __init__(self, project):
        self.project = project
        self.wrong = []
        self.pages = 0

    def expect(self, what, true):
        if not true:
            self.wrong.append(what)

    def differences(self):
        kinds = SHEETS["mm" if self.project.get("units", "mm") == "mm" else "in"]
        with TemporaryDirectory() as place:
            folder, again = Path(place) / "job", Path(place) / "again"
            make(self.project, folder, "--only", ",".join(kinds))
            make(self.project, again, "--only", ",".join(kinds))
            for kind, size in kinds.items():
                path = folder / f"{kind}.pdf"
                if not path.is_file():
                    self.wrong.append(f"{path.name}: missing")
                    continue
                self.expect(f"{path.name}: other bytes the second time", path.read_bytes() == (again / path.name).read_bytes())
                self.file(path, size)
            if (folder / "drawings.pdf").is_file():
                self.drawings(folder / "drawings.pdf")
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
            self.expect(f"{name}: font not inside: {font}", re.search(r"\byes yes yes\b", font) and "B612" in font)
        for number, (page, words) in enumerate(self.words(path), 1):
            self.boxes(f"{name}, page {number}", page, words)
            text = " ".join(word for word, *_ in words)
            self.expect(f"{name}, page {number}: no caution", "local codes" in text and "kill" in text)
            if name.removesuffix(".pdf") in FULL_SIZE:
                self.expect(f"{name}, page {number}: does not say how to print it", "Print at 100 %" in text)
                self.bar(path, number, words)

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

    # Drawings ---------------------------------------------------------------------------------

    def drawings(self, path):
        numbers = []
        for _, words in list(self.words(path))[1:]:
            text = " ".join(word for word, *_ in words)
            number = re.search(r"\bPart drawing (\d+)\b", text)
            subject = re.search(r"\b(Left|Right|Wall|Panel|Lower|Upper) (wall bar|panel bar|lower arm|upper arm|bar|arm)\b", text)
            self.expect(f"{path.name}: a sheet without number or name: {text[-300:]}", number and subject)
            if not number or not subject:
                continue
            numbers.append(number.group(1))
            name = subject.group(0).lower()
            hand = "R" if name.startswith("right ") else "L"
            self.dimensions(f"{path.name}, {name}", hand, name.removeprefix("left ").removeprefix("right ").replace(" ", "-"), words)
        self.expect(f"{path.name}: numbers {numbers}", len(set(numbers)) == len(numbers) and len(numbers) >= 4)

    def dimensions(self, where, hand, part, words):
        """Every size that the project fixes stands on the sheet as a word of its own."""
        there = {word for word, *_ in words}
        for what, value in self.sizes(hand, part):
            fine = what.startswith("bore")
            said = self.figure(value, fine)
            self.expect(f"{where}: {what} {said} is not on the sheet", said & there)
        # Whatever carries a tolerance is one of the bores' distances.
        bores = set().union(*(self.figure(value, True) for what, value in self.sizes(hand, part) if what.startswith("bore")))
        for (word, *_), (after, *_) in zip(words, words[1:]):
            if after.startswith("±") and re.fullmatch(r"[\d.]+\"?", word):
                self.expect(f"{where}: {word} {after} is no distance of its bores", word in bores)

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

    def figure(self, value, fine):
        """The ways a size may be written: rounding of a half may go either way."""
        units = self.project.get("units", "mm")
        decimals = (3 if fine else 2) if units == "mm" else (4 if fine else 3)
        value = value if units == "mm" else value / INCH
        mark = '"' if units == "ft-in" else ""
        said = {f"{value + by:.{decimals}f}{mark}" for by in (-1e-9, 0, 1e-9)}
        if units == "ft-in" and not fine and abs(value * 64 - round(value * 64)) < 0.05:
            said |= set(inches(value))
        return said


def inches(value):
    """A whole number of 64ths as people write it: 1-1/2", and the last word of 1' 6-1/2"."""
    parts = round(value * 64)
    whole, rest = divmod(parts % (12 * 64), 64)
    divisor = math.gcd(rest, 64)
    fraction = f"{rest // divisor}/{64 // divisor}" if rest else ""
    yield f'{whole}-{fraction}"' if whole and rest else f'{fraction or whole}"'


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
