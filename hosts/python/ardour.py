"""The VST3 plugin in Ardour without a window: scanned, put into a session,
saved, loaded by another process and exported; the sound is the program's.

Usage: ardour.py UNDERPIN.vst3 PROGRAM
"""

import os
import signal
import subprocess
import sys
import tempfile
from pathlib import Path

import numpy

import sound

HERE = Path(__file__).parent
LIBRARY = Path("/usr/lib/ardour7")
SECONDS = 4

# What Ardour counts time in, by the second (libtemporal, superclock.h).
SUPERCLOCK_HZ = 282_240_000

# Names of parameters, keys of settings, values.
MOVED = [
    ("Octave level", "octave.level_db", 3),
    ("Source to", "octave.to_hz", 125),
    ("Band gain", "low_band.gain_db", 6),
    ("Band centre", "low_band.centre_hz", 38.5),
    ("Output gain", "output.gain_db", -7.5),
]


def run(command, home, tries=3):
    """Runs a program of Ardour's in a home of its own. On a loaded machine its
    dummy sound device now and then never begins, and 7.3 corrupts its heap as an
    export begins in about one run of fifty, in a session without any plugin of
    ours as well: then it is tried again, and said."""
    paths = {"LD_LIBRARY_PATH": str(LIBRARY)} if "scanner" in command[0] else {}
    env = os.environ | paths | {"HOME": str(home)}
    options = {"capture_output": True, "text": True, "stdin": subprocess.DEVNULL}
    for left in reversed(range(tries)):
        try:
            ran = subprocess.run(command, env=env, timeout=90, **options)
        except subprocess.TimeoutExpired:
            print(f"  {Path(command[0]).name} did not end in 90 s, {left} more tries")
            continue
        if ran.returncode == -signal.SIGABRT and "Exporting Audio 0.0%" in ran.stdout:
            print(f"  {Path(command[0]).name} ended itself: {ran.stderr.strip()[-60:]}, {left} more tries")
            continue
        if ran.returncode != 0:
            raise SystemExit(f"{command[0]}: {ran.returncode}\n{ran.stdout}\n{ran.stderr}")
        return ran.stdout + ran.stderr
    raise SystemExit(f"{command[0]} did not come to its end in any of {tries} tries")


def noise():
    """The noise of noise.lua: a linear congruential generator, halves of full scale."""
    seed, samples = 1, numpy.zeros(SECONDS * sound.RATE_HZ)
    for i in range(len(samples)):
        seed = (seed * 1103515245 + 12345) % 2147483648
        samples[i] = seed / 2147483648 - 0.5
    return numpy.stack([samples, samples]).astype(numpy.float32)


def exported(home, plugin):
    """What Ardour exports."""
    folder = home / "session"
    for made in (".vst3", ".config/ardour7/scripts"):
        (home / made).mkdir(parents=True)
    (home / ".vst3" / plugin.name).symlink_to(plugin.resolve())
    script = home / ".config/ardour7/scripts/underpin_noise.lua"
    script.write_text((HERE / "../ardour/noise.lua").read_text())

    said = run([str(LIBRARY / "ardour-vst3-scanner"), "-f", str(home / ".vst3" / plugin.name)], home)
    assert "Found Plugin: Underpin" in said, said
    print("  scanned")
    moves = [f"{name}={value}" for name, _, value in MOVED]
    said = run(["ardour7-lua", str(HERE / "../ardour/session.lua"), str(folder), *moves], home)
    session = folder / "bass.ardour"
    assert session.exists(), said
    print("  put into a session and saved")

    # There is no call for the range to export: it goes into the file.
    end = SECONDS * SUPERCLOCK_HZ
    location = f'<Location id="99999" name="session" start="a0" end="a{end}" flags="IsSessionRange"/>'
    text = session.read_text()
    assert "<Locations/>" in text
    session.write_text(text.replace("<Locations/>", f"<Locations>{location}</Locations>"))
    out = home / "exported.wav"
    said = run(["ardour7-export", "-b", "float", "-o", str(out), str(folder), "bass"], home)
    assert out.exists(), said
    return sound.read(out)


def main(plugin, program):
    version = subprocess.run(["ardour7-lua", "--version"], capture_output=True, text=True).stdout
    print(version.splitlines()[0] if version else "Ardour")
    with tempfile.TemporaryDirectory() as folder:
        folder = Path(folder)
        heard = exported(folder, Path(plugin))
        sound.write(folder / "noise.wav", noise())
        moves = [part for _, key, value in MOVED for part in ("--set", f"{key}={value}")]
        rendered = folder / "rendered.wav"
        subprocess.run([program, "render", folder / "noise.wav", rendered, *moves], check=True, capture_output=True)
        expected = sound.read(rendered)
        # The transport needs some blocks to roll; until then there is silence.
        start = int(numpy.argmax(heard[0] != 0))
        assert start < sound.RATE_HZ, "nothing was heard"
        sound.same("ardour, exported", heard[:, start:], expected[:, : heard.shape[1] - start])


if __name__ == "__main__":
    main(*sys.argv[1:])
