"""For tests/real-window: where handles may be in a picture, and what a saved project says of a drag.

    window_handles.py find PICTURE              candidates "x y", a line each, likeliest first
    window_handles.py changed BEFORE AFTER      "field dx dy" in mm of the one point that moved; nothing if none did
    window_handles.py follows DX DY FIELD MX MY exit 1 unless the point moved the pointer's way
    window_handles.py fields PICTURE            number fields of the page at the left, as they are read: "x y", a line each
    window_handles.py failing PICTURE           how many pixels have the colour of what fails
    window_handles.py rule NAME <FINDINGS       whether a rule holds after `overarm check --json`: holds, fails or unknown
    window_handles.py close WINDOW              asks a window to close, as a window manager does
"""

import ctypes
import json
import math
import subprocess
import sys

import numpy as np
from scipy import ndimage

# What can be dragged is drawn in this colour on light paper.
ACCENT = np.array([0x0B, 0x6E, 0x99])
# What fails, on light paper; the ground of fields.
FAILS = np.array([0xB3, 0x26, 0x1E])
PAPER = np.array([0xFB, 0xFA, 0xF7])
# Least and greatest size of a handle on the screen, points.
SIZES = 8, 30


def pixels_of(picture):
    width, height = map(int, run("identify", "-format", "%w %h", picture).split())
    data = subprocess.run(["convert", picture, "-depth", "8", "rgb:-"], capture_output=True, check=True).stdout
    return np.frombuffer(data, np.uint8).reshape(height, width, 3).astype(int)


def find(picture):
    pixels = pixels_of(picture)
    width = pixels.shape[1]
    marked = np.abs(pixels - ACCENT).max(axis=2) < 40
    labels, _ = ndimage.label(marked, structure=np.ones((3, 3)))
    places = []
    for rows, columns in ndimage.find_objects(labels):
        high, wide = rows.stop - rows.start, columns.stop - columns.start
        round_enough = SIZES[0] <= high <= SIZES[1] and SIZES[0] <= wide <= SIZES[1] and abs(high - wide) <= 3
        # The sketch fills the left of the window; the rules at its right have no handles.
        if round_enough and columns.stop < 0.75 * width:
            places.append(((columns.start + columns.stop - 1) / 2, (rows.start + rows.stop - 1) / 2))
    for x, y in places:
        print(round(x), round(y))


def fields(picture):
    """Fields are boxes of paper on the page's ground; figures and units stand in them."""
    pixels = pixels_of(picture)
    paper = np.abs(pixels - PAPER).max(axis=2) < 3
    labels, _ = ndimage.label(paper)
    places = []
    for rows, columns in ndimage.find_objects(labels):
        high, wide = rows.stop - rows.start, columns.stop - columns.start
        if 24 <= high <= 40 and 80 <= wide <= 130 and columns.stop < 0.3 * pixels.shape[1]:
            places.append(((rows.start + rows.stop) // 2, (columns.start + columns.stop) // 2))
    for y, x in sorted(places):
        print(x, y)


def failing(picture):
    print(int((np.abs(pixels_of(picture) - FAILS).max(axis=2) < 24).sum()))


def rule(name):
    found = [finding["holds"] for finding in json.load(sys.stdin)["rules"] if finding["rule"] == name]
    print({True: "holds", False: "fails"}.get(found[0] if found else None, "unknown"))


def changed(before, after):
    one, other = (points(json.load(open(path, encoding="utf-8"))) for path in (before, after))
    moved = [(name, other[name][0] - at[0], other[name][1] - at[1]) for name, at in one.items() if other.get(name) != at]
    if len(moved) > 1 or one.keys() != other.keys():
        print("several", *(name for name, _, _ in moved))
    for name, x, y in moved[:1] if len(moved) == 1 else []:
        print(name, f"{x:.6f}", f"{y:.6f}")


def points(value, name=""):
    """Every number pair of a project by its field's path."""
    if isinstance(value, list) and len(value) == 2 and all(isinstance(v, (int, float)) for v in value):
        return {name: value}
    items = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    found = {}
    for key, inner in items:
        found |= points(inner, f"{name}.{key}" if name else str(key))
    if isinstance(value, (int, float)) and name.startswith("panel.hung"):
        found[name] = [value, 0]
    return found


def follows(dx, dy, field, x, y):
    """Screen y points down. Snapping may shift a place a little: direction within 15 degrees."""
    wanted, found = math.atan2(-dy, dx), math.atan2(y, x)
    turn = abs(math.degrees(math.remainder(found - wanted, 2 * math.pi)))
    if turn > 15 or math.hypot(x, y) < 1:
        print(f"{field} moved by {x}, {y} mm with a drag of {dx}, {dy} points", file=sys.stderr)
        return 1
    print(f"{math.hypot(x, y) / math.hypot(dx, dy):.3f} mm a point")
    return 0


def close(window):
    """Sends WM_DELETE_WINDOW (ICCCM 4.2.8.1); there is no window manager to do it."""

    class ClientMessage(ctypes.Structure):
        _fields_ = [("type", ctypes.c_int), ("serial", ctypes.c_ulong), ("send_event", ctypes.c_int),
                    ("display", ctypes.c_void_p), ("window", ctypes.c_ulong), ("message_type", ctypes.c_ulong),
                    ("format", ctypes.c_int), ("data", ctypes.c_long * 5), ("room", ctypes.c_long * 24)]

    x11 = ctypes.CDLL("libX11.so.6")
    x11.XOpenDisplay.restype = ctypes.c_void_p
    x11.XInternAtom.restype = ctypes.c_ulong
    x11.XInternAtom.argtypes = [ctypes.c_void_p, ctypes.c_char_p, ctypes.c_int]
    x11.XSendEvent.argtypes = [ctypes.c_void_p, ctypes.c_ulong, ctypes.c_int, ctypes.c_long, ctypes.c_void_p]
    x11.XFlush.argtypes = x11.XCloseDisplay.argtypes = [ctypes.c_void_p]
    display = x11.XOpenDisplay(None)
    client_message = 33
    event = ClientMessage(type=client_message, window=window, format=32,
                          message_type=x11.XInternAtom(display, b"WM_PROTOCOLS", False))
    event.data[0] = x11.XInternAtom(display, b"WM_DELETE_WINDOW", False)
    x11.XSendEvent(display, window, False, 0, ctypes.byref(event))
    x11.XFlush(display)
    x11.XCloseDisplay(display)


def run(*command):
    return subprocess.run(command, capture_output=True, text=True, check=True).stdout


if __name__ == "__main__":
    what, *words = sys.argv[1:]
    if what in ("find", "fields", "failing", "rule"):
        {"find": find, "fields": fields, "failing": failing, "rule": rule}[what](words[0])
    elif what == "changed":
        changed(*words)
    elif what == "close":
        close(int(words[0]))
    else:
        sys.exit(follows(float(words[0]), float(words[1]), words[2], float(words[3]), float(words[4])))
