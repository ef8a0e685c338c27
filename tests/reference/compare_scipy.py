#!/usr/bin/python3
"""Our spectrum and tone finder against SciPy on the same samples: scaling of the periodogram, noise floor,
frequency and level of peaks. usage: compare_scipy.py DUMP_ANALYSIS"""
import json
import os
import subprocess
import sys
import tempfile
import unittest

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "support"))
import case_runner  # noqa: E402

try:
    import numpy as np
    import scipy
    import scipy.io.wavfile
    import scipy.ndimage
    import scipy.signal
except ImportError:
    print("SKIPPED: python3-scipy is not there (Debian: apt-get install python3-scipy)")
    sys.exit(77)

FS = 48000
FRAME = 4096
DUMP = sys.argv.pop(1) if len(sys.argv) > 1 else ""


def analyse(x):
    """Our values for float samples."""
    with tempfile.TemporaryDirectory() as folder:
        path = os.path.join(folder, "x.wav")
        scipy.io.wavfile.write(path, FS, x.astype(np.float32))
        done = subprocess.run([DUMP, path, str(FRAME)], capture_output=True, text=True, check=True)
    return json.loads(done.stdout)


def peak_near(x, hz):
    """The maximum of SciPy's windowless periodogram, 16 times zero-padded, refined by a parabola in dB;
    the maximum-likelihood estimate for a lone line (Rife and Boorstyn, IEEE Trans. IT 20(5), 1974)."""
    grid, power = scipy.signal.periodogram(x, FS, "boxcar", nfft=16 * len(x), detrend=False)
    low, high = np.searchsorted(grid, [hz - 2, hz + 2])
    k = low + int(np.argmax(power[low:high]))
    a, b, c = 10 * np.log10(power[k - 1:k + 2])
    return grid[k] + 0.5 * (a - c) / (a - 2 * b + c) * (grid[1] - grid[0])


class AgainstScipy(unittest.TestCase):
    def setUp(self):
        self.random = np.random.default_rng(2024)

    def test_welch_has_scipys_scaling(self):
        x = 0.01 * self.random.standard_normal(10 * FS) + 0.1 * np.sin(2 * np.pi * 3001.3 / FS * np.arange(10 * FS))
        _, theirs = scipy.signal.welch(x, FS, "hann", nperseg=FRAME, detrend=False)
        ours = np.array(analyse(x)["welch"])
        self.assertEqual(len(ours), len(theirs))
        worst = np.max(np.abs(10 * np.log10(ours[2:-2] / theirs[2:-2])))
        print(f"periodogram: worst difference {worst:.6f} dB over {len(ours)} bins (allowed 0.005: single precision)")
        self.assertLess(worst, 0.005)

    def test_noise_floor_is_the_filters_density(self):
        b, a = scipy.signal.butter(2, [300, 9000], "band", fs=FS)
        x = scipy.signal.lfilter(b, a, 0.02 * self.random.standard_normal(10 * FS)) + 1e-4 * self.random.standard_normal(10 * FS)
        x += 0.01 * np.sin(2 * np.pi * 2500.7 / FS * np.arange(10 * FS))
        found = analyse(x)
        hz, ours = np.array(found["floor"]).T
        response = np.abs(scipy.signal.freqz(b, a, worN=hz, fs=FS)[1]) ** 2
        theory = 10 * np.log10(2 * (0.02 ** 2 * response + 1e-8) / (FS / 2))
        welch_hz, welch = scipy.signal.welch(x, FS, nperseg=32768)
        # 28 half-overlapping frames: the median of their mean is within 0.1 dB of the mean.
        plain = np.interp(hz, welch_hz, 10 * np.log10(2 * scipy.ndimage.median_filter(welch, 201)))
        inside = (hz > 150) & (hz < 18000)
        against_theory, against_plain = np.abs(ours - theory)[inside], np.abs(ours - plain)[inside]
        print(f"noise floor: against the filter's density mean {against_theory.mean():.3f}, worst {against_theory.max():.3f} dB; "
              f"against SciPy's Welch and median mean {against_plain.mean():.3f}, worst {against_plain.max():.3f} dB")
        self.assertGreater(inside.sum(), 10)
        self.assertLess(against_theory.mean(), 0.3)
        self.assertLess(against_theory.max(), 1.0)
        self.assertLess(against_plain.mean(), 0.3)

    def test_peaks_are_where_scipys_periodogram_has_them(self):
        n = np.arange(10 * FS)
        truth = [(811.37, 40), (2500.08, 30), (7333.91, 25), (12021.5, 45), (16111.03, 35)]   # Hz, C/N0 in dB-Hz
        sigma = 0.01
        x = sigma * self.random.standard_normal(len(n))
        density = 2 * sigma ** 2 / FS
        for hz, cn0 in truth:
            x += np.sqrt(2 * density * 10 ** (cn0 / 10)) * np.cos(2 * np.pi * hz / FS * n + self.random.uniform(0, 6))
        found = analyse(x)["tones"]
        for hz, cn0 in truth:
            ours = min(found, key=lambda tone: abs(tone["hz"] - hz))
            theirs = peak_near(x, hz)
            # Fisher information of a real sinusoid in white noise (S. M. Kay, Estimation Theory, ex. 3.14).
            eta = 10 ** (cn0 / 10) / (FS / 2)
            bound = FS / (2 * np.pi) * np.sqrt(12 / (eta * len(n) * (len(n) ** 2 - 1)))
            level = 10 * np.log10(2 * density * 10 ** (cn0 / 10))
            print(f"peak {hz} Hz: ours {ours['hz'] - hz:+.6f}, SciPy's {theirs - hz:+.6f} Hz from the truth, bound {bound:.6f}, "
                  f"hz_sd {ours['hz_sd']:.6f}; level {ours['level_dbfs'] - level:+.3f} dB")
            self.assertLess(abs(ours["hz"] - hz), 4 * bound)
            self.assertLess(abs(ours["hz"] - theirs), 1.5 * bound)
            self.assertLess(abs(ours["level_dbfs"] - level), 4 * 8.69 / np.sqrt(2 * 10 ** (cn0 / 10) * 10))
        strays = [tone for tone in found if min(abs(tone["hz"] - hz) for hz, _ in truth) > 1]
        self.assertEqual(strays, [])


if __name__ == "__main__":
    if not DUMP:
        sys.exit("usage: compare_scipy.py DUMP_ANALYSIS")
    case_runner.main()
