#!/usr/bin/python3
"""A recording from 60 cm, as a user gives it (design, The far take): what fell is the board's, what did not the room's."""
import json
import os
import sys

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "support"))
import case_runner  # noqa: E402
from program_case import Case, run, sound  # noqa: E402


def fainter(lines, *falls_db):
    return [(hz, amplitude * 10 ** (-fall / 20)) for (hz, amplitude), fall in zip(lines, falls_db)]


LINES = [(9599.9, 0.02), (19199.8, 0.01)]


class Far(Case):
    @classmethod
    def setUpClass(cls):
        super().setUpClass()
        cls.near = cls.file("near.wav", sound(LINES))
        cls.fell = cls.file("fell.wav", sound(fainter(LINES, 24, 27), seed=9))
        cls.stayed = cls.file("stayed.wav", sound(fainter(LINES, -4, 5), seed=10))
        cls.silent = cls.file("silent.wav", sound(seed=11))

    def findings(self, *arguments):
        result = run("examine", self.near, "--board", self.sheet, *arguments, "--json")
        self.assertEqual(result.returncode, 0, result.err)
        return json.loads(result.out)

    def test_what_fell_is_the_boards(self):
        alone, found = self.findings(), self.findings("--far", self.fell)
        self.assertEqual(found["verdict"], "named")
        self.assertEqual([r["role"] for r in found["recordings"]], ["take", "far"])
        self.assertGreaterEqual(found["suspects"][0]["probability"], alone["suspects"][0]["probability"])
        # A level in white noise of 0.002 a sample is known to some tenths of a dB in 6 s.
        for tone, fall in zip(found["tones"], (24, 27)):
            self.assertAlmostEqual(tone["far_fall_db"], fall, delta=4 * tone["far_fall_db_sd"] + 0.3)
            self.assertIsNone(tone["far_fall_at_least_db"])
            self.assertEqual(tone["origin"], "board")
            self.assertEqual([entry["recording"] for entry in tone["heard_in"]], [0])
        for tone in alone["tones"]:
            self.assertIsNone(tone["far_fall_db"])
        words = " ".join(run("examine", self.near, "--board", self.sheet, "--far", self.fell).out.split())
        self.assertRegex(words, r"fell by \d+ to \d+ dB when the microphone moved from 3 to 60 cm: they come from the board")
        self.assertIn("; from 60 cm too", words)
        self.assertNotIn("whether it is the board at all", words)

    def test_what_did_not_fall_accuses_nobody(self):
        found = self.findings("--far", self.stayed)
        self.assertEqual(found["verdict"], "quiet")
        self.assertEqual({tone["origin"] for tone in found["tones"]}, {"room"})
        self.assertLess(max([s["probability"] for s in found["suspects"]] or [0]), 0.3)

    def test_what_is_not_heard_from_afar_is_no_evidence_against_its_rate(self):
        alone, found = self.findings(), self.findings("--far", self.silent)
        self.assertGreaterEqual(found["suspects"][0]["probability"], alone["suspects"][0]["probability"])
        for tone in found["tones"]:
            self.assertIsNone(tone["far_fall_db"])
            self.assertGreater(tone["far_fall_at_least_db"], 15)

    def test_a_unit_fails_without_a_sheet_where_its_tone_fell(self):
        self.assertEqual(run("examine", self.near, "--fail-if-heard").returncode, 0)
        self.assertEqual(run("examine", self.near, "--far", self.fell, "--fail-if-heard").returncode, 3)
        self.assertEqual(run("examine", self.near, "--far", self.stayed, "--fail-if-heard").returncode, 0)
        self.assertTrue(run("examine", self.near, "--far", self.fell).out.startswith("2 tones of the board")
                        or "of the board" in run("examine", self.near, "--far", self.fell).out.splitlines()[0])

    def test_a_microphone_that_was_not_moved(self):
        lines = LINES + [(3100.0, 0.01), (4321.0, 0.01), (5432.1, 0.01)]
        near, same = self.file("n.wav", sound(lines)), self.file("s.wav", sound(lines, seed=12))
        found = json.loads(run("examine", near, "--board", self.sheet, "--far", same, "--json").out)
        self.assertIn("hardly moved", " ".join(found["notices"]))
        self.assertEqual(found["verdict"], "named")

    def test_its_state(self):
        found = self.findings("--state", f"ranging={self.near}", "--far", self.fell, "--state", f"ranging={self.fell}")
        self.assertEqual([(r["role"], r["state"]) for r in found["recordings"]], [("take", "ranging"), ("far", "ranging")])
        self.failed(run("examine", self.near, "--board", self.sheet, "--far", self.fell, "--state", f"flying={self.fell}"),
                    1, "flying")

    def test_wrong_usage(self):
        self.failed(run("examine", self.near, "--far", self.near), 2, "--far", "near the board too")
        self.failed(run("examine", self.near, "--far", self.fell, "--off", f"lamp:{self.fell}"), 2, "--far")
        self.failed(run("examine", "--far", self.fell), 2, "no recording near the board is given")
        self.failed(run("examine", "-", "--far", "-"), 2, "--far")
        copy = self.file("copy.wav", self.near.read_bytes())
        self.failed(run("next", self.near, "--far", copy, "--board", self.sheet), 1, "60 cm from the board")

    def test_next_proposes_it_after_the_room_and_not_again(self):
        loose = self.file("loose.toml", '[board]\nname = "Ibis"\n[[part]]\nid = "pump"\n  [[part.rate]]\n  id = "drive"\n'
                                        '  hz = 3200\n  tolerance_percent = 3\n')
        stray = self.file("stray.wav", sound([(3230.0, 0.01)]))
        from_afar = self.file("stray far.wav", sound([(3230.0, 0.01 * 10 ** (-12 / 20))], seed=13))

        def trials(*more):
            found = json.loads(run("next", stray, "--board", loose, *more, "--json").out)
            return {each["trial"]: each for each in found["next"]}
        self.assertNotIn("far", trials())
        far = trials("--room", self.silent)["far"]
        self.assertEqual(far["option"], "--far FILE")
        self.assertEqual({(p["rate"], p["fate"]) for p in far["predictions"]}, {("pump.drive", "falls"), (None, "stays")})
        self.assertNotIn("far", trials("--room", self.silent, "--far", from_afar))

    def test_it_is_logged_as_what_it_is(self):
        book = {"TATTLETONE_LOGBOOK": str(self.folder / "far.db")}
        self.assertEqual(run("unit", "add", "7", "--board", self.sheet, environment=book).returncode, 0)
        logged = run("examine", self.near, "--far", self.fell, "--room", self.silent, "--log", "--unit", "7", environment=book)
        self.assertEqual(logged.returncode, 0, logged.err)
        shown = json.loads(run("unit", "show", "7", "--json", environment=book).out)
        self.assertEqual([(r["room"], r["far"]) for r in shown["measurements"][0]["recordings"]],
                         [(False, False), (False, True), (True, False)])


if __name__ == "__main__":
    case_runner.main()
