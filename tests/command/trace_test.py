#!/usr/bin/python3
"""`trace` and `examine --trace` as a user sees them. Needs nothing but Python."""
import json
import os
import random
import sys
from pathlib import Path

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "support"))
import case_runner  # noqa: E402
from program_case import HERON, Case, run, sound  # noqa: E402

RAILED = HERON.replace("[[part]]", '[[rail]]\nid = "3V0"\nv_out = 3.0\n\n[[part]]', 1).replace('name = "Time-of-flight ranger"',
                                                                                    'name = "Time-of-flight ranger"\nrail = "3V0"')


def trace(hz=9600.3, rows=20000, increment=1e-6, header="Time,3V0\n", seed=3):
    """A rail at 3 V that dips by 0.3 V for 20 us once a period."""
    chance = random.Random(seed)
    text = [header]
    for i in range(rows):
        away = abs((i * increment * hz + 0.3) % 1.0 - 0.5) / hz
        dip = min(max((13e-6 - away) / 6e-6, 0.0), 1.0)
        text.append(f"{i * increment:.6f},{3.0 - 0.3 * dip + chance.gauss(0, 0.005):.4f}\n")
    return "".join(text)


class Trace(Case):
    @classmethod
    def setUpClass(cls):
        super().setUpClass()
        cls.board = cls.file("railed.toml", RAILED)
        cls.rail = cls.file("rail.csv", trace())

    def test_answer_first_then_the_numbers(self):
        result = run("trace", self.rail, "--board", self.board)
        self.assertEqual(result.returncode, 0, result.err)
        self.readable(result.out)
        flat = " ".join(result.out.split())
        self.assertTrue(flat.startswith("Rail 3V0 dips at 9600"), result.out)
        for part in ("ranger.frame, Time-of-flight ranger, almost certainly", "below 2.850 V (5 % under the 3 V of the sheet)",
                     "50 ppm for the scope's clock", "20000 rows, 1 µs apart, 20 ms in all", "--trace", "hangs on this rail"):
            self.assertIn(part, flat)

    def test_without_a_board_and_from_standard_input(self):
        result = run("trace", "-", stdin=trace().encode())
        self.assertEqual(result.returncode, 0, result.err)
        self.assertIn("standard input: 20000 rows", " ".join(result.out.split()))
        self.assertIn("half way, as --below is not given", " ".join(result.out.split()))

    def test_json_page_and_picture(self):
        page, picture = self.folder / "rail.html", self.folder / "rail.svg"
        result = run("trace", self.rail, "--board", self.board, "--below", "2.9", "--json", "--report", page, "--picture", picture)
        self.assertEqual(result.returncode, 0, result.err)
        told = json.loads(result.out)
        self.assertEqual(told["format"], "tattletone trace 1")
        column = told["columns"][0]
        self.assertLess(abs(column["repetition"]["hz"] - 9600.3), 4 * column["repetition"]["hz_sd"])
        self.assertEqual(column["level"], 2.9)
        self.assertEqual(column["shows"][0]["rate"], "ranger.frame")
        self.assertIn("<title>The trace '3V0'", picture.read_text().replace("&#39;", "'"))
        html = page.read_text()
        self.assertIn("<svg", html)
        self.assertIn("ranger.frame", html)
        self.assertIn("Cautions", html)

    def test_evidence_in_examine(self):
        clip = self.file("take.wav", sound([(9599.8, 0.01)], seconds=4.0))
        result = run("examine", clip, "--board", self.board, "--trace", self.rail)
        self.assertEqual(result.returncode, 0, result.err)
        self.readable(result.out)
        flat = " ".join(result.out.split())
        self.assertIn("the same within the two clocks' errors", flat)
        self.assertIn("without the trace,", flat)
        told = json.loads(run("examine", clip, "--board", self.board, "--trace", self.rail, "--json").out)
        self.assertEqual(told["format"], "tattletone findings 1")
        self.assertEqual(told["trace"]["shows"][0]["rate"], "ranger.frame")
        self.assertTrue(told["trace"]["tones"][0]["same"])
        other = self.file("other.csv", trace(9640.0))
        flat = " ".join(run("examine", clip, "--board", self.board, "--trace", other, "--all").out.split())
        self.assertIn("not the same,", flat)

    def test_the_page_of_examine_shows_the_trace(self):
        clip, page = self.file("take.wav", sound([(9599.8, 0.01)], seconds=4.0)), self.folder / "with trace.html"
        result = run("examine", clip, "--board", self.board, "--trace", self.rail, "--report", page)
        self.assertEqual(result.returncode, 0, result.err)
        html = page.read_text().replace("&#39;", "'")
        for words in ("<h2>The trace</h2>", "<title>The trace '3V0'", "the same within the two clocks' errors",
                      "What the oscilloscope saw on '3V0'", "rail.csv"):
            self.assertIn(words, html)
        run("examine", clip, "--board", self.board, "--report", page)
        self.assertNotIn("The trace", page.read_text())

    def test_few_rows_tell_their_real_extremes(self):
        few = self.file("few.csv", "Time (ms),3V0 (V)\n0.00,3.302\n0.01,3.301\n0.02,3.288\n")
        flat = " ".join(run("trace", few, "--board", self.board).out.split())
        self.assertIn("minimum 3.288", flat)
        self.assertIn("maximum 3.302", flat)
        self.assertIn("mean 3.297", flat)
        self.assertIn("never below 2.850", flat)
        self.assertIn("too few rows to tell its noise", flat)
        self.assertIsNone(json.loads(run("trace", few, "--json").out)["columns"][0]["noise_sd"])

    def shown(self, text, *arguments):
        name = self.file("shown.csv", text)
        result = run("trace", name, *arguments)
        self.assertEqual(result.returncode, 0, result.err)
        return " ".join(result.out.split()), json.loads(run("trace", name, *arguments, "--json").out)["columns"][0]

    def test_coupled_ac(self):
        """Its mean is no fault of the rail: the 5 % hang on it."""
        rows = trace().splitlines()
        text = "\n".join([rows[0]] + [f"{t},{float(v) - 2.97:.4f}" for t, v in (row.split(",") for row in rows[1:])]) + "\n"
        flat, column = self.shown(text, "--board", self.board)
        self.assertIn("coupled AC", flat)
        self.assertNotIn("100 % of the time", flat)
        self.assertAlmostEqual(column["level"], column["mean"] - 0.15, delta=1e-4)
        self.assertIs(column["ac_coupled"], True)
        self.assertGreater(column["below_share"], 0.05)
        self.assertLess(column["below_share"], 0.25)
        self.assertIs(self.shown(trace(), "--board", self.board)[1]["ac_coupled"], False)
        # What was asked for stays.
        self.assertEqual(self.shown(text, "--board", self.board, "--below", "2.9")[1]["level"], 2.9)

    def test_fewer_than_two_samples_a_period(self):
        """9600 Hz at 9 kHz looks like 600 Hz, well resolved: only the sheet knows of the fast rate."""
        wide = ["Time,3V0\n"]
        chance = random.Random(5)
        for i in range(4000):
            wide.append(f"{i / 9000:.9f},{3.0 - 0.3 * ((i * 9600 / 9000) % 1.0 < 0.3) + chance.gauss(0, 0.003):.4f}\n")
        flat, column = self.shown("".join(wide), "--board", self.board)
        self.assertIsNone(column["repetition"])
        self.assertEqual(column["folded_from"], "ranger.frame")
        self.assertAlmostEqual(column["coarse_hz"], 600.0, delta=0.1)
        self.assertIn("no rate that can be told", flat)
        self.assertIn("Sample at 192 kHz or more", flat)
        clip = self.file("folded.wav", sound([(9599.8, 0.01)], seconds=2.0))
        self.failed(run("examine", clip, "--board", self.board, "--trace", self.folder / "shown.csv"), 1,
                    "too few samples a period")

    def test_ripple_of_the_mains(self):
        rows = ["Time,3V0\n"]
        chance = random.Random(6)
        for i in range(20000):
            rows.append(f"{i * 5e-5:.6f},{3.0 - 0.2 * ((i * 5e-5 * 100.01) % 1.0) + chance.gauss(0, 0.003):.4f}\n")
        for arguments in ((), ("--board", self.board)):
            flat, _ = self.shown("".join(rows), *arguments)
            self.assertRegex(flat, r"at 100\.\d+ ± [\d.]+ Hz: twice the mains' 50 Hz, a rectifier's ripple or hum")
        self.assertNotIn("mains'", self.shown(trace(), "--board", self.board)[0].replace("is the mains' earth", ""))

    def test_next_takes_what_examine_takes(self):
        clip = self.file("next.wav", sound([(9599.8, 0.01)], seconds=2.0))
        old = json.loads(run("examine", clip, "--board", self.board, "--trace", self.rail, "--trace-rail", "3V0", "--json").out)
        self.assertEqual(old["trace"]["column"], "3V0")
        more = ("--trace", self.rail, "--rail", "3V0", "--column", "3V0", "--clock-ppm", "20", "--hearing", "55",
                "--calibration", "94=-31dBFS")
        for verb in ("examine", "next"):
            result = run(verb, clip, "--board", self.board, *more)
            self.assertEqual(result.returncode, 0, result.err)
            self.assertIn("without the trace,", " ".join(result.out.split()))
        told, examined = (json.loads(run(verb, clip, "--board", self.board, *more, "--json").out) for verb in ("next", "examine"))
        self.assertEqual(told["trace"], examined["trace"])
        self.failed(run("next", clip, "--board", self.board, "--clock-ppm", "20"), 2, "--trace FILE.csv")

    def test_a_column_named_after_another_rail(self):
        two = self.file("two.toml", RAILED.replace("[[part]]", '[[rail]]\nid = "12V"\nv_out = 12.0\n\n[[part]]', 1))
        clip = self.file("two.wav", sound([(9599.8, 0.01)], seconds=2.0))
        for arguments, rail in ((("trace", self.rail), "--rail"), (("examine", clip, "--trace", self.rail), "--rail")):
            warned = " ".join(run(*arguments, "--board", two, rail, "12V").out.split())
            self.assertIn("the column '3V0' is named after the rail 3V0, and is taken as 12V", warned)
            self.assertNotIn("is named after", run(*arguments, "--board", two, rail, "3V0").out)

    def test_a_rail_that_was_looked_at_needs_no_scope(self):
        samples = Path(__file__).resolve().parents[2] / "samples"
        usual = ("examine", samples / "clear.flac", "--board", samples / "limpet.toml")
        self.assertIn("look at it with an oscilloscope", " ".join(run(*usual).out.split()))
        told = " ".join(run(*usual, "--trace", samples / "rail.csv").out.split())
        self.assertIn("by its average", told)
        self.assertNotIn("look at it with an oscilloscope", told)

    def test_errors(self):
        self.failed(run("trace", self.folder / "none.csv"), 1, "none.csv")
        self.failed(run("trace", self.file("words.csv", "hello\n")), 1, "no rows of numbers")
        self.failed(run("trace", self.rail, "--column", "CH9"), 1, "no column 'CH9'", "'3V0'")
        self.failed(run("trace", self.rail, "--board", self.board, "--rail", "5V"), 1, "no rail '5V'", "3V0")
        self.failed(run("trace", self.rail, "--rail", "3V0"), 2, "--board")
        self.failed(run("trace", self.rail, "--below", "much"), 2, "--below")
        self.failed(run("trace", self.rail, "--picture", self.folder / "x.png"), 2, ".svg")
        flat = self.file("flat.csv", "t,V\n" + "".join(f"{i}e-6,3.3\n" for i in range(100)))
        self.assertEqual(run("trace", flat).returncode, 0)
        clip = self.file("quiet.wav", sound(seconds=1.0))
        self.failed(run("examine", clip, "--trace", flat), 1, "repeats evenly")

    def test_wrong_usage_of_examine(self):
        clip = self.file("tone.wav", sound([(9599.8, 0.01)], seconds=1.0))
        for recordings in (("-",), (clip, "--room", "-"), ("--state", "ranging=-")):
            self.failed(run("examine", *recordings, "--board", self.board, "--trace", "-", stdin=b""), 2, "--trace",
                        "standard input cannot be both a recording and the trace")
        for option, value in (("--rail", "3V0"), ("--column", "3V0"), ("--clock-ppm", "10")):
            self.failed(run("examine", clip, "--board", self.board, option, value), 2, option, "--trace FILE.csv")
        self.failed(run("examine", clip, "--trace", self.rail, "--rail", "3V0"), 2, "--rail", "--board")
        result = run("examine", clip, "--board", self.board, "--trace", "-", stdin=trace().encode())
        self.assertEqual(result.returncode, 0, result.err)


if __name__ == "__main__":
    case_runner.main()
