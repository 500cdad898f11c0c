"""Sound for the host checks: 32-bit float WAV in and out, a recording, noise."""

import struct

import numpy

RATE_HZ = 48_000


def write(path, channels):
    """Writes channels (float32, one row each) as a 32-bit float WAV file."""
    count, frames = channels.shape
    data = channels.T.astype("<f4").tobytes()
    form = struct.pack("<HHIIHH", 3, count, RATE_HZ, RATE_HZ * 4 * count, 4 * count, 32)
    with open(path, "wb") as file:
        file.write(b"RIFF" + struct.pack("<I", 36 + len(data)) + b"WAVE")
        file.write(b"fmt " + struct.pack("<I", 16) + form)
        file.write(b"data" + struct.pack("<I", len(data)) + data)


def read(path):
    """Reads a 32-bit float WAV file; one row a channel."""
    with open(path, "rb") as file:
        bytes_ = file.read()
    at, count = 12, 0
    while at < len(bytes_):
        name, size = bytes_[at : at + 4], struct.unpack("<I", bytes_[at + 4 : at + 8])[0]
        if name == b"fmt ":
            form, count = struct.unpack("<HH", bytes_[at + 8 : at + 12])
            bits = struct.unpack("<H", bytes_[at + 22 : at + 24])[0]
            assert bits == 32 and form in (3, 0xFFFE), "not 32-bit float"
        if name == b"data":
            return numpy.frombuffer(bytes_[at + 8 : at + 8 + size], "<f4").reshape(-1, count).T
        at += 8 + size + size % 2
    raise ValueError(f"{path}: no data")


def noise(seconds=5, seed=1):
    """White noise in two channels, peak half of full scale."""
    draw = numpy.random.default_rng(seed)
    return draw.uniform(-0.5, 0.5, (2, seconds * RATE_HZ)).astype(numpy.float32)


def tone(hz, seconds=1):
    """A sine at half of full scale in two channels."""
    one = 0.5 * numpy.sin(2 * numpy.pi * hz * numpy.arange(seconds * RATE_HZ) / RATE_HZ)
    return numpy.stack([one, one]).astype(numpy.float32)


def same(what, got, expected):
    """Holds that two signals are the same, bit for bit."""
    got, expected = (numpy.ascontiguousarray(x, numpy.float32) for x in (got, expected))
    assert got.shape == expected.shape, f"{what}: {got.shape} is not {expected.shape}"
    wrong = numpy.argwhere(got.view(numpy.uint32) != expected.view(numpy.uint32))
    if len(wrong):
        side, at = wrong[0]
        raise AssertionError(
            f"{what}: {len(wrong)} samples differ, first {side}/{at}: "
            f"{got[side, at]!r} is not {expected[side, at]!r}"
        )
    print(f"  {what}: {got.shape[1]} frames are the same, bit for bit")
