#!/usr/bin/python3
"""src/logbook/statistics against SciPy in the same run, on random data with a printed seed."""
import random
import subprocess
import sys

try:
    import scipy.stats as stats
except ImportError:
    print("SKIPPED: SciPy is not here for", sys.executable)
    sys.exit(77)

SEED = int(sys.argv[2]) if len(sys.argv) > 2 else 20310405
print("seed", SEED)
chance = random.Random(SEED)
lines, wanted = [], []


def words(values):
    return f"{len(values)} " + " ".join(repr(v) for v in values)


for _ in range(300):
    of = chance.randint(1, 200)
    count = chance.randint(0, of)
    interval = stats.binomtest(count, of).proportion_ci(0.95, method="wilson")
    lines.append(f"wilson {count} {of}")
    wanted.append((interval.low, interval.high))
    table = [[chance.randint(0, 30) for _ in range(2)] for _ in range(2)]
    lines.append("fisher " + " ".join(str(v) for row in table for v in row))
    wanted.append((stats.fisher_exact(table)[1],))
    a, b = chance.randint(0, 40), chance.randint(0, 40)
    lines.append(f"mcnemar {a} {b}")
    wanted.append((stats.binomtest(min(a, b), a + b).pvalue if a + b else 1.0,))
    first = [chance.gauss(-60, 3) for _ in range(chance.randint(2, 30))]
    second = [chance.gauss(-63, 6) for _ in range(chance.randint(2, 30))]
    result = stats.ttest_ind(first, second, equal_var=False)
    import numpy as np
    n, m = len(first), len(second)
    va, vb = np.var(first, ddof=1) / n, np.var(second, ddof=1) / m
    degrees = (va + vb) ** 2 / (va**2 / (n - 1) + vb**2 / (m - 1))
    half = stats.t.ppf(0.975, degrees) * np.sqrt(va + vb)
    mean = np.mean(first) - np.mean(second)
    lines.append(f"welch {words(first)} {words(second)}")
    wanted.append((result.statistic, result.pvalue, mean - half, mean + half))
    pairs = [v - chance.gauss(2, 1) for v in first]
    result = stats.ttest_rel(first, pairs)
    interval = result.confidence_interval(0.95)
    lines.append(f"paired {words(first)} {words(pairs)}")
    wanted.append((result.statistic, result.pvalue, interval.low, interval.high))

answer = subprocess.run([sys.argv[1]], input="\n".join(lines) + "\n", capture_output=True, text=True, check=True)
found = answer.stdout.splitlines()
assert len(found) == len(wanted), (len(found), len(wanted))
worst = 0.0
for line, text, values in zip(lines, found, wanted):
    ours = [float(v) for v in text.split()]
    assert len(ours) == len(values), (line, text)
    for a, b in zip(ours, values):
        error = abs(a - b) / max(1e-6, abs(b))
        worst = max(worst, error)
        assert error < 1e-6, (line, text, values)
print(f"{len(wanted)} results of six functions agree with SciPy; largest relative difference {worst:.1e}")
