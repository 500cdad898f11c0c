"""What the stand-alone window costs and how soon it answers, under a virtual screen, without sound.

Nothing here passes or fails: it prints figures of this machine, for docs/window.md. A key is sent as
a keyboard would send it, and a part of the screen is read until it is another picture.

Usage: response.py UNDERPIN-WINDOW
"""

import os
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from Xlib import X, XK, display
from Xlib.ext import xtest

SCREEN = ":96"
PRESSES = 31
PATIENCE_S = 60
# A picture of a tone that stands still changes by less than this share of its pixels by itself.
STILL = 0.02
# Parts of the window of 960 by 600 points: left, top, width, height.
SHEET = (150, 120, 500, 300)
OUT_ROW = (160, 340, 380, 100)


class Screen:
    """The window, its keys and its pixels."""

    def __init__(self):
        self.display = display.Display(SCREEN)
        self.window = None

    def find(self):
        for window in self.display.screen().root.query_tree().children:
            if window.get_wm_name() == "Underpin":
                self.window = window
                window.set_input_focus(X.RevertToParent, X.CurrentTime)
                self.display.sync()
                return True
        return False

    def pixels(self, part):
        return self.window.get_image(*part, X.ZPixmap, 0xFFFFFFFF).data

    def key(self, name, is_down):
        code = self.display.keysym_to_keycode(XK.string_to_keysym(name))
        xtest.fake_input(self.display, X.KeyPress if is_down else X.KeyRelease, code)
        self.display.sync()

    def press(self, *names):
        for name in names:
            self.key(name, True)
        for name in reversed(names):
            self.key(name, False)


def wait(what, ready):
    for _ in range(PATIENCE_S * 5):
        if ready():
            return
        time.sleep(0.2)
    raise SystemExit(f"{what}: nothing after {PATIENCE_S} s")


def differ(one, other):
    """The share of bytes that differ, by every 16th."""
    one, other = one[::16], other[::16]
    return sum(a != b for a, b in zip(one, other)) / len(one)


def until_new(screen, part, share, keys):
    """Milliseconds from a key to another picture."""
    before = screen.pixels(part)
    begun = time.perf_counter()
    screen.press(*keys)
    while time.perf_counter() - begun < 10:
        if differ(before, screen.pixels(part)) > share:
            return 1000 * (time.perf_counter() - begun)
    raise SystemExit(f"{keys}: no other picture within 10 s")


def told(what, times):
    times = sorted(times)
    ninth = times[len(times) * 9 // 10]
    print(f"{what}: median {statistics.median(times):.0f} ms, 90 % within {ninth:.0f} ms, {len(times)} times")


def cpu_s(pid):
    fields = Path(f"/proc/{pid}/stat").read_text().rsplit(")", 1)[1].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def memory(pid):
    lines = Path(f"/proc/{pid}/smaps_rollup").read_text().splitlines()
    sizes = {line.split(":")[0]: int(line.split()[1]) / 1024 for line in lines[1:]}
    own = sizes["Private_Clean"] + sizes["Private_Dirty"]
    print(f"memory: {sizes['Rss']:.0f} MB resident, of which {own:.0f} MB its own, {sizes['Pss']:.0f} MB by share")
    mapped = {}
    name = "nameless"
    for line in Path(f"/proc/{pid}/smaps").read_text().splitlines():
        words = line.split()
        if "-" in words[0] and not words[0].endswith(":"):
            name = Path(words[5]).name if len(words) > 5 else "nameless"
        elif words[0] == "Rss:":
            mapped[name] = mapped.get(name, 0) + int(words[1]) / 1024
    largest = sorted(mapped.items(), key=lambda item: -item[1])[:6]
    print("  " + ", ".join(f"{name} {size:.0f} MB" for name, size in largest))


def at_rest(pid, what, seconds=20):
    before = cpu_s(pid)
    time.sleep(seconds)
    print(f"{what}: {100 * (cpu_s(pid) - before) / seconds:.1f} % of a core over {seconds} s")


def measure(screen, pid):
    time.sleep(8)
    memory(pid)
    at_rest(pid, "at rest, silence")
    views = [("Control_L", "2"), ("Control_L", "1")] * (PRESSES // 2 + 1)
    told("key to picture, view", [until_new(screen, SHEET, 0.0, keys) for keys in views])
    # The presses must not come in step with anything.
    plate = (600, 470, 340, 100)
    times = []
    for i in range(PRESSES):
        time.sleep(0.05 + 0.013 * (i % 7))
        times.append(until_new(screen, plate, 0.0, ("b",)))
    told("key to picture, bypass", times)
    if PRESSES % 2:
        screen.press("b")
    screen.press("t")
    time.sleep(0.5)
    screen.key("Return", True)
    time.sleep(1.6)
    screen.key("Return", False)
    screen.press("Control_L", "3")
    time.sleep(6)
    before = screen.pixels(OUT_ROW)
    moved = 0.0
    for _ in range(20):
        time.sleep(0.1)
        moved = max(moved, differ(before, screen.pixels(OUT_ROW)))
    print(f"Scope of a tone: at most {100 * moved:.1f} % of its pixels change by themselves in 2 s")
    times = []
    for i in range(8):
        time.sleep(2.0 + 0.037 * i)
        times.append(until_new(screen, OUT_ROW, max(STILL, 2 * moved), ("b",)))
    told("setting to Scope", times)
    at_rest(pid, "a tone measured and shown in Scope", 5)


def main(program):
    with tempfile.TemporaryDirectory() as folder:
        env = os.environ | {"DISPLAY": SCREEN, "UNDERPIN_FOLDER": folder, "NICE_LOG": "/dev/null"}
        server = subprocess.Popen(["Xvfb", SCREEN, "-screen", "0", "1280x800x24"], stderr=subprocess.DEVNULL)
        running = None
        try:
            wait("screen", lambda: Path(f"/tmp/.X11-unix/X{SCREEN[1:]}").exists())
            running = subprocess.Popen([program, "--backend", "dummy"], env=env)
            screen = Screen()
            wait("window", screen.find)
            measure(screen, running.pid)
        finally:
            for process in (running, server):
                if process is not None and process.poll() is None:
                    process.terminate()
                    process.wait()


if __name__ == "__main__":
    main(*sys.argv[1:])
