"""Every crate built in must offer a licence that deny.toml allows."""

import json
import re
import subprocess
import tomllib

from program import ROOT

TARGET = "x86_64-unknown-linux-gnu"


def refused():
    """(crates looked at, those whose licence expression the list does not satisfy)."""
    allowed = set(tomllib.loads((ROOT / "deny.toml").read_text(encoding="utf-8"))["licenses"]["allow"])
    done = subprocess.run(["cargo", "metadata", "--format-version", "1", "--locked", "--all-features",
                           "--filter-platform", TARGET], cwd=ROOT, capture_output=True, text=True, check=True)
    tree = json.loads(done.stdout)
    used = {node["id"] for node in tree["resolve"]["nodes"]}
    packages = [package for package in tree["packages"] if package["id"] in used]
    return len(packages), [f"{p['name']} {p['version']}: {p['license']}" for p in packages
                           if not p["license"] or not satisfied(p["license"], allowed)]


def satisfied(expression, allowed):
    """Whether an SPDX expression (or the old "A/B") can be met from the allowed licences."""
    words = re.findall(r"\(|\)|[^\s()]+", expression.replace("/", " OR "))
    value, rest = alternatives(words, allowed)
    if rest:
        raise ValueError(f"licence expression not understood: {expression}")
    return value


def alternatives(words, allowed):
    value, words = conjunction(words, allowed)
    while words and words[0] == "OR":
        other, words = conjunction(words[1:], allowed)
        value = value or other
    return value, words


def conjunction(words, allowed):
    value, words = single(words, allowed)
    while words and words[0] == "AND":
        other, words = single(words[1:], allowed)
        value = value and other
    return value, words


def single(words, allowed):
    if words[0] == "(":
        value, words = alternatives(words[1:], allowed)
        return value, words[1:]
    name, words = words[0], words[1:]
    if words and words[0] == "WITH":
        name, words = f"{name} WITH {words[1]}", words[2:]
    return name in allowed, words
