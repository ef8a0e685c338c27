#!/usr/bin/python3
"""The answer as somebody tired reads it at the bench: on the samples in at most 30 lines of 80 columns, in its order."""
import json
import os
import pathlib
import re
import sys

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "support"))
import case_runner  # noqa: E402
from program_case import Case, run, sound  # noqa: E402

SAMPLES = pathlib.Path(__file__).resolve().parents[2] / "samples"
LIMPET = SAMPLES / "limpet.toml"
ORDER = ["For", "Against", "Others", "Open", "Why", "Trace", "Careful", "Next", "Tones", "From"]


def sample(name):
    return SAMPLES / name


def labels_of(text):
    return [word for word in re.findall(r"^([A-Z][a-z]+)  +\S", text, re.M) if word in ORDER]


class Answer(Case):
    def told(self, *arguments, most=30, **more):
        result = run("examine", *arguments, **more)
        self.assertEqual(result.returncode, 0, result.err)
        self.readable(result.out)
        lines = result.out.splitlines()
        self.assertLessEqual(len(lines), most, result.out)
        self.assertNotRegex(result.out, r"(?m) $|\bbits?\b|entropy")
        return result.out

    def test_samples_in_thirty_lines_of_eighty_columns(self):
        cases = [[sample(name), "--board", LIMPET] for name in
                 ("clear.flac", "faint.flac", "wandering.flac", "undeclared.flac", "quiet.flac", "room.flac", "reading.flac")]
        cases += [[*case, "--room", sample("room.flac")] for case in cases if case[0].name != "room.flac"]
        cases.append(["--board", LIMPET, "--state", f"sounding={sample('sounding.flac')}", "--state", f"reading={sample('reading.flac')}"])
        cases.append([*cases[-1], "--room", sample("room.flac")])
        cases.append([sample("clear.flac"), "--board", LIMPET, "--trace", sample("rail.csv")])
        cases.append([sample("clear.flac")])
        for case in cases:
            with self.subTest(case=[getattr(word, "name", word) for word in case]):
                out = self.told(*case)
                labels = labels_of(out)
                places = [ORDER.index(label) for label in labels]
                self.assertEqual(places, sorted(places), out)
                self.assertIn("Next", labels)
                self.assertRegex(out, r"(?m)^Next     1\. ")

    def test_the_first_sentence_is_the_answer_and_the_second_what_a_person_hears(self):
        out = self.told(sample("clear.flac"), "--board", LIMPET)
        self.assertEqual(labels_of(out), ["For", "Against", "Others", "Open", "Why", "Next", "Tones", "From"])
        self.assertTrue(out.startswith("sounder.frame, Echo sounder, is almost certainly singing (over 0.99).\n"
                                       "Heard best at 6400.08 Hz; easy to hear"), out)
        self.assertRegex(out, r"(?m)^Next     1\. Record the room")
        self.assertIn("--room FILE", out)
        self.assertIn("--state reading=FILE", out)
        self.assertRegex(out, r"(?m)^Tones    6400\.\d+ Hz  14 dB over the noise  2nd harmonic of sounder\.frame$")
        # What is asked for by itself is answered: the room, and then the state is no longer open.
        more = self.told("--board", LIMPET, "--room", sample("room.flac"), "--state", f"sounding={sample('clear.flac')}")
        self.assertNotIn("--room FILE", more)
        self.assertNotIn("no recording with the board off", more)

    def test_a_frequency_has_no_digit_that_the_card_does_not_leave(self):
        """50 ppm for the sound card's clock where nothing pins it: 0.37 Hz at 7411.9 Hz, so tenths are the last that say something."""
        out = self.told(sample("undeclared.flac"), "--board", LIMPET)
        self.assertRegex(out, r"at 7411\.\d Hz,")
        self.assertNotRegex(out, r"7411\.\d\d")

    def test_the_rest_is_behind_all(self):
        short = self.told(sample("clear.flac"), "--board", LIMPET)
        self.assertRegex(short, r"(?m)^         and 10 of the mains and 3 unlike a board's \(--all\)$")
        everything = self.told(sample("clear.flac"), "--board", LIMPET, "--all", most=200)
        self.assertTrue(everything.startswith("\n".join(short.splitlines()[:5])))
        for words in ("± is one standard deviation", "mains: 100.01", "no criterion above 11.2 kHz", "Who hears it", "Why it sings"):
            self.assertIn(words, everything)

    def test_what_else_sounds_is_told_in_words(self):
        """A dimmer's buzz: multiples of a mains of 50.003 Hz (MODEL.md 24); a motor: two lines that wander together."""
        buzz = self.file("buzz.wav", sound([(100.006 * n, 0.01 / n ** 0.5) for n in range(1, 43)]))
        out = " ".join(self.told(buzz, "--board", LIMPET).split())
        self.assertRegex(out, r"multiples of the mains at 50\.00\d Hz up to 4\.\d+ kHz: a dimmed lamp, a rectifier or a supply")
        rivals = json.loads(run("examine", buzz, "--board", LIMPET, "--json").out)["rivals"]
        self.assertEqual(rivals[0]["kind"], "mains")
        self.assertAlmostEqual(rivals[0]["hz"], 50.003, delta=4 * rivals[0]["hz_sd"])
        comb = self.file("comb.wav", sound([(907.31 * n, 0.004) for n in (1, 2, 3, 4, 5, 7)]))
        out = " ".join(self.told(comb, "--board", LIMPET).split())
        self.assertRegex(out, r"something periodic at 907\.3\d* Hz that nobody declared, another clocked device or a part")

    def test_several_suspects_have_a_side_each(self):
        twins = self.file("twins.toml", self.sheet.read_text("utf-8").replace('shape = "square"', 'hz_here').replace(
            "hz = 976.5625\n  hz_here", "hz = 9600\n  adjustable = true"))
        ranging = self.file("ranging.wav", sound([(9599.9, 0.004), (19199.8, 0.002)]))
        out = self.told(ranging, "--board", twins, most=38)
        self.assertEqual(labels_of(out)[:4], ["For", "Against", "For", "Against"])
        # What 'examine' says first, 'next' says too.
        advice = " ".join(run("next", ranging, "--board", twins).out.split())
        self.assertIn("Before all: Record the room with the board off", advice)

    def test_silence_and_a_moment_of_sound(self):
        for name, clip, words in (("silence", sound(noise=0.0), "nothing but silence"), ("short", sound(seconds=0.3), "too short")):
            out = self.told(self.file(name + ".wav", clip), "--board", LIMPET, most=16)
            self.assertIn(words, out)
            self.assertEqual(out.count("\nNext     1. "), 1)

    def test_narrow_terminals(self):
        for columns in ("40", "57"):
            out = run("examine", sample("clear.flac"), "--board", LIMPET, environment={"COLUMNS": columns}).out
            self.assertLessEqual(max(len(line) for line in out.splitlines()), int(columns))


if __name__ == "__main__":
    case_runner.main()
