"""Runs the program under test: OVERARM names it, else the release build."""

import json
import os
import subprocess
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
PROGRAM = os.environ.get("OVERARM", str(ROOT / "target" / "release" / "overarm"))
GOLDEN = ROOT / "tests" / "golden"
# A lift is worked out in a fraction of a second, on a busy machine too: what takes longer hangs.
PATIENCE_S = 20


def check(project, poses=61, *options):
    """`overarm check - --json` of a project; raises with the program's own words if it refuses."""
    done = subprocess.run([PROGRAM, "check", "-", "--json", "--poses", str(poses), *options], input=json.dumps(project),
                          capture_output=True, text=True, timeout=PATIENCE_S, check=False)
    if done.returncode not in (0, 1):
        raise RuntimeError(f"exit {done.returncode}: {done.stderr.strip()}")
    findings = json.loads(done.stdout, parse_constant=refuse)
    expected = 1 if findings["verdict"] == "fails" else 0
    if done.returncode != expected:
        raise RuntimeError(f"verdict {findings['verdict']} with exit {done.returncode}")
    return findings


def make(project, folder, *options):
    """`overarm make` of a project given as data, into a folder."""
    done = subprocess.run([PROGRAM, "make", "-", "--out", str(folder), *options], input=json.dumps(project),
                          capture_output=True, text=True, timeout=PATIENCE_S, check=False)
    if done.returncode != 0:
        raise RuntimeError(f"exit {done.returncode}: {done.stderr.strip()}")


def refuse(word):
    raise ValueError(f"{word} in the findings; a number that does not exist is null")
