"""The VST3 plugin in two hosts: what they hear is what the program renders.

Usage: vst3.py UNDERPIN.vst3 PROGRAM RECORDING
"""

import json
import subprocess
import sys
import tempfile
from pathlib import Path

import dawdreamer
import numpy
import pedalboard
from pedalboard.io import AudioFile

import sound

PRESETS = [
    "start-here",
    "lift-the-roll-off",
    "replace-the-missing-octave",
    "ported-box",
    "plain-divider",
]

# Frames a host gives at a time: the two hosts differ on purpose.
BLOCKS = {"pedalboard": 8192, "dawdreamer": 512}


def texts(program, preset):
    """The settings of a preset as texts, by the parameter's name."""
    keys = subprocess.run([program, "presets", "show", preset], check=True, capture_output=True)
    values = {}
    for line in keys.stdout.decode().splitlines():
        if " = " in line and not line.startswith(("schema", "name", "when")):
            key, rest = line.split(" = ", 1)
            values[key.strip()] = rest.split("#")[0].strip().strip('"')
    return values


def render(program, preset, source, folder):
    """The program's own rendering of a file."""
    out = folder / "rendered.wav"
    out.unlink(missing_ok=True)
    subprocess.run([program, "render", source, out, "--preset", preset], check=True, capture_output=True)
    return sound.read(out)


def moved(plugin, values):
    """Moves a pedalboard plugin's parameters by text; returns their positions, 0..1."""
    words = {"true": "on", "false": "off"}
    slopes = {"2": "12 dB/oct", "4": "24 dB/oct"}
    positions = []
    parameters = ordered(plugin, len(values))
    for parameter, (key, text) in zip(parameters, values.items(), strict=True):
        shown = slopes.get(text, text) if key == "high_pass.order" else words.get(text, text)
        position = parameter.get_raw_value_for_text(shown)
        parameter.raw_value = position
        assert parameter.raw_value == position, key
        positions.append(position)
    return positions


def ordered(plugin, count):
    """The plugin's parameters in the order of the line, one a setting; what the host adds follows."""
    return [p for p in plugin._parameters if "MIDI" not in p.name][:count]


def in_pedalboard(plugin, signal):
    plugin.reset()
    return plugin(signal, sound.RATE_HZ, buffer_size=BLOCKS["pedalboard"])


def in_dawdreamer(path, positions, signal):
    engine = dawdreamer.RenderEngine(sound.RATE_HZ, BLOCKS["dawdreamer"])
    source = engine.make_playback_processor("source", signal)
    effect = engine.make_plugin_processor("effect", path)
    for index, position in enumerate(positions):
        effect.set_parameter(index, position)
    engine.load_graph([(source, []), (effect, ["source"])])
    # A little longer, so that the last block is whole.
    engine.render((signal.shape[1] + BLOCKS["dawdreamer"]) / sound.RATE_HZ)
    return engine.get_audio()[:, : signal.shape[1]]


def main(path, program, recording):
    with AudioFile(recording).resampled_to(sound.RATE_HZ) as file:
        recorded = file.read(file.frames)
    recorded = numpy.array(numpy.broadcast_to(recorded, (2, recorded.shape[1])))
    signals = {"recording": recorded, "noise": sound.noise()}
    plugin = pedalboard.load_plugin(path)
    count = len(texts(program, PRESETS[0]))
    print(f"pedalboard {pedalboard.__version__}: {len(ordered(plugin, count))} parameters")
    with tempfile.TemporaryDirectory() as folder:
        folder = Path(folder)
        for name, signal in signals.items():
            source = folder / f"{name}.wav"
            sound.write(source, signal)
            for preset in PRESETS:
                expected = render(program, preset, source, folder)
                plugin = pedalboard.load_plugin(path)
                positions = moved(plugin, texts(program, preset))
                sound.same(f"pedalboard, {preset}, {name}", in_pedalboard(plugin, signal), expected)
                from_file(path, program, preset, folder, signal, expected)
                heard = in_dawdreamer(path, positions, signal)
                sound.same(f"dawdreamer, {preset}, {name}", heard, expected)
    state(path, count)


def from_file(path, program, preset, folder, signal, expected):
    """A preset loaded as a host's browser loads it sounds the same."""
    file = folder / f"{preset}.vstpreset"
    command = [program, "presets", "export", preset, "-o", file, "--force"]
    subprocess.run(command, check=True, capture_output=True)
    plugin = pedalboard.load_plugin(path)
    plugin.load_preset(str(file))
    sound.same(f"pedalboard, {file.name}", in_pedalboard(plugin, signal), expected)


def state(path, count):
    """A state saved by one instance makes another the same."""
    first, second = pedalboard.load_plugin(path), pedalboard.load_plugin(path)
    for at, parameter in enumerate(ordered(first, count)):
        if at > 0:
            parameter.raw_value = parameter.get_raw_value_for_text(
                parameter.get_text_for_raw_value((at * 0.37) % 1.0)
            )
    # A VST3 host hands moved parameters over with the next block of sound.
    signal = sound.tone(61)
    expected = in_pedalboard(first, signal)
    second.raw_state = first.raw_state
    sound.same("pedalboard, state", in_pedalboard(second, signal), expected)
    shown = [
        [p.get_text_for_raw_value(p.raw_value) for p in ordered(plugin, count)]
        for plugin in (first, second)
    ]
    assert shown[0] == shown[1], shown


if __name__ == "__main__":
    main(*sys.argv[1:])
