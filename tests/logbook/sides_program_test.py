#!/usr/bin/python3
"""Sides of a comparison, single units and retired ones, as a user meets them. As logbook_program_test.py."""
import csv
import io
import json
import math
import os
import sys

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "support"))
import case_runner  # noqa: E402
from logbook_case import Book  # noqa: E402
from materials import write_sound  # noqa: E402
from pages import Page  # noqa: E402


class Sides(Book):
    """Different units on the two sides: Fisher and Welch, against SciPy in the same run."""

    @classmethod
    def setUpClass(cls):
        super().setUpClass()
        batches = {"P": [1, 1.5, 2, 3, 4], "Q": [0, 0, 0, 0.4, 0.6], "R": [1, 1], "S": [0, 0]}
        for batch, gains in batches.items():
            for i, gain in enumerate(gains):
                serial = f"{batch}{i}"
                write_sound(cls.folder / f"{serial}.wav", [(9600.0, 0.004 * gain)] if gain else [], seconds=3.0,
                            seed=200 + 10 * ord(batch) + i)
                cls.done("unit", "add", serial, "--board", "heron.toml", "--batch", batch)
                cls.done("examine", f"{serial}.wav", "--log", "--unit", serial)

    def test_unpaired_sides(self):
        result = json.loads(self.done("compare", "P", "Q", "--json"))
        self.assertFalse(result["paired"])
        self.assertEqual([(result[s]["whined"], result[s]["of"]) for s in "ab"], [(5, 5), (2, 5)])
        self.assertTrue(result["level_is_bound"])
        # By hand: of the tables with these margins 21/120 + 1/120 … see Agresti, Categorical Data Analysis, 3.5:
        # C(5,2)/C(10,7) = 10/120 at this table, 10/120 at its mirror image; the rest is more probable.
        self.assertAlmostEqual(result["p_whined"], 20 / 120, places=6)
        self.assertIn("Welch's t", " ".join(result["sentences"]))
        self.assertIn("Fisher's exact test", " ".join(result["sentences"]))

    def test_unpaired_sides_by_scipy(self):
        try:
            from scipy import stats
        except ImportError:
            self.skipTest("SciPy is not here for " + sys.executable)
        result = json.loads(self.done("compare", "P", "Q", "--json"))
        rows = list(csv.DictReader(io.StringIO(self.done("compare", "P", "Q", "--csv"))))
        p, q = ([float(r["level_dbfs"]) for r in rows if r["serial"].startswith(s)] for s in "PQ")
        self.assertAlmostEqual(result["p_whined"], stats.fisher_exact([[5, 0], [2, 3]])[1], places=6)
        welch = stats.ttest_ind(p, q, equal_var=False)
        self.assertAlmostEqual(result["p_level"], welch.pvalue, delta=0.02 * welch.pvalue)
        mean = lambda v: sum(v) / len(v)
        part = lambda v: sum((x - mean(v)) ** 2 for x in v) / (len(v) - 1) / len(v)
        degrees = (part(p) + part(q)) ** 2 / (part(p) ** 2 / (len(p) - 1) + part(q) ** 2 / (len(q) - 1))
        half = stats.t.ppf(0.975, degrees) * math.sqrt(part(p) + part(q))
        fall = mean(p) - mean(q)
        for got, wanted in zip([result["fell_by_db"], *result["fell_by_db_95"]], [fall, fall - half, fall + half]):
            self.assertAlmostEqual(got, wanted, delta=0.1)

    def test_a_sample_too_small_says_so(self):
        text = " ".join(self.done("compare", "R", "S").split())
        self.assertIn("2 of 2 whined in batch R, 0 of 2 in batch S", text)
        # C(2,2)/C(4,2) = 1/6 on each side: 1/3 is the least that two against two can reach.
        self.assertIn("The sample is too small to tell whether fewer units whine: so few could not reach p below "
                      "0.333", text)


class OneUnit(Book):
    """A maker with one board: measured before a fix and after it, then taken out of use."""

    @classmethod
    def setUpClass(cls):
        super().setUpClass()
        cls.done("unit", "add", 1, "--board", "heron.toml", "--batch", "B1")
        for label, tones in (("before", [(9600.0, 0.01)]), ("after", [])):
            write_sound(cls.folder / f"{label}.wav", tones, seconds=3.0, seed=len(label))
            cls.log(1, label)

    @classmethod
    def log(cls, unit, label):
        """What storing says on standard error."""
        result = cls.run_program("examine", f"{label}.wav", "--log", "--unit", unit, "--label", label)
        assert result.returncode == 0, result.stderr
        return " ".join(result.stderr.split())

    def test_one_pair_is_compared_and_too_few_to_tell(self):
        result = json.loads(self.done("compare", "before", "after", "--json"))
        self.assertTrue(result["paired"])
        self.assertEqual([(result[s]["whined"], result[s]["of"]) for s in "ab"], [(1, 1), (0, 1)])
        # One pair that changed: McNemar's exact p = 2 / 2^1 (binomial), the least that one can give.
        self.assertEqual((result["p_whined"], result["least_p"]), (1, 1))
        self.assertIsNone(result["fell_by_db"])
        text = " ".join(self.done("compare", "before", "after").split())
        self.assertIn("1 of 1 whined before, 0 of 1 after", text)
        self.assertIn("One unit on both sides is too few to tell", text)
        self.done("report", "compare", "before", "after", "-o", "pair.html")
        self.assertIn("One unit on both sides is too few to tell",
                      Page((self.folder / "pair.html").read_text("utf-8")).text)

    def test_a_second_unit_on_one_side_leaves_the_pair(self):
        book = ("--logbook", "second.logbook")
        for unit, labels in ((1, ("before", "after")), (2, ("before",))):
            self.done("unit", "add", unit, "--board", "heron.toml", *book)
            for label in labels:
                self.done("examine", f"{label}.wav", "--log", "--unit", unit, "--label", label, *book)
        for sides in (("before", "after"), ("after", "before")):
            result = json.loads(self.done("compare", *sides, "--json", *book))
            self.assertEqual((result["paired"], result["a"]["of"], result["b"]["of"]), (True, 1, 1))

    def test_one_unit_is_no_plural(self):
        self.done("report", "batch", "B1", "-o", "batch.html")
        for text in (" ".join(self.done("batch", "show", "B1").split()),
                     Page((self.folder / "batch.html").read_text("utf-8")).text):
            self.assertRegex(text, r"\b1 unit in use, 1 of them measured")
            self.assertNotRegex(text, r"\b1 units")

    def test_storing_for_a_retired_unit_says_so(self):
        self.done("unit", "add", 7, "--board", "heron.toml")
        self.assertNotIn("retired", self.log(7, "after"))
        self.done("unit", "retire", 7)
        said = self.log(7, "after")
        self.assertIn("Stored as measurement", said)
        self.assertIn("Unit 7 is retired", said)
        self.assertIn("'tattletone unit retire 7 --undo'", said)
        self.assertEqual(len(json.loads(self.done("unit", "show", 7, "--json"))["measurements"]), 2)
        self.done("unit", "retire", 7, "--undo")
        self.assertNotIn("retired", self.log(7, "after"))


if __name__ == "__main__":
    case_runner.main()
