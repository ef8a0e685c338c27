#!/usr/bin/python3
"""What anyone would write first, as the mark to beat: a Welch spectrum, peaks over a running median, and
the nearest harmonic of any declared rate within its tolerance. Scored on scenes of dump_scenes:

    dump_scenes /tmp/scenes --scenes 200 --seed 1000000 && tests/reference/plain_script.py /tmp/scenes
"""
import glob
import json
import os
import sys
import tomllib

import numpy as np
import scipy.io.wavfile
import scipy.ndimage
import scipy.signal

PEAK_DB = 10.0
CARD_PPM = 100.0
MOST_HARMONICS = 30


def read_rates(path):
    """[(full name, hz, relative tolerance)]; a wandering rate is its range."""
    with open(path, "rb") as file:
        sheet = tomllib.load(file)
    for part in sheet["part"]:
        for rate in part.get("rate", []):
            name = part["id"] + "." + rate["id"]
            if "hz" in rate:
                yield name, rate["hz"], rate["hz"], rate.get("tolerance_ppm", 1e4 * rate.get("tolerance_percent", 0)) * 1e-6
            else:
                yield name, rate["hz_min"], rate["hz_max"], 0.0


def find_peaks(path):
    fs, x = scipy.io.wavfile.read(path)
    hz, power = scipy.signal.welch(x.astype(float), fs, nperseg=min(32768, len(x)))
    db = 10 * np.log10(power + 1e-20)
    over = db - scipy.ndimage.median_filter(db, 201)
    at, _ = scipy.signal.find_peaks(over, height=PEAK_DB, distance=3)
    at = at[(hz[at] > 60) & (hz[at] < 0.45 * fs)]
    return hz[at], over[at], fs / min(32768, len(x))


def accuse(peaks, heights, bin_hz, rates):
    """Each peak goes to the rate with the nearest harmonic; the rate with the most height is accused. A range
    counts only where no other rate has a peak, else it would win always."""
    score, in_range = {}, {}
    for hz, height in zip(peaks, heights):
        best, best_off = None, 1.0
        for name, low, high, tolerance in rates:
            if low < high:
                if low <= hz <= high:
                    in_range[name] = in_range.get(name, 0.0) + height
                continue
            n = min(MOST_HARMONICS, max(1, round(hz / low)))
            off = abs(hz - n * low) / (n * low * (tolerance + CARD_PPM * 1e-6) + 0.5 * bin_hz)
            if off < best_off:
                best, best_off = name, off
        if best:
            score[best] = score.get(best, 0.0) + height
    score = score or in_range
    return max(score, key=score.get) if score else None


def main(folder):
    named = with_culprit = false = without = 0
    squares, count = 0.0, 0
    for path in sorted(glob.glob(os.path.join(folder, "scene-*.json"))):
        truth = json.load(open(path))
        rates = list(read_rates(path[:-5] + ".toml"))
        found = [find_peaks(os.path.join(folder, take)) for take in truth["takes"]]
        peaks, heights = (np.concatenate([f[i] for f in found]) for i in (0, 1))
        accused = accuse(peaks, heights, found[0][2], rates)
        if truth["singing"]:
            with_culprit += 1
            named += accused in truth["singing"]
        else:
            without += 1
            false += accused is not None
        for name, *_ in rates:
            squares += ((name == accused) - (name in truth["singing"])) ** 2
            count += 1
    print(f"plain script: named first {named / max(with_culprit, 1):.3f} of {with_culprit}, "
          f"false {false / max(without, 1):.3f} of {without}, Brier {squares / max(count, 1):.4f} over {count} rates")


if __name__ == "__main__":
    if len(sys.argv) != 2:
        sys.exit("usage: plain_script.py FOLDER (made by dump_scenes)")
    main(sys.argv[1])
