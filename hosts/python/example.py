"""The worked example: a radio made with scipy, from the track to the proof in the car, and every
figure of docs/worked-example.md held against scipy. usage: example.py UNDERPIN [FOLDER]

The radio is invented. Nothing of it is the project's: its high-pass is scipy's Chebyshev filter of
second order, its hum, noise, clock and recorder are numpy's.
"""

import json
import pathlib
import subprocess
import sys
import tempfile

import numpy
from scipy import signal

RATE_HZ = 48_000
CORNER_HZ, ORDER, RIPPLE_DB = 58.0, 2, 0.5
STEPS_DB = {"quiet": -24.0, "middle": -14.0, "usual": -6.0}
RECORDER_HZ = 12.0  # first order
RECORDER_DBFS, RADIO_DBFS = -88.0, -84.0  # r.m.s. within 20 kHz, a full-scale sine is 0
HUM_HZ, HUM_DBFS = 50.02, -72.0
CLOCK_PPM = 35.0

sys.path.insert(0, str(pathlib.Path(__file__).parent))
import sound  # noqa: E402

RADIO = signal.cheby1(ORDER, RIPPLE_DB, CORNER_HZ, "highpass", fs=RATE_HZ, output="sos")
RECORDER = signal.butter(1, RECORDER_HZ, "highpass", fs=RATE_HZ, output="sos")
draw = numpy.random.default_rng(20)
failed = []


def check(what, told, true, within):
    """Holds a figure against scipy's."""
    good = abs(told - true) <= within
    print(f"{'ok  ' if good else 'OFF '} {what}: told {told:g}, scipy {true:.2f}, within {within:g}")
    if not good:
        failed.append(what)


def noise(shape, dbfs):
    """White noise of a level within 20 kHz, by AES17."""
    return draw.normal(size=shape) * 10 ** (dbfs / 20) / 2**0.5 * (RATE_HZ / 40_000) ** 0.5


def radio(track, volume_db):
    """What the radio gives at a step."""
    out = signal.sosfilt(RADIO, track, axis=1) * 10 ** (volume_db / 20)
    return out + noise(out.shape, RADIO_DBFS + volume_db)


def recorder(heard):
    """What a recorder keeps: its coupling, its clock, its noise, hum on the line, 24 bits."""
    frames = heard.shape[1]
    places = numpy.arange(int(frames * (1 + CLOCK_PPM * 1e-6))) / (1 + CLOCK_PPM * 1e-6)
    # Four times as dense, then linear: 100 dB down at 1 kHz.
    dense = signal.resample_poly(heard, 4, 1, axis=1)
    kept = numpy.array([numpy.interp(4 * places, numpy.arange(4 * frames), c) for c in dense])
    lead = numpy.zeros((kept.shape[0], RATE_HZ))
    kept = numpy.concatenate([lead, kept, lead], axis=1)
    time = numpy.arange(kept.shape[1]) / RATE_HZ
    hum = sum(numpy.sin(2 * numpy.pi * n * HUM_HZ * time + n) / n for n in (1, 3, 5))
    kept = signal.sosfilt(RECORDER, kept + 10 ** (HUM_DBFS / 20) * hum, axis=1)
    kept += noise(kept.shape, RECORDER_DBFS)
    return (numpy.round(numpy.clip(kept, -1, 1) * 2**23) / 2**23).astype("f4")


def gain(filter_, hz):
    """Power gain of a filter."""
    return numpy.abs(signal.sosfreqz(filter_, hz, fs=RATE_HZ)[1]) ** 2


def power(shape, low, high):
    """Mean power of pink noise through |H|², between two frequencies."""
    hz = numpy.geomspace(low, high, 400)
    return 10 * numpy.log10(numpy.mean(shape(hz)))


def band(shape, exact_hz):
    """A third-octave band of pink noise re 250 Hz to 1 kHz, dB."""
    edge = 10**0.05
    return power(shape, exact_hz / edge, exact_hz * edge) - power(shape, 250, 1000)


def peaking(settings):
    """The parametric band as the Audio EQ Cookbook has it (W3C Note 2021), as sections."""
    a = 10 ** (settings["low_band.gain_db"] / 40)
    w = 2 * numpy.pi * settings["low_band.centre_hz"] / RATE_HZ
    octaves = settings["low_band.width_oct"]
    alpha = numpy.sin(w) * numpy.sinh(numpy.log(2) / 2 * octaves * w / numpy.sin(w))
    return numpy.array(
        [[1 + alpha * a, -2 * numpy.cos(w), 1 - alpha * a, 1 + alpha / a, -2 * numpy.cos(w), 1 - alpha / a]]
    ) / (1 + alpha / a)


def protection(settings):
    """The protective high-pass, scipy's Butterworth filter."""
    order = settings["high_pass.order"]
    if order == "off":
        return numpy.array([[1.0, 0, 0, 1, 0, 0]])
    return signal.butter(int(order), settings["high_pass.hz"], "highpass", fs=RATE_HZ, output="sos")


def falls_at(db):
    """Where the radio has fallen by this re its mid band, Hz."""
    hz = numpy.geomspace(200, 15, 20_000)
    level = 10 * numpy.log10(gain(RADIO, hz)) - power(lambda f: gain(RADIO, f), 250, 1000)
    return hz[numpy.argmax(level < -db)]


def numbers(text):
    """The numbers of a text."""
    kept = "".join(c if c.isdigit() or c in ".-" else " " for c in text.replace("\u2212", "-"))
    found = []
    for word in kept.split():
        try:
            found.append(float(word.rstrip(".")))
        except ValueError:
            pass
    return found


def rows(sheet, title):
    """The rows of a table."""
    return next(t["rows"] for t in sheet["tables"] if t["title"].startswith(title))


def cell(sheet, title, row):
    """The second cell of a row."""
    return next(r[1] for r in rows(sheet, title) if r[0].startswith(row))


def main(program, folder):
    def run(*args):
        out = subprocess.run([program, *args], cwd=folder, capture_output=True, text=True)
        assert out.returncode == 0, (args, out.stderr)
        return json.loads(out.stdout) if "--json" in args else out.stdout

    run("signal", "track", "-o", "track.wav", "--rate", str(RATE_HZ), "--format", "f32")
    track = sound.read(folder / "track.wav").astype(float)
    for name, volume_db in STEPS_DB.items():
        sound.write(folder / f"{name}.wav", recorder(radio(track, volume_db)))
    sound.write(folder / "loop.wav", recorder(track * 10 ** (-3 / 20)))

    captures = [f"{name}={name}.wav" for name in STEPS_DB]
    told = ["track.wav", *captures, "--loop-back", "loop.wav"]
    text = run("diagnose", *told)
    sheet = run("diagnose", *told, "--json")
    print(text)
    diagnosed(sheet)

    tuned = run("tune", *told, "--plan", "plan.toml", "--preset", "mine.toml", "--json")
    settings = tuned["settings"]
    print(run("tune", *told, "--plan", "plan.toml", "--preset", "mine.toml", "--force"))
    chain = numpy.vstack([RADIO, peaking(settings), protection(settings)])
    after = lambda hz: gain(chain, hz)  # noqa: E731
    tuning(tuned, settings, after)

    print(run("prove", "--plan", "plan.toml"))
    proved = run("prove", "--plan", "plan.toml", "--json")
    proof(proved, settings)

    # In the car: the same step, with the settings behind the radio.
    sound.write(folder / "given.wav", radio(track, STEPS_DB["usual"]).astype("f4"))
    run("render", "given.wav", "lifted.wav", "--preset", "mine.toml")
    lifted = sound.read(folder / "lifted.wav").astype(float)
    sound.write(folder / "after.wav", recorder(lifted))
    print(run("prove", "track.wav", "usual.wav", "after.wav", "--in-car"))
    car = run("prove", "track.wav", "usual.wav", "after.wav", "--in-car", "--json")
    in_the_car(car, settings, after)
    return 1 if failed else 0


def diagnosed(sheet):
    told = {row[0]: row for row in rows(sheet, "Takes")}
    for name, volume_db in STEPS_DB.items():
        # A Chebyshev filter of even order passes its ripple less.
        true = volume_db + power(lambda f: gain(RADIO, f), 250, 1000)
        check(f"volume of {name}, dB", numbers(told[name][2])[0], true, 0.1)
        check(f"clock of {name}, ppm", numbers(told[name][3])[0], CLOCK_PPM, 0.6)
    for down in (3, 6, 10):
        hz, low, high = numbers(cell(sheet, "Roll-off, left", f"{down} dB"))[:3]
        true = falls_at(down)
        check(f"{down} dB down, Hz", hz, true, max(high - hz, hz - low) + 0.05)
    for row in rows(sheet, "Response, left"):
        exact = 10 ** (round(10 * numpy.log10(float(row[0]))) / 10)
        if "<" not in row[1]:
            shape = lambda hz: gain(RADIO, hz)  # noqa: E731
            check(f"response at {row[0]} Hz, dB", numbers(row[1])[0], band(shape, exact), float(row[2]) + 0.05)
    hum = [w for w in json.dumps(sheet).split("mains hum at ")[1:]]
    check("hum, Hz", numbers(hum[0])[0], HUM_HZ, 0.1)


def tuning(tuned, settings, after):
    print(json.dumps(settings, indent=1))
    makes_new = settings["octave.level_db"] > -60
    for hz, given, _, rendered, _, by in (row[:6] for row in rows(tuned, "Tuning")):
        exact = 10 ** (round(10 * numpy.log10(float(hz))) / 10)
        shape = lambda f: gain(RADIO, f)  # noqa: E731
        check(f"tune: given at {hz} Hz, dB", numbers(given)[0], band(shape, exact), 0.4)
        # What the octave part adds no formula of scipy's says.
        if not makes_new:
            check(f"tune: rendered at {hz} Hz, dB", numbers(rendered)[0], band(after, exact), 0.4)


def proof(proved, settings):
    for layer in proved["runs"][0]["layers_db"]:
        hz = layer["nominal_hz"]
        if not 40 <= hz <= 160:
            continue
        exact = 10 ** (round(10 * numpy.log10(hz)) / 10)
        shape = lambda f: gain(RADIO, f)  # noqa: E731
        # Re 200 Hz to 1 kHz, and with the scatter of 11 s of noise.
        check(f"prove: given at {hz:g} Hz, dB", layer["given"], band(shape, exact), 0.8)
        adds = layer["low_band"] - layer["blend"]
        true = power(lambda f: gain(peaking(settings), f), exact / 10**0.05, exact * 10**0.05)
        check(f"prove: low band at {hz:g} Hz, dB", adds, true, 0.4)


def in_the_car(car, settings, after):
    makes_new = settings["octave.level_db"] > -60
    # The recorder is in both, and falls itself: first order at 12 Hz.
    own = lambda f: gain(RECORDER, f)  # noqa: E731
    for row in rows(car, "In the car"):
        exact = 10 ** (round(10 * numpy.log10(float(row[0]))) / 10)
        shape = lambda f: gain(RADIO, f) * own(f)  # noqa: E731
        check(f"car: before at {row[0]} Hz, dB", numbers(row[1])[0], band(shape, exact), 0.4)
        if not makes_new:
            shape = lambda f: after(f) * own(f)  # noqa: E731
            within = float(row[3]) + 0.1
            check(f"car: after at {row[0]} Hz, dB", numbers(row[2])[0], band(shape, exact), within)


if __name__ == "__main__":
    target = pathlib.Path(sys.argv[2]) if len(sys.argv) > 2 else pathlib.Path(tempfile.mkdtemp())
    target.mkdir(parents=True, exist_ok=True)
    sys.exit(main(pathlib.Path(sys.argv[1]).resolve(), target))
