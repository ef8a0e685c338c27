#!/usr/bin/python3
"""The program as a user sees it: output, messages and exit status. Needs nothing but Python."""
import json
import math
import os
import pathlib
import pty
import re
import shutil
import subprocess
import sys
import tempfile
import unittest
from html.parser import HTMLParser

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "support"))
import case_runner  # noqa: E402
from materials import sheet_text, write_sound  # noqa: E402

PROGRAM = os.environ["TATTLETONE"]
VERBS = ("window", "examine", "listen", "next", "predict", "headroom", "trace", "unit", "batch", "complaint", "compare", "report", "logbook", "devices")
SENTENCE = re.compile(r"^tattletone: .+: .+[.?]( .+[.?])?$")

HERON = sheet_text("heron")

TEN_ERRORS = sheet_text("heron_ten_errors")
TEN_PLACES = ["4:1", "7:13", "10:8", "13:8", "15:8", "17:12", "20:8", "22:6", "24:8", "26:16"]


def run(*arguments, stdin=None, environment=None, program=PROGRAM, **more):
    result = subprocess.run([program, *map(str, arguments)], input=stdin, capture_output=True, timeout=60,
                            env={**os.environ, **(environment or {})}, **more)
    result.out, result.err = result.stdout.decode("utf-8"), result.stderr.decode("utf-8")
    return result


def sound(tones=(), seconds=6.0, noise=0.002, seed=7):
    """A wav as bytes: lines (hz, amplitude) in white noise."""
    with tempfile.TemporaryDirectory() as folder:
        path = pathlib.Path(folder) / "sound.wav"
        write_sound(path, tones, seconds, noise=noise, seed=seed)
        return path.read_bytes()


class Case(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.keep = tempfile.TemporaryDirectory(prefix="tattletone tést ")
        cls.folder = pathlib.Path(cls.keep.name)
        cls.sheet = cls.file("heron.toml", HERON)

    @classmethod
    def tearDownClass(cls):
        cls.keep.cleanup()

    @classmethod
    def file(cls, name, content):
        path = cls.folder / name
        path.write_bytes(content.encode() if isinstance(content, str) else content)
        return path

    def failed(self, result, status, *parts):
        """It ended with this status, nothing on standard output, and a sentence that holds the parts."""
        self.assertEqual(result.returncode, status, result.err)
        self.assertEqual(result.out, "")
        self.assertNotEqual(result.err, "")
        for line in result.err.splitlines():
            self.assertRegex(line, SENTENCE)
        self.assertNotRegex(result.err, r"(?i)exception|what\(\)|terminate|std::|toml\+\+|CLI11|libav|ffmpeg")
        for part in parts:
            self.assertIn(part, result.err)

    def run_unprivileged(self, *arguments):
        """Root may read everything, so it hands over to nobody."""
        if os.geteuid() != 0:
            return run(*arguments)
        self.folder.chmod(0o755)
        try:
            return run(*arguments, user=65534, group=65534, extra_groups=[])
        except PermissionError:
            self.skipTest("the build folder is closed to other users, so root cannot try this")

    def readable(self, text):
        self.assertNotIn("\x1b", text)
        for line in text.splitlines():
            self.assertLessEqual(len(line), 80, line)


class HelpAndUsage(Case):
    def test_alone_it_wants_a_screen(self):
        result = run(environment={"DISPLAY": "", "WAYLAND_DISPLAY": ""})
        self.failed(result, 1, "there is no screen", "tattletone listen")

    def test_the_verbs_are_listed_with_help(self):
        for arguments in (("--help",), ("help",)):
            result = run(*arguments)
            self.assertEqual(result.returncode, 0)
            self.assertEqual(result.err, "")
            self.readable(result.out)
            for verb in VERBS:
                self.assertIn(f"\n  {verb} ", result.out)

    def test_version(self):
        result = run("--version")
        self.assertEqual(result.returncode, 0)
        self.assertRegex(result.out, r"^tattletone \d+\.\d+\.\d+\n$")

    def test_every_verb_explains_itself_with_an_example(self):
        for verb in VERBS:
            result = run(verb, "--help")
            self.assertEqual(result.returncode, 0, result.err)
            self.readable(result.out)
            self.assertRegex(result.out, r"Example:\n\s+tattletone " + verb)

    def test_an_unknown_verb(self):
        self.failed(run("examin"), 2, "'examin'", "Did you mean 'examine'?")
        self.failed(run("xyzzy"), 2, "The verbs are window")
        self.failed(run("--verson"), 2, "'--verson'")

    def test_wrong_options(self):
        self.failed(run("examine"), 2, "no recording is given")
        self.failed(run("examine", "a.wav", "--bord", "x"), 2, "'--bord' is not expected", "Did you mean '--board'?")
        self.failed(run("examine", "a.wav", "--board"), 2, "examine --board", "missing")
        self.failed(run("examine", "--state", "idle"), 2, "'idle' is not NAME=FILE")
        self.failed(run("examine", "--state", "=a.wav"), 2, "'=a.wav' is not NAME=FILE")
        self.failed(run("examine", "--spot", "coil="), 2, "'coil=' is not NAME=FILE")
        self.failed(run("examine", "-", "--room", "-"), 2, "cannot be read twice")
        self.failed(run("examine", "a.wav", "--json=3"), 2, "--json")
        self.failed(run("predict"), 2, "SHEET")
        self.failed(run("predict", "a.toml", "b.toml"), 2, "'b.toml' is not expected")


class Sheets(Case):
    def test_ten_errors_are_told_at_once_before_any_sound_is_read(self):
        sheet = self.file("ten.toml", TEN_ERRORS)
        for arguments in (("predict", sheet), ("examine", "no such.wav", "--board", sheet)):
            result = run(*arguments)
            self.failed(result, 1, "ten.toml")
            lines = result.err.splitlines()
            self.assertEqual([re.search(r"ten\.toml:(\d+:\d+): ", line).group(1) for line in lines], TEN_PLACES)

    def test_files_that_are_no_sheet(self):
        self.failed(run("predict", self.folder / "none.toml"), 1, "none.toml", "no such file")
        self.failed(run("predict", self.folder), 1, "folder")
        self.failed(run("predict", self.file("empty.toml", "")), 1, "empty")
        self.failed(run("predict", self.file("noise.toml", bytes(range(256)))), 1, "noise.toml:")
        self.failed(run("predict", self.file("huge.toml", b"#" * 3_000_000)), 1, "1 MB")
        self.failed(run("predict", self.file("quote.toml", "[board]\nname = Heron\n")), 1, ":2:8:", "double quotes")

    def test_an_unreadable_sheet(self):
        sheet = self.file("secret.toml", HERON)
        sheet.chmod(0)
        self.failed(self.run_unprivileged("predict", sheet), 1, "cannot be opened")


class Predict(Case):
    def test_the_sheet_of_the_readme(self):
        readme = (pathlib.Path(__file__).parents[2] / "README.md").read_text("utf-8")
        sheet = self.file("readme.toml", re.search(r"```toml\n(.*?)```", readme, re.S).group(1))
        result = run("predict", sheet)
        self.assertEqual(result.returncode, 0, result.err)
        self.assertIn("ranger.frame", result.out)

    def test_lines_by_rate_and_the_pairs(self):
        result = run("predict", self.sheet)
        self.assertEqual(result.returncode, 0, result.err)
        self.readable(result.out)
        self.assertIn("9600.00 ± 0.48 Hz", result.out)
        self.assertIn("assumed", result.out)
        self.assertIn("None: each has lines that no other can have.", result.out)

    def test_state(self):
        self.assertNotIn("ranger.frame", run("predict", self.sheet, "--state", "idle").out)
        self.failed(run("predict", self.sheet, "--state", "sleep"), 1, "'sleep'", "'idle', 'ranging'")

    def test_json(self):
        result = json.loads(run("predict", self.sheet, "--json").out)
        self.assertEqual(result["format"], "tattletone prediction 1")
        frame = result["rates"][0]
        self.assertEqual(frame["rate"], "ranger.frame")
        self.assertEqual(frame["active_in"], ["ranging"])
        second = [line for line in frame["lines"] if line["kind"] == "harmonic"][1]
        self.assertEqual((second["order"], second["hz"]), (2, 19200.0))
        self.assertAlmostEqual(second["high_hz"], 19200.96)

    def test_pairs_and_what_tells_them_apart(self):
        sheet = self.file("pairs.toml", HERON + "\n[[part]]\nid = \"osc\"\n[[part.rate]]\nid = \"rc\"\nhz = 3200\n"
                          "tolerance_percent = 3\n")
        pair = json.loads(run("predict", sheet, "--json").out)["pairs"][0]
        self.assertEqual((pair["rate"], pair["other"], pair["multiple"]), ("ranger.frame", "osc.rc", 3))
        self.assertEqual(pair["told_by_line"]["order"], 1)
        self.assertEqual(pair["told_by_states"], ["idle"])
        self.assertIn("told by the fundamental of osc.rc", run("predict", sheet).out)

    def test_all(self):
        short, long = run("predict", self.sheet).out, run("predict", self.sheet, "--all").out
        self.assertIn("--all lists them", short)
        self.assertNotIn("--all lists them", long)
        self.assertIn("20th harmonic", long)
        self.readable(long)


class Headroom(Case):
    @classmethod
    def setUpClass(cls):
        super().setUpClass()
        rail = """[[rail]]
id = "3V0"
regulator = "linear"
v_in = 5.7
v_out = 3.0
max_current_ma = 300
max_dissipation_mw = 400
ambient_c = 35
"""
        text = HERON.replace('[[part]]\nid = "ranger"', rail + '[[part]]\nid = "ranger"\nrail = "3V0"\npeak_ma = 145\n'
                             "typical_ma = 60").replace("tolerance_ppm = 50", "tolerance_ppm = 50\n  burst_us = 20")
        cls.starved = cls.file("starved.toml", text)
        cls.two = cls.file("two.toml", text + '[[rail]]\nid = "1V8"\nmax_current_ma = 1\n[[part]]\nid = "x"\nrail = "1V8"\n'
                                              "typical_ma = 2\n")

    def test_the_limit_is_worked_out(self):
        result = run("headroom", self.starved)
        self.assertEqual(result.returncode, 0, result.err)
        self.readable(result.out)
        self.assertRegex(result.out, r"\A3V0 is starved in ranging: good for 133 mA \(by heat at 35 °C\)")
        self.assertIn("360 mW / (5.7 V - 3 V) = 133 mA", result.out)

    def test_would_another_do(self):
        result = run("headroom", self.starved, "--try", "v_in=4")
        self.assertRegex(" ".join(result.out.split()), r"With v_in = 4, it would do: 3V0 is fine: good for 300 mA")
        found = json.loads(run("headroom", self.starved, "--try", "max_dissipation_mw=300", "--json").out)
        self.assertEqual(found["tried"], {"max_dissipation_mw": "300"})
        self.assertEqual(found["rails"][0]["verdict"], "starved")
        self.assertAlmostEqual(found["rails"][0]["limits"]["good_for_ma"], 100.0)

    def test_wrong_usage(self):
        self.failed(run("headroom"), 2, "SHEET")
        self.failed(run("headroom", self.starved, "--try", "v_inn=4"), 2, "Did you mean 'v_in'?")
        self.failed(run("headroom", self.starved, "--try", "v_in=x"), 2, "'x' is no number")
        self.failed(run("headroom", self.starved, "--try", "regulator=magic"), 2, "'magic'")
        self.failed(run("headroom", self.starved, "--try", "4"), 2, "KEY=VALUE")
        self.failed(run("headroom", self.starved, "--rail", "5V"), 1, "Its rails are '3V0'")
        self.failed(run("headroom", self.two, "--try", "v_in=4"), 2, "--rail ID")
        self.failed(run("headroom", self.sheet, "--try", "v_in=4"), 2, "declares no rail")

    def test_a_suspect_on_a_starved_rail_says_so(self):
        clip = self.file("starved.wav", sound([(9599.9, 0.004), (19199.8, 0.002)]))
        found = json.loads(run("examine", clip, "--board", self.starved, "--json").out)
        reasons = found["suspects"][0]["reasons"]
        self.assertTrue(any("good for 133 mA at 35 °C" in reason and "9.6 kHz line" in reason for reason in reasons), reasons)
        self.assertEqual(found["supply"][0]["verdict"], "starved")
        self.assertEqual(found["causes"][0]["mechanisms"][0]["id"], "capacitor")
        text = run("examine", clip, "--board", self.starved).out
        self.readable(text)
        self.assertIn("a ceramic capacitor on 3V0, likely", text)


class Hearing(Case):
    @classmethod
    def setUpClass(cls):
        super().setUpClass()
        cls.take = cls.file("take.wav", sound([(4000.0, 0.004)]))
        cls.calibrator = cls.file("cal.wav", sound([(1000.0, 0.1)]))

    def test_the_usual_line_and_who_is_asked(self):
        words = " ".join(run("examine", self.take).out.split())
        self.assertIn("At 4000 Hz a median listener of 55 needs about 11 (women) to 15 (men) dB more than one of 22", words)
        words = " ".join(run("examine", self.take, "--hearing", "60:man").out.split())
        self.assertIn("a median man of 60 needs about 20 dB more than one of 18", words)
        self.assertIn("no hearing test", words)

    def test_calibration_by_a_recording_and_by_a_level_agree(self):
        by_clip = json.loads(run("examine", self.take, "--calibration", f"94={self.calibrator}", "--json").out)
        by_level = json.loads(run("examine", self.take, "--calibration", "94=-20dBFS", "--json").out)
        self.assertAlmostEqual(by_clip["hearing"]["spl_at_0_dbfs"], 114.0, delta=0.2)
        self.assertAlmostEqual(by_level["hearing"]["spl_at_0_dbfs"], 114.0)
        tone = by_level["hearing"]["tones"][0]
        self.assertAlmostEqual(tone["level_db_spl"], 114.0 + 20 * math.log10(0.004), delta=0.5)
        self.assertAlmostEqual(tone["threshold_db_spl"], -5.4)

    def test_wrong_usage(self):
        for age in ("5", "99", "old", "55:boy"):
            self.failed(run("examine", self.take, "--hearing", age), 2, "examine --hearing")
        for value in ("94", "94=3dBFS8", "x=-3dBFS", "94=99dBFS"):
            result = run("examine", self.take, "--calibration", value)
            self.assertIn(result.returncode, (1, 2), value)
            self.assertEqual(result.out, "")
        self.failed(run("examine", self.take, "--calibration", f"94={self.sheet}"), 1, "heron.toml")


class Recorded(Case):
    """With a recording in which the ranger sings, and one in which nothing does."""
    @classmethod
    def setUpClass(cls):
        super().setUpClass()
        cls.ranging = cls.file("ranging.wav", sound([(9599.9, 0.004), (19199.8, 0.002)]))
        cls.idle = cls.file("idle.wav", sound(seed=8))

    def findings(self, *arguments, stdin=None):
        result = run("examine", *arguments, "--json", stdin=stdin)
        self.assertEqual(result.returncode, 0, result.err)
        self.assertEqual(result.out.count("\n"), 1)
        return json.loads(result.out)


class Examine(Recorded):
    @classmethod
    def setUpClass(cls):
        super().setUpClass()
        cls.room = cls.file("room.wav", sound([(9599.9, 0.004), (19199.8, 0.002)], seed=9))

    def test_the_answer_is_the_first_line(self):
        result = run("examine", self.ranging, "--board", self.sheet)
        self.assertEqual(result.returncode, 0, result.err)
        self.assertEqual(result.err, "")
        self.readable(result.out)
        self.assertRegex(result.out, r"\Aranger\.frame, Time-of-flight ranger, is (almost certainly|probably)")
        self.assertIn("What to try next", result.out)

    def test_json_has_exactly_the_keys_of_the_format(self):
        found = self.findings(self.ranging, "--board", self.sheet)
        self.assertEqual(list(found), ["format", "recordings", "tones", "suspects", "verdict", "sound_card", "notices", "outcomes", "next",
                                       "supply", "causes", "hearing"])
        self.assertEqual(found["format"], "tattletone findings 1")
        self.assertEqual(found["verdict"], "named")
        self.assertEqual(list(found["recordings"][0]), ["path", "state", "spot", "sample_rate_hz", "seconds",
                                                        "usable_band_hz", "notices", "changed", "off"])
        tone = found["tones"][0]
        self.assertEqual(list(tone), ["id", "hz", "hz_sd", "level_dbfs", "tone_to_noise_db", "prominence_db", "prominent", "faint",
                                      "present", "start_hz", "end_hz", "drift_hz", "drift_hz_sd", "origin", "heard_in",
                                      "explained_by", "spots"])
        self.assertEqual(list(tone["explained_by"][0]), ["rate", "kind", "order", "other", "expected_hz", "offset_hz",
                                                         "probability"])
        self.assertEqual(list(found["suspects"][0]), ["rate", "probability", "tones", "reasons", "outside_tolerance"])
        kinds = {"id": int, "hz": float, "hz_sd": float, "level_dbfs": float, "tone_to_noise_db": float,
                 "prominence_db": float, "present": float, "start_hz": float, "end_hz": float, "origin": str,
                 "heard_in": list, "explained_by": list}
        for each in found["tones"]:
            for key, kind in kinds.items():
                self.assertIsInstance(each[key], kind, key)
            self.assertLessEqual(sum(e["probability"] for e in each["explained_by"]), 1.0001)
            self.assertIn(each["origin"], ("board", "room", "mains", "unsure"))
        self.assertAlmostEqual(tone["hz"], 9599.9, delta=0.05)
        self.assertIs(tone["prominent"], True)
        self.assertIsNone(found["tones"][1]["prominent"])
        self.assertAlmostEqual(tone["level_dbfs"], 20 * math.log10(0.004), delta=0.5)
        self.assertAlmostEqual(found["recordings"][0]["seconds"], 6.0, delta=0.01)

    def test_two_states_are_one_diagnosis(self):
        found = self.findings("--board", self.sheet, "--state", f"ranging={self.ranging}", "--state", f"idle={self.idle}")
        self.assertEqual([r["state"] for r in found["recordings"]], ["ranging", "idle"])
        heard = {entry["recording"]: entry for entry in found["tones"][0]["heard_in"]}
        self.assertEqual(list(heard[0]), ["recording", "level_dbfs", "tone_to_noise_db"])
        self.assertEqual(list(heard[1]), ["recording", "below_dbfs"])
        self.assertEqual(found["suspects"][0]["rate"], "ranger.frame")
        self.assertIn("not in 2 (below", run("examine", "--board", self.sheet, "--state", f"ranging={self.ranging}",
                                             "--state", f"idle={self.idle}").out)

    def test_the_room_is_marked_not_dropped(self):
        found = self.findings(self.ranging, "--board", self.sheet, "--room", self.room)
        self.assertEqual({tone["origin"] for tone in found["tones"]}, {"room"})
        self.assertEqual(found["verdict"], "quiet")

    def test_spots_and_files_together(self):
        found = self.findings(self.idle, "--spot", f"coil={self.ranging}")
        self.assertEqual([(r["spot"], r["state"]) for r in found["recordings"]], [(None, None), ("coil", None)])
        self.assertEqual(found["suspects"], [])
        self.assertEqual(found["verdict"], "unknown")

    def test_standard_input(self):
        found = self.findings("-", "--board", self.sheet, stdin=self.ranging.read_bytes())
        self.assertEqual(found["recordings"][0]["path"], "-")
        self.assertEqual(found["verdict"], "named")

    def test_one_sound_counts_once(self):
        once = self.findings(self.ranging, "--board", self.sheet)
        self.assertEqual(self.findings(self.ranging, self.ranging, "--board", self.sheet), once)
        both = self.findings(self.ranging, "--state", f"ranging={self.ranging}", "--spot", f"coil={self.ranging}",
                             "--board", self.sheet)
        self.assertEqual([(r["state"], r["spot"]) for r in both["recordings"]], [("ranging", "coil")])
        self.failed(run("examine", "--board", self.sheet, "--state", f"ranging={self.ranging}", "--state",
                        f"idle={self.ranging}"), 2, "as 'ranging' and as 'idle'")
        copy = self.file("copy.wav", self.ranging.read_bytes())
        for verb in ("examine", "next"):
            self.failed(run(verb, self.ranging, copy, "--board", self.sheet), 1, "copy.wav", "the same sound as",
                        "counts as evidence once")
        self.failed(run("examine", self.ranging, "--room", copy, "--board", self.sheet), 1, "board unpowered")

    def test_quiet(self):
        result = run("examine", self.idle, "--board", self.sheet)
        self.assertEqual(result.returncode, 0)
        self.assertTrue(result.out.startswith("No tone of the board was found."), result.out)
        self.assertEqual(self.findings(self.idle, "--board", self.sheet)["verdict"], "quiet")

    def test_fail_if_heard(self):
        self.assertEqual(run("examine", self.ranging, "--fail-if-heard").returncode, 3)
        self.assertEqual(run("examine", self.idle, "--fail-if-heard").returncode, 0)
        self.assertEqual(run("examine", self.ranging).returncode, 0)
        self.assertEqual(run("examine", self.ranging, "--room", self.room, "--fail-if-heard").returncode, 0)

    def test_report(self):
        page = self.folder / "report.html"
        result = run("examine", self.ranging, "--board", self.sheet, "--report", page)
        self.assertEqual(result.returncode, 0, result.err)
        html = page.read_text("utf-8")

        class Reader(HTMLParser):
            tags, links = [], []

            def handle_starttag(self, tag, attributes):
                self.tags.append(tag)
                self.links += [v for k, v in attributes if k in ("src", "href")]
        reader = Reader()
        reader.feed(html)
        self.assertIn("svg", reader.tags)
        self.assertEqual(reader.links, [])
        self.assertIn("ranger.frame", html)
        self.assertEqual([p.name for p in self.folder.iterdir() if "part-" in p.name], [])


class ExamineErrors(Case):
    @classmethod
    def setUpClass(cls):
        super().setUpClass()
        cls.good = cls.file("good.wav", sound(seconds=1.0))

    def test_paths_that_are_no_clip(self):
        for name, content in (("empty.wav", b""), ("text.wav", "Dear tester, it whines.\n"), ("junk.m4a", bytes(5000)),
                              ("half.wav", self.good.read_bytes()[:30])):
            self.failed(run("examine", self.file(name, content)), 1, name)
        self.failed(run("examine", self.folder / "none.wav"), 1, "none.wav")
        self.failed(run("examine", self.folder), 1, str(self.folder))
        self.failed(run("examine", ""), 2, "a file name is empty")
        self.failed(run("examine", "-", stdin=b""), 1)

    def test_an_unreadable_clip(self):
        clip = self.file("secret.wav", self.good.read_bytes())
        clip.chmod(0)
        self.failed(self.run_unprivileged("examine", clip), 1, "secret.wav")

    def test_only_what_is_no_wav_needs_the_decoder_which_is_found_where_it_is_installed(self):
        built = pathlib.Path(PROGRAM).resolve()
        decoder = built.parents[2] / "src" / "sound" / "tattletone_decoder.so"
        if not decoder.exists():
            self.skipTest("the decoder is part of the program on this system")
        clip = pathlib.Path(__file__).resolve().parents[2] / "samples" / "clear.flac"
        moved = self.folder / "installed" / "bin" / "tattletone"
        moved.parent.mkdir(parents=True)
        shutil.copy(built, moved)
        self.failed(run("examine", clip, program=moved), 1, "clear.flac", "tattletone_decoder.so")
        self.assertEqual(run("examine", self.good, program=moved).returncode, 0)
        place = self.folder / "installed" / "lib" / "tattletone"
        place.mkdir(parents=True)
        shutil.copy(decoder, place)
        self.assertEqual(run("examine", clip, "--json", program=moved).out, run("examine", clip, "--json").out)

    def test_every_bad_clip_of_several_is_told_and_nothing_is_written(self):
        page = self.folder / "none.html"
        result = run("examine", self.good, self.file("e.wav", b""), self.folder / "none.wav", "--report", page, "--json")
        self.failed(result, 1, "e.wav", "none.wav")
        self.assertEqual(len(result.err.splitlines()), 2)
        self.assertFalse(page.exists())

    def test_short_silent_and_clipped_clips_get_a_notice(self):
        for name, data in (("short.wav", sound(seconds=0.2)), ("silent.wav", sound(noise=0.0, seconds=2.0)),
                           ("clipped.wav", sound(noise=3.0, seconds=2.0))):
            result = run("examine", self.file(name, data), "--json")
            self.assertEqual(result.returncode, 0, result.err)
            found = json.loads(result.out)
            self.assertNotEqual(found["recordings"][0]["notices"], [], name)
            self.assertEqual(found["tones"], [], name)

    def test_a_clip_that_could_show_no_tone_is_no_quiet_board(self):
        for name, data in (("short.wav", sound(seconds=0.2)), ("silent.wav", sound(noise=0.0, seconds=2.0))):
            self.assertTrue(run("examine", self.file(name, data)).out.startswith("This cannot tell: "), name)
        quiet = self.file("quiet.wav", sound(seconds=2.0))
        self.assertTrue(run("examine", quiet, self.file("short.wav", sound(seconds=0.2))).out.startswith("No tone of the board"))

    def test_a_state_that_the_sheet_does_not_list(self):
        self.failed(run("examine", "--board", self.sheet, "--state", f"idel={self.good}"), 1, "'idel'", "'idle', 'ranging'")

    def test_a_report_that_cannot_be_written(self):
        self.failed(run("examine", self.good, "--report", self.folder / "no folder" / "r.html"), 1, "folder does not exist")
        self.failed(run("examine", self.good, "--report", self.folder), 1, "folder")
        self.failed(run("examine", self.good, "--report", "/dev/full"), 1, "/dev/full")


class Devices(Case):
    def test_no_microphone_still_tells_what_to_switch_off(self):
        result = run("devices")
        if result.returncode == 0:
            self.skipTest("this machine has a microphone")
        self.assertEqual(result.returncode, 1, result.err)
        self.assertIn("no microphone was found", result.err)
        self.assertIn("noise suppression", result.out)
        self.assertNotIn("Microphones", result.out)
        told = json.loads(run("devices", "--json").out)
        self.assertEqual(told["devices"], [])
        self.assertIn("Bluetooth", [advice["where"] for advice in told["switch_off"]])


class Output(Case):
    def test_a_full_disk_and_a_reader_that_goes_away(self):
        with open("/dev/full", "wb") as full:
            result = subprocess.run([PROGRAM, "predict", self.sheet], stdout=full, stderr=subprocess.PIPE, timeout=60)
        self.assertEqual(result.returncode, 1)
        self.assertIn("standard output: the disk is full", result.stderr.decode())
        reader, writer = os.pipe()
        os.close(reader)
        result = subprocess.run([PROGRAM, "predict", self.sheet], stdout=writer, stderr=subprocess.PIPE, timeout=60)
        os.close(writer)
        self.assertEqual((result.returncode, result.stderr), (1, b""))

    def on_terminal(self, environment):
        parent, child = pty.openpty()
        process = subprocess.Popen([PROGRAM, "predict", self.sheet], stdout=child, stderr=child,
                                   env={**os.environ, "TERM": "xterm", **environment})
        os.close(child)
        text = b""
        try:
            while piece := os.read(parent, 65536):
                text += piece
        except OSError:
            pass
        self.assertEqual(process.wait(timeout=60), 0)
        os.close(parent)
        self.assertIn(b"ranger.frame", text)
        return text.decode()

    def test_bold_is_for_terminals_without_no_color(self):
        environment = {key: "" for key in ("NO_COLOR",)}
        self.assertIn("\x1b[1m", self.on_terminal(environment))
        self.assertNotIn("\x1b", self.on_terminal({"NO_COLOR": "1"}))
        self.assertNotIn("\x1b", self.on_terminal({**environment, "TERM": "dumb"}))
        self.assertNotIn("\x1b", run("predict", self.sheet).out)


if __name__ == "__main__":
    case_runner.main()
