"""Pictures of the window in a real host while sound goes through it.

The VST3 plugin is opened by dawdreamer, whose thread of sound runs beside the
window; every view is chosen by its word. Nothing is compared: look at them.

The plan it shows is the demo's.

Usage: shots.py UNDERPIN.vst3 UNDERPIN FOLDER
"""

import os
import subprocess
import sys
import threading
import time
from pathlib import Path

import dawdreamer
import numpy
from PIL import Image
from Xlib import X, display
from Xlib.ext import xtest

import sound

SCREEN = ":95"
# Atoms a window manager would have made; the host asks for them and takes none for an answer.
ATOMS = """WM_PROTOCOLS WM_TAKE_FOCUS WM_DELETE_WINDOW WM_CHANGE_STATE WM_STATE _NET_WM_PING
_NET_WM_SYNC_REQUEST _NET_WM_USER_TIME _NET_ACTIVE_WINDOW _NET_WM_PID _NET_WM_NAME _NET_WM_ICON
_NET_WM_ICON_NAME _NET_WM_WINDOW_TYPE _NET_WM_WINDOW_TYPE_NORMAL _NET_WM_STATE
_NET_WM_STATE_HIDDEN _NET_WM_STATE_FULLSCREEN _NET_WM_STATE_ABOVE _NET_WM_ALLOWED_ACTIONS
_NET_WM_ACTION_MOVE _NET_WM_ACTION_RESIZE _NET_WM_ACTION_MINIMIZE _NET_WM_ACTION_FULLSCREEN
_NET_WM_ACTION_CLOSE _NET_WM_ACTION_CHANGE_DESKTOP _NET_FRAME_EXTENTS _NET_SUPPORTED
_NET_SUPPORTING_WM_CHECK _NET_WM_BYPASS_COMPOSITOR _MOTIF_WM_HINTS
_KDE_NET_WM_WINDOW_TYPE_OVERRIDE XdndAware XdndEnter XdndLeave XdndPosition XdndStatus XdndDrop
XdndFinished XdndSelection XdndProxy XdndTypeList XdndActionList XdndActionDescription
XdndActionCopy XdndActionPrivate XdndActionMove _XEMBED _XEMBED_INFO CLIPBOARD TARGETS
UTF8_STRING _XSETTINGS_SETTINGS MANAGER""".split()

# Where the words of the views and the word of the colours stand in a window of 960 by 600.
VIEWS = {"spectrum": (40, 19), "bands": (99, 19), "scope": (150, 19), "partials": (203, 19), "plan": (253, 19)}
COLOURS = (869, 590)

# More of the plugin beside the one that is looked at: the host renders as fast as it can, and the
# window hears no more than some ten times real time.
COMPANY = 100

# Pictures taken until a view is filled, and the size of one that is.
TRIES, FILLED_BYTES = 20, 20_000

# Seconds of sound in one go.
GO_S = 240


def radio(hz, seconds):
    """Pink noise through a fourth-order Butterworth high-pass, as an invented radio gives it."""
    count = seconds * sound.RATE_HZ
    draw = numpy.random.default_rng(7)
    spectrum = numpy.fft.rfft(draw.standard_normal(count))
    f = numpy.maximum(numpy.fft.rfftfreq(count, 1 / sound.RATE_HZ), 1.0)
    shaped = spectrum / numpy.sqrt(f) / numpy.sqrt(1 + (hz / f) ** 8)
    wave = numpy.fft.irfft(shaped, count)
    wave *= 0.1 / numpy.sqrt(numpy.mean(wave**2))
    return numpy.stack([wave, wave]).astype(numpy.float32)


def host(path, kind):
    """The host's process: a window, and sound that goes round behind it."""
    signal = radio(80, 4) if kind == "noise" else 0.2 * sound.tone(60, 4)
    engine = dawdreamer.RenderEngine(sound.RATE_HZ, 512)
    source = engine.make_playback_processor("source", numpy.tile(signal, GO_S // 4))
    effect = engine.make_plugin_processor("effect", path)
    for index, parameter in enumerate(effect.get_parameters_description()):
        if parameter["name"] == "Band gain":
            # From -18 to +18 dB: +6 dB.
            effect.set_parameter(index, 24 / 36)
    graph = [(source, []), (effect, ["source"])]
    for at in range(COMPANY):
        more = engine.make_plugin_processor(f"company {at}", path)
        graph.append((more, ["source"]))
    engine.load_graph(graph)

    def play():
        while True:
            engine.render(GO_S)

    threading.Thread(target=play, daemon=True).start()
    effect.open_editor()


def window_of(screen):
    """The window that the host opened, once it is there."""
    for _ in range(120):
        for window in screen.screen().root.query_tree().children:
            size, seen = window.get_geometry(), window.get_attributes().map_state
            if size.width >= 720 and seen == X.IsViewable:
                return window
        time.sleep(0.5)
    raise SystemExit("the host opened no window in a minute")


def click(screen, window, at):
    """A click at a place in the window."""
    corner = window.get_geometry()
    xtest.fake_input(screen, X.MotionNotify, x=corner.x + at[0], y=corner.y + at[1])
    screen.sync()
    time.sleep(0.3)
    for what in (X.ButtonPress, X.ButtonRelease):
        xtest.fake_input(screen, what, 1)
        screen.sync()
        time.sleep(0.1)


def picture(window):
    size = window.get_geometry()
    raw = window.get_image(0, 0, size.width, size.height, X.ZPixmap, 0xFFFFFFFF)
    return Image.frombytes("RGB", (size.width, size.height), raw.data, "raw", "BGRX")


def keep(window, file):
    """Keeps a picture in few colours, once the view is filled: an empty sheet packs smaller."""
    for _ in range(TRIES):
        shot = picture(window)
        colours = len(shot.getcolors(1 << 20) or [])
        assert colours > 16, f"{file.name} shows {colours} colours: nothing was drawn"
        shot.quantize(160).save(file, optimize=True)
        if file.stat().st_size > FILLED_BYTES:
            break
        time.sleep(1)
    filled = "" if file.stat().st_size > FILLED_BYTES else ", an empty sheet"
    print(f"  {file.name}: {shot.width}x{shot.height}, {file.stat().st_size // 1024} KiB{filled}")


def shoot(path, folder, kind, views):
    env = os.environ | {"DISPLAY": SCREEN, "UNDERPIN_FOLDER": str(folder / "demo")}
    running = subprocess.Popen([sys.executable, __file__, "host", path, kind], env=env)
    try:
        screen = display.Display(SCREEN)
        window = window_of(screen)
        time.sleep(12)
        for view in views:
            click(screen, window, VIEWS[view])
            time.sleep(3)
            keep(window, folder / f"{view}-{kind}.png")
        click(screen, window, COLOURS)
        time.sleep(2)
        keep(window, folder / f"{views[-1]}-{kind}-night.png")
    finally:
        running.kill()
        running.wait()


def main(path, program, folder):
    folder = Path(folder).resolve()
    folder.mkdir(parents=True, exist_ok=True)
    subprocess.run([program, "demo", "--out", folder / "demo"], check=True, capture_output=True)
    fixed = ["Xvfb", SCREEN, "-noreset", "-screen", "0", "1280x800x24"]
    server = subprocess.Popen(fixed, stderr=subprocess.DEVNULL)
    try:
        while not Path("/tmp/.X11-unix/X95").exists():
            time.sleep(0.2)
        screen = display.Display(SCREEN)
        for atom in ATOMS:
            screen.intern_atom(atom)
        screen.sync()
        shoot(path, folder, "noise", ["spectrum", "bands", "plan"])
        shoot(path, folder, "tone", ["spectrum", "scope", "partials"])
    finally:
        server.terminate()
        server.wait()


if __name__ == "__main__":
    if sys.argv[1] == "host":
        host(*sys.argv[2:])
    else:
        main(*sys.argv[1:])
