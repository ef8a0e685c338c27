#!/usr/bin/python3
"""The values of `tattletone trace` against NumPy and SciPy on the same file.  usage: compare_trace.py TATTLETONE"""
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
    import scipy.optimize
except ImportError:
    print("SKIPPED: python3-scipy is not there (Debian: apt-get install python3-scipy)")
    sys.exit(77)

PROGRAM = sys.argv.pop(1)
INCREMENT, PERIOD, WIDTH, EDGE, DEPTH = 1e-6, 1 / 9600.3, 22e-6, 7e-6, 0.3


def model(t, period, phase, width, edge, depth, high):
    """A train of trapezia."""
    away = np.abs((t - phase + period / 2) % period - period / 2)
    return high - depth * np.clip((0.5 * (width + edge) - away) / edge, 0, 1)


class AgainstScipy(unittest.TestCase):
    def setUp(self):
        random = np.random.default_rng(5)
        self.t = INCREMENT * np.arange(20000)
        clean = model(self.t, PERIOD, 3.1e-5, WIDTH, EDGE, DEPTH, 3.3)
        self.v = np.round(clean + 0.015 * random.standard_normal(len(self.t)), 4)
        with tempfile.TemporaryDirectory() as folder:
            path = os.path.join(folder, "rail.csv")
            with open(path, "w") as file:
                file.write("Time (us),3V0 (mV)\n")
                file.writelines(f"{1e6 * t:.3f},{1e3 * v:.1f}\n" for t, v in zip(self.t, self.v))
            done = subprocess.run([PROGRAM, "trace", path, "--below", "3.1", "--json"], capture_output=True, text=True, check=True)
        self.ours = json.loads(done.stdout)["columns"][0]

    def test_plain_values_are_numpys(self):
        self.assertAlmostEqual(self.ours["minimum"], self.v.min(), places=5)
        self.assertAlmostEqual(self.ours["maximum"], self.v.max(), places=5)
        self.assertAlmostEqual(self.ours["mean"], self.v.mean(), places=5)
        below = self.v.astype(np.float32) < np.float32(3.1)
        self.assertAlmostEqual(self.ours["below_share"], below.mean(), delta=1e-4)
        starts = np.count_nonzero(below[1:] & ~below[:-1]) + below[0]
        self.assertLessEqual(abs(self.ours["times_below"] - starts), 2)   # a value at the very level, rounded to single precision
        second = np.diff(self.v, 2)
        self.assertAlmostEqual(self.ours["noise_sd"], 1.4826 * np.median(np.abs(second)) / np.sqrt(6), delta=0.0003)

    def test_rate_is_that_of_scipys_fit_of_the_whole_shape(self):
        start = [PERIOD * (1 + 3e-5), 3e-5, WIDTH, EDGE, DEPTH, 3.3]
        fit, covariance = scipy.optimize.curve_fit(model, self.t, self.v, p0=start, method="trf", x_scale=start)
        theirs, theirs_sd = 1 / fit[0], np.sqrt(covariance[0, 0]) / fit[0] ** 2
        ours, ours_sd = self.ours["repetition"]["hz"], self.ours["repetition"]["hz_sd"]
        print(f"rate: ours {ours:.4f} ± {ours_sd:.4f}, SciPy's least squares {theirs:.4f} ± {theirs_sd:.4f}, true 9600.3")
        self.assertLess(abs(ours - theirs), 3 * np.hypot(ours_sd, theirs_sd))
        self.assertLess(abs(ours - 9600.3), 4 * ours_sd)
        self.assertLess(ours_sd, 2 * theirs_sd)      # the fit knows the shape, we do not
        self.assertEqual(self.ours["events"], int(np.floor((self.t[-1] - 3.1e-5) / PERIOD)) + 1)
        self.assertAlmostEqual(self.ours["duty"], WIDTH / PERIOD, delta=0.01)


if __name__ == "__main__":
    case_runner.main()
