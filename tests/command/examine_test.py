#!/usr/bin/python3
"""Recordings examined as a user does it: answers, hearing, and what is wrong with a clip. As program_test.py."""
import json
import math
import os
import pathlib
import shutil
import sys
from html.parser import HTMLParser

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "support"))
import case_runner  # noqa: E402
from program_case import PROGRAM, Case, Recorded, run, sound  # noqa: E402


class Hearing(Case):
    @classmethod
    def setUpClass(cls):
        super().setUpClass()
        cls.take = cls.file("take.wav", sound([(4000.0, 0.004)]))
        cls.calibrator = cls.file("cal.wav", sound([(1000.0, 0.1)]))

    def test_the_usual_line_and_who_is_asked(self):
        words = " ".join(run("examine", self.take).out.split())
        self.assertIn("At 55 years one needs 11 to 15 dB more than at 22.", words)
        words = " ".join(run("examine", self.take, "--all").out.split())
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
        for label in ("\nHeard best at 9599.9", "\nFor ", "\nAgainst ", "\nOthers ", "\nOpen ", "\nNext     1. ", "\nTones "):
            self.assertIn(label, result.out)
        everything = run("examine", self.ranging, "--board", self.sheet, "--all")
        self.readable(everything.out)
        for words in ("Tones of the board", "Prominent", "Recording\n", "Why it sings", "Who hears it"):
            self.assertIn(words, everything.out)

    def test_json_has_exactly_the_keys_of_the_format(self):
        found = self.findings(self.ranging, "--board", self.sheet)
        self.assertEqual(list(found), ["format", "recordings", "room_recorded", "tones", "suspects", "rivals", "undeclared_probability", "states_left",
                                       "verdict", "sound_card", "combs", "undeclared", "pulses", "notices", "outcomes", "next",
                                       "supply", "causes", "hearing"])
        self.assertEqual(found["format"], "tattletone findings 1")
        self.assertEqual(found["verdict"], "named")
        self.assertEqual(list(found["recordings"][0]), ["path", "state", "spot", "sample_rate_hz", "seconds",
                                                        "usable_band_hz", "notices", "changed", "off", "role"])
        tone = found["tones"][0]
        self.assertEqual(list(tone), ["id", "hz", "hz_sd", "level_dbfs", "tone_to_noise_db", "prominence_db", "prominent", "faint", "comb",
                                      "present", "start_hz", "end_hz", "drift_hz", "drift_hz_sd", "bursts_hz", "bursts_hz_sd", "origin", "heard_in",
                                      "room_below_dbfs",
                                      "far_fall_db", "far_fall_db_sd", "far_fall_at_least_db", "level_swing_db", "level_swing_places", "explained_by", "spots"])
        self.assertEqual(list(tone["explained_by"][0]), ["rate", "kind", "order", "other", "expected_hz", "offset_hz",
                                                         "probability"])
        self.assertEqual(list(found["suspects"][0]), ["rate", "probability", "tones", "reasons", "against", "outside_tolerance"])
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
                                             "--state", f"idle={self.idle}", "--all").out)

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

    def test_a_header_that_says_another_rate(self):
        """Trials, the answer, 9: 48 kHz under a header of 44.1 kHz; hum at 45.9 Hz."""
        hum = [(50.0 * k, 0.003) for k in (1, 2, 3, 4, 6)]
        clip = bytearray(sound(hum + [(9599.9, 0.004), (19199.8, 0.002), (976.55, 0.004), (2929.7, 0.003), (4882.8, 0.003)]))
        rate = int.from_bytes(clip[24:28], "little")
        self.assertEqual(rate, 48000)
        right = self.file("right.wav", bytes(clip))
        clip[24:28], clip[28:32] = (44100).to_bytes(4, "little"), (int.from_bytes(clip[28:32], "little") * 44100 // 48000).to_bytes(4, "little")
        wrong = self.file("wrong.wav", bytes(clip))
        self.assertNotIn("header", run("examine", right, "--board", self.sheet).out)
        for arguments in ((wrong,), (wrong, "--board", self.sheet)):
            words = " ".join(run("examine", *arguments).out.split())
            self.assertIn("Its header says 44.1 kHz, and what is heard fits better if it holds 48 kHz", words)
            self.assertIn("Check how the recording was saved", words)
            self.assertNotIn("is the setting taking effect", words)

    def test_fail_if_heard(self):
        """A unit fails for what is the board's by evidence, never for what may be the room's (trials, the answer, 5)."""
        def status(*arguments, told=()):
            result = run("examine", *arguments, "--fail-if-heard")
            self.assertEqual(len(result.err.splitlines()), 1 if told else 0, result.err)
            for words in told:
                self.assertIn(words, result.err)
            return result.returncode
        self.assertEqual(status(self.ranging, "--board", self.sheet), 3)
        self.assertEqual(status(self.idle, "--board", self.sheet), 0)
        self.assertEqual(status(self.idle), 0)
        self.assertEqual(run("examine", self.ranging).returncode, 0)
        # A muted microphone passes no unit.
        for name, clip in (("mute.wav", sound(noise=0.0)), ("blink.wav", sound([(9599.9, 0.004)], seconds=0.3))):
            self.assertEqual(status(self.file(name, clip), "--board", self.sheet, told=("Neither passed nor failed",)), 4)
        # Nothing says whose the tone is.
        self.assertEqual(status(self.ranging, told=["not failed", "9599.9 Hz", "board off", "--room FILE"]), 0)
        stranger = self.file("stranger.wav", sound([(3333.3, 0.004)]))
        self.assertEqual(status(stranger, "--board", self.sheet, told=["3333.3 Hz", "--room FILE"]), 0)
        # The room decides it, either way.
        silent = self.file("silent room.wav", sound(seed=10))
        self.assertEqual(status(self.ranging, "--room", silent), 3)
        self.assertEqual(status(stranger, "--board", self.sheet, "--room", silent), 3)
        self.assertEqual(status(self.ranging, "--room", self.room), 0)
        self.assertEqual(status(self.ranging, "--room", self.room, "--board", self.sheet), 0)

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


if __name__ == "__main__":
    case_runner.main()
