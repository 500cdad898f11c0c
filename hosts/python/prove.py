"""Holds `underpin prove` against numpy: the same tones, written, rendered and
analysed as files by code that shares nothing with the program.

usage: prove.py PATH_TO_UNDERPIN   (needs numpy; exits 1 on any difference over 0.05 dB)
"""

import json
import subprocess
import sys
import tempfile
from pathlib import Path

import numpy as np

TOLERANCE_DB = 0.05
LEVEL_DBFS = -12.0
SETTLE_S, MEASURE_S = 3, 4
CASES = [
    [],
    ["octave.level_db=0", "octave.method=halved"],
    ["octave.level_db=0", "octave.method=divided"],
    ["octave.level_db=-3", "low_band.gain_db=6", "low_band.centre_hz=38", "high_pass.order=2"],
]


def read_f32(path):
    """Left channel and rate of a float WAV file, by its RIFF chunks."""
    data = path.read_bytes()
    assert data[:4] == b"RIFF" and data[8:12] == b"WAVE"
    at, rate, samples = 12, None, None
    while at + 8 <= len(data):
        name, size = data[at : at + 4], int.from_bytes(data[at + 4 : at + 8], "little")
        if name == b"fmt ":
            channels = int.from_bytes(data[at + 10 : at + 12], "little")
            rate = int.from_bytes(data[at + 12 : at + 16], "little")
        if name == b"data":
            samples = np.frombuffer(data[at + 8 : at + 8 + size], "<f4").astype(float)[::channels]
        at += 8 + size + size % 2
    return samples, rate


def line_db(samples, rate, hz):
    """Level of the line at hz: a Blackman-Harris weighted sum (Harris 1978)."""
    n = np.arange(len(samples))
    turn = 2 * np.pi * n / len(samples)
    window = 0.35875 - 0.48829 * np.cos(turn) + 0.14128 * np.cos(2 * turn) - 0.01168 * np.cos(3 * turn)
    sum_ = np.sum(window * samples * np.exp(-2j * np.pi * hz * n / rate))
    return 20 * np.log10(2 * abs(sum_) / window.sum())


def run(program, *args):
    return subprocess.run([program, *map(str, args)], check=True, capture_output=True, text=True).stdout


def tones(sheet):
    """Rows of the table of tones: frequency, gain at the tone, gain at the half."""
    number = lambda text: None if text == "none" else float(text.replace("−", "-"))
    table = next(t for t in sheet["tables"] if "tone Hz" in t["head"])
    at = [table["head"].index(name) for name in ("tone Hz", "tone dB", "half dB")]
    return [[number(row[i]) for i in at] for row in table["rows"]]


def compare(program, settings, folder):
    flags = [part for setting in settings for part in ("--set", setting)]
    worst = 0.0
    for hz, tone_db, half_db in tones(json.loads(run(program, "prove", *flags, "--json"))):
        tone, out = folder / f"{hz}.wav", folder / f"{hz}-out.wav"
        run(program, "signal", "tone", "--hz", hz, "--level", LEVEL_DBFS, "--seconds",
            SETTLE_S + MEASURE_S, "--rate", 48000, "-o", tone, "--force")
        run(program, "render", tone, out, *flags, "--force")
        given, rate = read_f32(tone)
        made, _ = read_f32(out)
        settled = slice(SETTLE_S * rate, (SETTLE_S + MEASURE_S) * rate)
        given, made = given[settled], made[settled]
        arrived = line_db(given, rate, hz)
        for name, said, at in (("tone", tone_db, hz), ("half", half_db, hz / 2)):
            # Lines far below the tone are the window's own floor, not a level.
            found = line_db(made, rate, at) - arrived
            if said is None or max(said, found) < -80:
                continue
            off = abs(found - said)
            worst = max(worst, off)
            print(f"{hz:6.1f} Hz {name}: program {said:+8.3f} dB, numpy {found:+8.3f} dB")
            if off > TOLERANCE_DB:
                sys.exit(f"{settings}: {hz} Hz {name} differs by {off:.3f} dB")
    return worst


def main():
    program = sys.argv[1]
    with tempfile.TemporaryDirectory() as folder:
        for settings in CASES:
            print(" ".join(settings) or "as it starts")
            print(f"  worst difference {compare(program, settings, Path(folder)):.4f} dB")


main()
