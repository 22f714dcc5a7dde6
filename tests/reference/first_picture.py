"""How long the window takes from its start to its first picture, under a virtual display.

    first_picture.py PROGRAM [TIMES]    default 9 times; exit code 1 above the limit

The clock starts before the process and stops when pixels in the middle of the screen show more than
the ground: the drawing. Rasterisation in software is part of it. Needs Xvfb and a quiet machine.
"""

import ctypes
import os
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

# First picture after the start, seconds: what feels like at once.
LIMIT = 0.5
WIDTH, HEIGHT = 1920, 1080
# A strip across the middle crosses wall, lift and rules once they are drawn.
STRIP = 0, HEIGHT // 3, WIDTH, 8


class Display:
    """The virtual display, looked at without a program of its own for every look."""

    def __init__(self, name):
        x11 = self.x11 = ctypes.CDLL("libX11.so.6")
        x11.XOpenDisplay.restype = x11.XGetImage.restype = ctypes.c_void_p
        x11.XDefaultRootWindow.restype = x11.XGetPixel.restype = ctypes.c_ulong
        x11.XDefaultRootWindow.argtypes = [ctypes.c_void_p]
        x11.XGetPixel.argtypes = [ctypes.c_void_p, ctypes.c_int, ctypes.c_int]
        x11.XGetImage.argtypes = [ctypes.c_void_p, ctypes.c_ulong, ctypes.c_int, ctypes.c_int, ctypes.c_uint,
                                  ctypes.c_uint, ctypes.c_ulong, ctypes.c_int]
        self.display = x11.XOpenDisplay(name.encode())
        if not self.display:
            raise SystemExit(f"first_picture: the display {name} cannot be opened")
        self.root = x11.XDefaultRootWindow(self.display)
        self.free = x11.XDestroyImage
        self.free.argtypes = [ctypes.c_void_p]

    def colours(self):
        all_planes, z_pixmap = 2**32 - 1, 2
        image = self.x11.XGetImage(self.display, self.root, *STRIP, all_planes, z_pixmap)
        seen = {self.x11.XGetPixel(image, x, 4) for x in range(0, WIDTH, 4)}
        self.free(image)
        return len(seen)


def first_picture(program, display, environment):
    started = time.monotonic()
    process = subprocess.Popen([program], env=environment, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    try:
        # Ground and an empty window are one or two colours; a drawing has letters and hatching.
        while display.colours() < 8:
            if process.poll() is not None:
                raise SystemExit(f"first_picture: {program} ended with {process.returncode} before its first picture")
            if time.monotonic() - started > 30:
                raise SystemExit("first_picture: no picture within 30 s")
            time.sleep(0.002)
        return time.monotonic() - started
    finally:
        process.kill()
        process.wait()
        while display.colours() > 2:
            time.sleep(0.01)


def main():
    program, times = sys.argv[1], int(sys.argv[2]) if len(sys.argv) > 2 else 9
    folder = Path(tempfile.mkdtemp())
    reading, writing = os.pipe()
    display = subprocess.Popen(
        ["Xvfb", "-displayfd", str(writing), "-screen", "0", f"{WIDTH}x{HEIGHT}x24", "-nolisten", "tcp"],
        pass_fds=[writing], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    try:
        os.close(writing)
        name = ":" + os.fdopen(reading).readline().strip()
        # Nothing of this machine's desktop: no settings, no session bus, no graphics card.
        (folder / "run").mkdir(mode=0o700)
        environment = {"HOME": str(folder), "XDG_RUNTIME_DIR": str(folder / "run"), "DISPLAY": name,
                       "LIBGL_ALWAYS_SOFTWARE": "1", "PATH": os.environ["PATH"]}
        looked_at = Display(name)
        taken = [first_picture(program, looked_at, environment) for _ in range(times + 1)][1:]
    finally:
        display.kill()
        shutil.rmtree(folder, ignore_errors=True)
    median = statistics.median(taken)
    print(f"first picture: {median:.3f} s in the median of {times} starts, {max(taken):.3f} s at most, "
          f"load {os.getloadavg()[0]:.1f} (asked: {LIMIT} s)")
    sys.exit(median > LIMIT)


if __name__ == "__main__":
    main()
