"""A recording of a board whose parts are switched by a toggle plan. Needs nothing but Python."""
import csv
import math
import random

from materials import write_samples

RATE = 8000


def read_plan(path):
    """Parts, rows of 0 and 1, seconds a step."""
    with open(path, newline="", encoding="utf-8") as file:
        rows = list(csv.reader(file))
    steps = [[int(value) for value in row[1:]] for row in rows[1:]]
    return rows[0][1:], steps, float(rows[2][0]) - float(rows[1][0])


def write_toggled(path, steps, step_seconds, lines, seconds, start=0.7, pace=0.0, noise=0.01, seed=1):
    """`lines`: (column, hz, amplitude); the plan repeats. `steps`: rows of 0 and 1."""
    chance = random.Random(seed)
    values = []
    for i in range(int(seconds * RATE)):
        t = i / RATE
        on = steps[math.floor((t - start) / (step_seconds * (1.0 + pace))) % len(steps)]
        values.append(chance.gauss(0.0, noise) + sum(a * math.sin(2 * math.pi * hz * t) for column, hz, a in lines if on[column]))
    write_samples(path, values, RATE)
