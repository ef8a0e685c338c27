#!/usr/bin/python3
"""What was changed in a recording, and what to do next, as a user sees it."""
import json
import os
import re
import sys

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "support"))
import case_runner  # noqa: E402
from program_case import HERON, Case, Recorded, run, sound  # noqa: E402

TWINS = HERON.replace('shape = "square"', 'hz_here').replace("hz = 976.5625\n  hz_here", "hz = 9600\n  adjustable = true")


class Next(Case):
    @classmethod
    def setUpClass(cls):
        super().setUpClass()
        cls.twins = cls.file("twins.toml", TWINS)
        cls.ranging = cls.file("ranging.wav", sound([(9599.9, 0.004), (19199.8, 0.002)]))

    def test_the_suspects_predict(self):
        result = run("next", self.ranging, "--board", self.twins)
        self.assertEqual(result.returncode, 0, result.err)
        self.readable(result.out)
        for words in ("Set lamp.dimming from 9600 Hz to", "give it as --changed lamp.dimming=", "if ranger.frame",
                      "Record the board in the state 'idle'", "Stop ranger"):
            self.assertIn(words, " ".join(result.out.split()))

    def test_json(self):
        found = json.loads(run("next", self.ranging, "--board", self.twins, "--json").out)
        self.assertEqual(list(found), ["format", "verdict", "suspects", "notices", "outcomes", "next"])
        self.assertEqual(found["format"], "tattletone next 1")
        rates = [e["bits_per_minute"] for e in found["next"]]
        self.assertEqual(rates, sorted(rates, reverse=True))
        move = next(e for e in found["next"] if e["trial"] == "moved rate")
        self.assertEqual(move["what"], "lamp.dimming")
        fates = {p["rate"]: p["fate"] for p in move["predictions"]}
        self.assertEqual((fates["lamp.dimming"], fates["ranger.frame"]), ("moves", "stays"))
        examined = json.loads(run("examine", self.ranging, "--board", self.twins, "--json").out)
        self.assertEqual(examined["next"], found["next"])
        self.assertIn("\nNext     1. ", run("examine", self.ranging, "--board", self.twins).out)

    def test_the_experiment_that_came_true(self):
        moved = self.file("moved.wav", sound([(10560.0, 0.004), (21120.0, 0.002)], seed=9))
        found = json.loads(run("next", self.ranging, "--board", self.twins, "--changed",
                               f"lamp.dimming=10560:{moved}", "--json").out)
        self.assertEqual(found["suspects"][0]["rate"], "lamp.dimming")
        self.assertGreater(found["suspects"][0]["probability"], 0.97)
        self.assertIn("moved to 10560 Hz", found["outcomes"][0])

    def test_as_wide_as_asked_in_a_pipe(self):
        for verb in ("next", "examine"):
            for columns, widest in (("50", 50), ("200", 80), ("many", 80)):
                out = run(verb, self.ranging, "--board", self.twins, environment={"COLUMNS": columns}).out
                width = max(len(line) for line in out.splitlines())
                self.assertLessEqual(width, widest)
                self.assertGreater(width, widest - 8)

    def test_evidence_of_the_logbook_as_examine_takes_it(self):
        book = self.folder / "book.db"
        logbook = ("--logbook", book)
        added = run("unit", "add", "7", "--board", self.twins, *logbook)
        self.assertEqual(added.returncode, 0, added.err)
        more = (self.ranging, "--unit", "7", "--ignore-confirmed", *logbook, "--json")
        examined, told = (json.loads(run(verb, *more).out) for verb in ("examine", "next"))
        self.assertEqual(told["next"], examined["next"])
        self.assertEqual(told["verdict"], examined["verdict"])

    def test_the_same_evidence_has_the_same_options(self):
        def options(verb):
            text = run(verb, "--help").out.split("\nOptions:\n")[1].split("\nExample")[0]
            return set(re.findall(r"--[a-z][a-z-]*", " ".join(re.findall(r"^  (--\S+)", text, re.M))))
        trace = {"--rail", "--column", "--below", "--interval", "--clock-ppm"}
        evidence = trace | {"--board", "--room", "--state", "--trace", "--unit", "--logbook", "--ignore-confirmed"}
        clips = {"--spot", "--changed", "--off"}
        self.assertLessEqual(evidence | clips | {"--all"}, options("examine"))
        self.assertLessEqual(evidence | clips, options("next"))
        self.assertLessEqual(evidence | clips, options("listen"))
        self.assertLessEqual(trace | {"--board"}, options("trace"))

    def test_listen_judges_its_evidence_before_it_opens_a_microphone(self):
        self.failed(run("listen", "--board", self.twins, "--state", "idel"), 1, "'idle'")
        self.failed(run("listen", "--board", self.twins, "--room", self.folder / "none.wav"), 1, "none.wav")
        self.failed(run("listen", "--board", self.twins, "--rail", "3V0"), 2, "--trace FILE.csv")
        self.failed(run("listen", "--board", self.twins, "--off", "rangr"), 1, "Did you mean 'ranger'?")
        self.failed(run("listen", "--board", self.twins, "--off", "ranger", "--off", "ranger"), 2, "changed twice in what is heard now")
        self.failed(run("listen", "--board", self.twins, "--changed", "ranger"), 2, "RATE=HZ")
        self.failed(run("listen", "--unit", "7", "--logbook", self.folder / "no.db"), 1, "no.db")

    def test_silence_and_a_short_clip_get_advice_of_their_own(self):
        silence = self.file("silence.wav", sound(noise=0.0))
        short = self.file("short.wav", sound([(9599.9, 0.004)], seconds=0.3))
        for clip, words in ((silence, "not muted"), (short, "Record again for 10 s or more")):
            for arguments in (("examine", clip), ("examine", clip, "--board", self.twins), ("next", clip, "--board", self.twins)):
                self.assertIn(words, " ".join(run(*arguments).out.split()))

    def test_without_a_sheet(self):
        self.failed(run("next", self.ranging), 2, "--board")


class Changed(Recorded):
    def test_spots_are_compared(self):
        lens = self.file("lens.wav", sound([(9599.9, 0.0004)], seed=9))
        arguments = ("--spot", f"coil={self.ranging}", "--spot", f"lens={lens}", "--board", self.sheet)
        tone = self.findings(*arguments)["tones"][0]
        self.assertEqual([level["spot"] for level in tone["spots"]["levels"]], ["coil", "lens"])
        self.assertEqual(tone["spots"]["loudest"], "coil")
        self.assertAlmostEqual(tone["spots"]["difference_db"], 20.0, delta=1.0)
        self.assertIn("loudest over 'coil', by 20 ±", " ".join(run("examine", *arguments).out.split()))

    def test_what_was_changed(self):
        arguments = (self.ranging, "--board", self.sheet, "--off", f"ranger:{self.idle}")
        found = self.findings(*arguments)
        self.assertEqual([(r["changed"], r["off"]) for r in found["recordings"]], [([], []), ([], ["ranger"])])
        self.assertIn("is gone, as its line would be", found["outcomes"][0].replace("are", "is").replace("lines", "line"))
        out = run("examine", *arguments).out
        self.readable(out)
        self.assertIn("with ranger.frame off", " ".join(out.split()))
        self.assertIn("What the changes did", run("examine", *arguments, "--all").out)
        moved = self.file("moved.wav", sound([(10600.0, 0.004), (21200.0, 0.002)], seed=9))
        found = self.findings(self.ranging, "--board", self.sheet, "--changed", f"ranger.frame=10600:{moved}")
        self.assertEqual(found["recordings"][1]["changed"], [{"rate": "ranger.frame", "hz": 10600.0}])
        self.assertGreater(found["suspects"][0]["probability"], 0.97)
        self.assertIn("moved to 10600 Hz", found["outcomes"][0])

    def test_a_change_that_cannot_be(self):
        board = ("--board", self.sheet)
        self.failed(run("examine", self.idle, *board, "--changed", "lamp.dimmin=4000"), 1, "'lamp.dimming'")
        self.failed(run("examine", self.idle, *board, "--off", "rangr"), 1, "'ranger'")
        self.failed(run("examine", self.idle, "--off", "ranger"), 1, "--board")
        self.failed(run("examine", self.idle, *board, "--changed", "lamp.dimming"), 2, "RATE=HZ:FILE")
        self.failed(run("examine", self.idle, *board, "--changed", "lamp.dimming=much"), 2, "'much'")
        self.failed(run("examine", self.idle, self.ranging, *board, "--off", "ranger"), 2, "in which recording")
        self.failed(run("examine", self.idle, *board, "--changed", "lamp.dimming=900", "--changed", "lamp.dimming=800"), 2,
                    "twice")


if __name__ == "__main__":
    case_runner.main()
