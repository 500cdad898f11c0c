"""The stand-alone window under a virtual screen and a dummy JACK server: it
starts, sound goes through it, it closes; without a screen it says so and ends.

Usage: window.py UNDERPIN-WINDOW
"""

import json
import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from Xlib import X, display, protocol

PATIENCE_S = 60


def wait(what, ready):
    """Waits until `ready()` gives something."""
    for _ in range(PATIENCE_S * 5):
        if (found := ready()) is not None:
            return found
        time.sleep(0.2)
    raise SystemExit(f"{what}: nothing after {PATIENCE_S} s")


def refuses(program, screen):
    """Without a screen the program says so and ends by itself."""
    env = {k: v for k, v in os.environ.items() if k != "DISPLAY"}
    env |= {"DISPLAY": screen} if screen else {}
    ran = subprocess.run(
        [program, "--backend", "dummy"], env=env, capture_output=True, text=True, timeout=30
    )
    assert ran.returncode != 0 and "no screen" in ran.stderr, ran
    print(f"  screen {screen or 'not set'}: {ran.stderr.strip()}")


def windows(screen):
    """The window of the program, once it is there."""
    connection = display.Display(screen)
    for window in connection.screen().root.query_tree().children:
        if window.get_wm_name() == "Underpin":
            return connection, window
    return None


def close(connection, window):
    """What a window manager sends when a hand closes the window."""
    atom = connection.intern_atom
    data = (32, [atom("WM_DELETE_WINDOW"), X.CurrentTime, 0, 0, 0])
    event = protocol.event.ClientMessage(
        window=window, client_type=atom("WM_PROTOCOLS"), data=data
    )
    window.send_event(event)
    connection.flush()


def ports(env):
    listed = subprocess.run(["jack_lsp"], env=env, capture_output=True, text=True).stdout.split()
    mine = [port for port in listed if port.startswith("underpin")]
    return mine if len(mine) >= 4 else None


def recorded(env, inputs, outputs, folder):
    """Sound through the program: a metronome in, a file out; the file's size."""
    metronome = subprocess.Popen(["jack_metro", "-b", "240"], env=env, stdout=subprocess.DEVNULL)
    source = wait("metronome", lambda: next(iter(
        p for p in subprocess.run(["jack_lsp"], env=env, capture_output=True, text=True).stdout.split()
        if p.startswith("metro")), None))
    for port in inputs:
        subprocess.run(["jack_connect", source, port], env=env, check=True)
    out = folder / "heard.wav"
    subprocess.run(["jack_rec", "-f", str(out), "-d", "3", "-b", "32", *outputs], env=env, check=True, capture_output=True)
    metronome.terminate()
    metronome.wait()
    return out.read_bytes()[44:]


def session(program, env, change):
    """One run without sound; `change` may move what the last one left. What it leaves itself."""
    file = Path(env["UNDERPIN_FOLDER"]) / "last-session.json"
    kept = json.loads(file.read_text())
    change(kept)
    file.write_text(json.dumps(kept))
    running = subprocess.Popen([program, "--backend", "dummy"], env=env)
    try:
        connection, window = wait("window", lambda: windows(env["DISPLAY"]))
        # The sound thread takes the settings over block by block.
        time.sleep(3)
        close(connection, window)
        assert running.wait(timeout=30) == 0
    finally:
        if running.poll() is None:
            running.kill()
            running.wait()
    return json.loads(file.read_text())


def remembers(program, env):
    """What one run left is there in the next, and what is out of its range is put right."""

    def change(kept):
        kept["params"]["dry.level_db"] = {"f32": -7.5}
        kept["params"]["octave.method"] = {"string": "divided"}
        kept["params"]["closed_box.on"] = {"bool": True}
        kept["params"]["output.gain_db"] = {"f32": 999.0}
        kept["fields"]["palette"] = "1"
        kept["fields"]["window"] = json.dumps(json.loads(kept["fields"]["window"]) | {"view": 3})

    for change in (change, lambda kept: None):
        kept = session(program, env, change)
        params = kept["params"]
        assert params["dry.level_db"] == {"f32": -7.5}, params
        assert params["octave.method"] == {"string": "divided"}, params
        assert params["closed_box.on"] == {"bool": True}, params
        assert params["output.gain_db"] == {"f32": 24.0}, params
        assert kept["fields"]["palette"] == "1", kept
        assert json.loads(kept["fields"]["window"])["view"] == 3, kept
    print("  remembers settings, colours and view from run to run")


def main(program):
    refuses(program, None)
    refuses(program, ":4097")
    with tempfile.TemporaryDirectory() as folder:
        env = os.environ | {"DISPLAY": ":97", "JACK_NO_AUDIO_RESERVATION": "1", "UNDERPIN_FOLDER": folder}
        screen = subprocess.Popen(["Xvfb", ":97", "-screen", "0", "1280x800x24"], stderr=subprocess.DEVNULL)
        server = subprocess.Popen(["jackd", "--no-realtime", "-d", "dummy", "-r", "48000"], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        running = None
        try:
            wait("screen", lambda: Path("/tmp/.X11-unix/X97").exists() or None)
            wait("JACK", lambda: subprocess.run(["jack_lsp"], env=env, capture_output=True).returncode == 0 or None)
            running = subprocess.Popen([program, "--backend", "jack"], env=env)
            mine = wait("ports", lambda: ports(env))
            connection, window = wait("window", lambda: windows(":97"))
            size = window.get_geometry()
            print(f"  started: window {size.width}x{size.height}, ports {' '.join(mine)}")
            inputs = [p for p in mine if "input" in p]
            outputs = [p for p in mine if "output" in p]
            heard = recorded(env, inputs, outputs, Path(folder))
            assert any(heard), "nothing came out"
            print(f"  processed: {len(heard)} bytes of sound, not silent")
            close(connection, window)
            code = running.wait(timeout=30)
            print(f"  closed by its window, exit code {code}")
            assert code == 0
            remembers(program, env)
        finally:
            for process in (running, server, screen):
                if process is not None and process.poll() is None:
                    process.terminate()
                    process.wait()


if __name__ == "__main__":
    main(*sys.argv[1:])
