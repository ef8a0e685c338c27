#!/usr/bin/python3
"""The toggle plan's randomisation test and regression against SciPy and NumPy.  usage: compare_toggle.py DUMP_TOGGLE"""
import os
import subprocess
import sys
import unittest

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "support"))
import case_runner  # noqa: E402

try:
    import numpy as np
    import scipy.stats
except ImportError:
    print("SKIPPED: python3-scipy is not there (Debian: apt-get install python3-scipy)")
    sys.exit(77)

PROGRAM = sys.argv.pop(1)


def dumped(levels, *columns):
    lines = [" ".join(repr(float(level)) for level in levels)] + [" ".join(str(int(bit)) for bit in column) for column in columns]
    done = subprocess.run([PROGRAM], input="\n".join(lines), capture_output=True, text=True, timeout=60, check=True)
    rows = [[float(word) for word in line.split()] for line in done.stdout.splitlines()]
    return rows[0][0], np.array(rows[1:])


def permuted(levels, column):
    """Both sides of the difference of means, over all orders."""
    on, off = levels[column == 1], levels[column == 0]
    return scipy.stats.permutation_test((on, off), lambda a, b: abs(np.mean(a) - np.mean(b)), permutation_type="independent",
                                        alternative="greater", n_resamples=np.inf).pvalue


class AgainstScipy(unittest.TestCase):
    def test_a_case_worked_by_hand(self):
        # On: 10, 11, 12 of 1, 2, 3, 10, 11, 12. Of the 20 orders only this one and its mirror do as well: 2 / 20.
        self.assertAlmostEqual(dumped([1, 2, 3, 10, 11, 12], [0, 0, 0, 1, 1, 1])[0], 2 / 20)
        # On: 3, 11, 12, a sum of 26. As good are 33 and 26 and their mirrors, 6 and 13: 4 / 20.
        levels, column = np.array([1.0, 2, 10, 3, 11, 12]), np.array([0, 0, 0, 1, 1, 1])
        self.assertAlmostEqual(dumped(levels, column)[0], 4 / 20)
        self.assertAlmostEqual(permuted(levels, column), 4 / 20)

    def test_random_cases(self):
        chance = np.random.default_rng(4)
        for steps in (7, 8, 10, 12):
            for _ in range(3):
                column = chance.permutation(np.arange(steps) % 2)
                levels = chance.normal(size=steps) + column
                self.assertAlmostEqual(dumped(levels, column)[0], permuted(levels, column), places=9)

    def test_regression_and_its_standard_errors(self):
        chance = np.random.default_rng(5)
        columns = np.array([chance.permutation(np.arange(12) % 2) for _ in range(3)])
        levels = 3 + columns[0] * 2 - columns[1] + chance.normal(size=12) * (1 + columns[0])
        design = np.column_stack([np.ones(12), (columns - 0.5).T])
        _, rows = dumped(levels, *columns)
        found, *_ = np.linalg.lstsq(design, levels, rcond=None)
        rest = levels - design @ found
        bread = np.linalg.inv(design.T @ design)
        # White's covariance with n / (n - k), "HC1" (MacKinnon and White, J. Econometrics 29, 1985).
        covariance = 12 / (12 - 4) * bread @ (design.T * rest ** 2) @ design @ bread
        np.testing.assert_allclose(rows[:, 0], found, rtol=1e-6)
        np.testing.assert_allclose(rows[:, 1], np.sqrt(np.diag(covariance)), rtol=1e-6)


if __name__ == "__main__":
    case_runner.main()
