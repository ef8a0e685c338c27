"""What Python tests give the program to read: board sheets (tests/support/sheets, which the C++ tests read too) and sounds."""
import math
import pathlib
import random
import struct
import wave

SHEETS = pathlib.Path(__file__).resolve().parent / "sheets"


def sheet_text(name):
    return (SHEETS / f"{name}.toml").read_text(encoding="utf-8")


def write_samples(path, values, rate=48000):
    """A wav of 16 bits with one channel; full scale is 1, and what lies beyond is clipped."""
    with wave.open(str(path), "wb") as clip:
        clip.setnchannels(1)
        clip.setsampwidth(2)
        clip.setframerate(rate)
        clip.writeframes(b"".join(struct.pack("<h", max(-32768, min(32767, round(32767.0 * value)))) for value in values))


def write_sound(path, tones=(), seconds=5.0, rate=48000, noise=0.002, seed=1):
    """A wav of lines (hz, amplitude) in white noise."""
    chance = random.Random(seed)
    samples = []
    for i in range(int(seconds * rate)):
        value = chance.gauss(0.0, noise) if noise else 0.0
        for hz, amplitude in tones:
            value += amplitude * math.sin(2.0 * math.pi * hz * i / rate)
        samples.append(value)
    write_samples(path, samples, rate)
