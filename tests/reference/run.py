"""Runs every independent check and counts it; the last line is "N passed, N failed".

    tests/.venv/bin/python tests/reference/run.py [--lifts N] [--first SEED] [--solids N] [--dense N]

OVERARM names the program to check; by default target/release/overarm.
"""

import argparse
import collections
import json
import sys
import time
import traceback
from pathlib import Path

import bearing_stops
import licences
import part_errors
import random_lifts
import random_motion
import random_solids
import shared_case
import read_pdf
import read_step
import strap_pull
from hardware import with_hardware
from lift_maker import random_lift
from program import PROGRAM, ROOT
from read_dxf import VERSIONS, Folder

# The random lifts whose job folders are made and read back.
FOLDERS = 20
# The random lifts whose strap is pulled by the physics library.
PULLED = 20
# The random lifts whose lands and shoulders are looked at.
STOPPED = 100
# Differences printed of one lift; the rest are counted.
SHOWN = 6


class Tally:
    """Counts checks; prints what failed as it happens."""

    def __init__(self):
        self.passed = self.failed = 0

    def count(self, name, differences):
        if not differences:
            self.passed += 1
            return
        self.failed += 1
        print(f"FAILED {name}")
        for line in differences[:SHOWN]:
            print(f"  {line}")
        if len(differences) > SHOWN:
            print(f"  and {len(differences) - SHOWN} more")

    def run(self, name, check):
        """One check; a crash of either side is a failure of this check."""
        try:
            self.count(name, check())
        except Exception:
            self.count(name, traceback.format_exc(limit=4).splitlines())


def printed(demo):
    """Projects whose sheets are printed: every demo, both builds, every unit, an overlong title with accents, a
    rule that fails."""
    projects = {path.stem: json.loads(path.read_text(encoding="utf-8")) for path in sorted((ROOT / "demo").glob("*.json"))}
    for units in ("in", "ft-in"):
        projects[f"the demo, {units}"] = {**demo, "units": units}
    projects["the demo as a sandwich"] = {**demo, "bars": {**demo["bars"], "build": "sandwich"}}
    projects["no bearing chosen"] = {**demo, "joints": {key: value for key, value in demo["joints"].items() if key != "bearing"}}
    projects["an overlong title"] = {**demo, "title": "Küchenklappe für die Łódzer Kapelle " * 12}
    projects["a rule that fails"] = {**demo, "room": {**demo["room"], "clearance": 400}}
    return projects


def main():
    words = argparse.ArgumentParser(description=__doc__)
    words.add_argument("--lifts", type=int, default=500, help="random lifts to compare (500)")
    words.add_argument("--first", type=int, default=0, help="seed of the first (0)")
    words.add_argument("--solids", type=int, default=250, help="random lifts whose bars are checked as solids (250)")
    words.add_argument("--dense", type=int, default=300,
                       help="random lifts whose outlines, least distances and touches are sampled densely (300)")
    options = words.parse_args()
    tally = Tally()

    if not Path(PROGRAM).is_file():
        tally.count("program", [f"{PROGRAM} is not there; cargo build --release makes it"])
        print(f"{tally.passed} passed, {tally.failed} failed")
        return 1

    tally.run("licences", lambda: licences.refused()[1])
    tally.run("chapel hatch board", shared_case.compare)

    start = time.monotonic()
    kinds, figures = collections.Counter(), 0
    for seed, kind, compared, differences in random_lifts.compare_all(options.first, options.lifts):
        tally.count(f"random lift, seed {seed} ({kind})", differences)
        kinds[kind] += 1
        figures += compared
    print(f"{options.lifts} random lifts, {figures} figures compared, {time.monotonic() - start:.0f} s:")
    for kind, count in kinds.most_common():
        print(f"  {count:4} {kind}")

    tally.run("solids of the chapel hatch board", random_solids.chapel)
    tally.run("spoilt solids are noticed", random_solids.unnoticed)
    start = time.monotonic()
    kinds, figures, shares = collections.Counter(), 0, collections.defaultdict(list)
    for seed, kind, compared, told, differences in random_solids.compare_all(options.first, options.solids):
        tally.count(f"solids of a random lift, seed {seed} ({kind})", differences)
        kinds[kind] += 1
        figures += compared
        for name, figure in told.items():
            shares[name].append(figure)
    print(f"solids of {options.solids} random lifts, {figures} figures compared, {time.monotonic() - start:.0f} s:")
    for kind, count in kinds.most_common():
        print(f"  {count:4} {kind}")
    print(random_solids.summary(shares))

    tally.run("dense samples of the chapel hatch board", random_motion.chapel)
    tally.run("spoilt findings are noticed", random_motion.unnoticed)
    start = time.monotonic()
    figures, told = 0, collections.defaultdict(list)
    for seed, kind, compared, values, differences in random_motion.compare_all(options.first, options.dense):
        tally.count(f"dense samples of a random lift, seed {seed} ({kind})", differences)
        figures += compared
        for name, value in values.items():
            told[name].append(value)
    print(f"dense samples of {options.dense} random lifts, {figures} figures, {time.monotonic() - start:.0f} s:")
    print(random_motion.summary(told))

    tally.run("spoilt lands and shoulders are noticed", bearing_stops.unnoticed)
    start = time.monotonic()
    kinds = collections.Counter()
    for seed, stops, _, differences in bearing_stops.compare_all(options.first, STOPPED):
        if stops:
            tally.count(f"lands and shoulders of a random lift, seed {seed}", differences)
        kinds.update(stops)
    print(f"stops cut into {STOPPED} random lifts, {time.monotonic() - start:.0f} s: "
          + ", ".join(f"{count} {kind}s" for kind, count in kinds.most_common()))

    start = time.monotonic()
    figures = 0
    for seed, compared, differences in strap_pull.compare_all(options.first, PULLED):
        tally.count(f"strap of a random lift, seed {seed}", differences)
        figures += compared
    print(f"pull of {PULLED} straps by a physics library, {figures} poses, {time.monotonic() - start:.0f} s")

    tally.run("spoilt part errors are noticed", part_errors.unnoticed)
    figures, python, ours = 0, [], []
    for seed, differences, compared, took, whole, _ in part_errors.compare_all(options.first):
        tally.count(f"part errors of a random lift, seed {seed}", differences)
        figures += compared
        python.append(took)
        ours.append(whole)
    ratio = sum(python) / sum(ours)
    print(f"part errors of {len(ours) // 2} lifts by NumPy, uniform and normal, {figures} figures; 100,000 sets and pairs take NumPy "
          f"{sum(python) / len(python):.2f} s, the whole program {sum(ours) / len(ours):.2f} s: {ratio:.0f} times")

    demo = json.loads((ROOT / "demo" / "chapel-hatch.overarm.json").read_text(encoding="utf-8"))
    projects = {"demo": demo}
    for seed in range(options.first, options.first + FOLDERS):
        # Every other one with bearings and screws: the rest names none.
        project = random_lift(seed)[0]
        projects[f"seed {seed}"] = with_hardware(project, seed) if seed % 2 else project
    files = 0
    for name, project in projects.items():
        for version in VERSIONS:
            folder = Folder(project, version)
            tally.run(f"job folder of {name}, {version}", folder.differences)
            files += folder.files
    print(f"{files} part files read back from {len(projects) * len(VERSIONS)} job folders")

    tally.run("spoilt bodies are noticed", lambda: [f"not noticed: {what}" for what in read_step.unnoticed(demo)])
    bodies = 0
    for seed in range(options.first, options.first + FOLDERS):
        # With seats and screws, and with stock and cutters of all sizes.
        projects[f"seed {seed}"] = with_hardware(random_solids.solids_lift(seed)[0], seed)
    # Sizes that are fractions of inches: no figure of theirs ends after four decimals of a millimetre.
    feet = ROOT / "demo" / "vestry-tea-hatch-feet.overarm.json"
    projects[feet.stem] = json.loads(feet.read_text(encoding="utf-8"))
    for name, project in projects.items():
        steps = read_step.Steps(project)
        tally.run(f"bodies of {name}", steps.differences)
        bodies += steps.files
    print(f"{bodies} bodies read back from {len(projects)} job folders")

    tally.run("spoilt sheets are noticed", lambda: [f"not noticed: {what}" for what in read_pdf.unnoticed(demo)])
    pages = 0
    for name, project in printed(demo).items():
        sheets = read_pdf.Sheets(project)
        tally.run(f"sheets of {name}", sheets.differences)
        pages += sheets.pages
    print(f"{pages} pages of PDF read back")

    print(f"{tally.passed} passed, {tally.failed} failed")
    return 0 if tally.failed == 0 else 1


if __name__ == "__main__":
    sys.exit(main())
