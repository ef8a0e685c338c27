#!/usr/bin/python3
"""`toggle`, and `examine` and `next` with --toggle, as a user sees them; the plan for firmware in compilers."""
import json
import os
import shutil
import subprocess
import sys

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "support"))
import case_runner  # noqa: E402
from program_case import Case, run  # noqa: E402
from toggled import read_plan, write_toggled  # noqa: E402

SHEET = """[board]
name = "Tern"
[[part]]
id = "lamp"
[[part.rate]]
id = "dimming"
hz = 2500
tolerance_ppm = 100
[[part]]
id = "pump-2"
settle_s = 0.1
[[part.rate]]
id = "stroke"
hz = 1200
tolerance_ppm = 100
[[part]]
id = "ranger"
"""
FIRMWARE = '#include "plan.h"\n#include <stdio.h>\nint main(void) { unsigned i; for (i = 0; i < 2 * TOGGLE_STEPS; ++i) ' \
           'printf("%u\\n", toggle_at(i)); return (int)(TOGGLE_LAMP + TOGGLE_PUMP_2) - 3; }\n'


class Toggle(Case):
    @classmethod
    def setUpClass(cls):
        super().setUpClass()
        cls.board = cls.file("tern.toml", SHEET)
        cls.plan, cls.header = cls.folder / "plan.csv", cls.folder / "plan.h"
        cls.drawn = run("toggle", cls.board, "--parts", "lamp,pump-2", "--seconds", "25", "--seed", "11", "--csv", cls.plan, "--c", cls.header)
        cls.parts, cls.steps, cls.step = read_plan(cls.plan)
        # The lamp whines; the pump's stroke is there all the time, whoever is switched.
        cls.take = cls.folder / "take.wav"
        always = [row + [1] for row in cls.steps]
        write_toggled(cls.take, always, cls.step, [(0, 2500.02, 0.004), (2, 1200.01, 0.004)], 26)

    def test_plan_is_a_table_and_says_what_it_finds(self):
        self.assertEqual(self.drawn.returncode, 0, self.drawn.err)
        self.readable(self.drawn.out)
        for part in ("50 steps of 0.5 s", "seed 11", "p ≤ 0.001", "tone-to-noise ratio", "plan.csv", "--toggle"):
            self.assertIn(part, " ".join(self.drawn.out.split()))
        self.assertEqual((self.parts, len(self.steps), self.step), (["lamp", "pump-2"], 50, 0.5))
        for column in zip(*self.steps):
            self.assertEqual(sum(column), 25)
        again = self.folder / "again.csv"
        run("toggle", self.board, "--parts", "lamp,pump-2", "--seconds", "25", "--seed", "11", "--csv", again)
        self.assertEqual(again.read_bytes(), self.plan.read_bytes())
        run("toggle", self.board, "--parts", "lamp,pump-2", "--seconds", "25", "--csv", again, "--overwrite")
        self.assertNotEqual(again.read_bytes(), self.plan.read_bytes())

    def test_firmware_in_c99_and_cpp_switches_as_the_table_says(self):
        main = self.file("main.c", FIRMWARE)
        wanted = [sum(bit << part for part, bit in enumerate(row)) for row in 2 * self.steps]
        for compiler, standard in (("cc", "c99"), ("c++", "c++98"), ("c++", "c++20")):
            if shutil.which(compiler) is None:
                case_runner.could_not(f"there is no {compiler}")
                continue
            program = self.folder / f"firmware-{standard}"
            language = "c" if compiler == "cc" else "c++"
            done = subprocess.run([compiler, "-x", language, f"-std={standard}", "-Wall", "-Wextra", "-pedantic", "-Werror", main, "-o", program],
                                  capture_output=True, text=True, timeout=120)
            self.assertEqual(done.returncode, 0, done.stderr)
            done = subprocess.run([program], capture_output=True, text=True, timeout=60)
            self.assertEqual(done.returncode, 0)
            self.assertEqual([int(line) for line in done.stdout.split()], wanted, standard)

    def test_the_part_that_sings_is_proven_and_the_other_acquitted(self):
        page = self.folder / "tern.html"
        result = run("examine", self.take, "--board", self.board, "--toggle", self.plan, "--json", "--report", page)
        self.assertEqual(result.returncode, 0, result.err)
        told = json.loads(result.out)
        trial = told["toggle"]
        lamp, pump = trial["parts"]
        self.assertEqual((lamp["part"], lamp["drives"], pump["part"], pump["drives"]), ("lamp", True, "pump-2", False))
        self.assertLessEqual(lamp["p"], 0.001)
        self.assertGreater(pump["p"], 0.05)
        self.assertLess(abs(trial["start_s"] - 0.7), 0.1)
        self.assertLess(abs(trial["pace_ppm"]), 3000)
        by_id = {tone["id"]: tone["hz"] for tone in told["tones"]}
        self.assertTrue(all(abs(by_id[tone] - 2500.02) < 3 for tone in lamp["tones"]), lamp)
        self.assertGreater(lamp["change_db"], 10)
        suspects = {suspect["rate"]: suspect["probability"] for suspect in told["suspects"]}
        before = {one["rate"]: one["probability"] for one in trial["without"]}
        self.assertGreaterEqual(suspects["lamp.dimming"], before["lamp.dimming"])
        self.assertLess(suspects.get("pump-2.stroke", 0), before["pump-2.stroke"])
        html = page.read_text(encoding="utf-8")
        for part in ("The toggle plan", "lamp is proven", "<polyline", "pump-2 is acquitted"):
            self.assertIn(part, html)
        text = run("examine", self.take, "--board", self.board, "--toggle", self.plan)
        self.readable(text.out)
        flat = " ".join(text.out.split())
        for part in ("lamp is proven", "pump-2 is acquitted", "without the plan", "the toggle plan: tone"):
            self.assertIn(part, flat)
        following = run("next", self.take, "--board", self.board, "--toggle", self.plan, "--json")
        self.assertEqual(json.loads(following.out)["toggle"], trial)

    def test_part_without_any_rate_is_found_in_noise_alone(self):
        plan, take = self.folder / "ranger.csv", self.folder / "ranger.wav"
        run("toggle", self.board, "--parts", "ranger", "--seconds", "25", "--csv", plan)
        _, steps, step = read_plan(plan)
        write_toggled(take, steps, step, [(0, 900.0 + 37.7 * k, 0.0006) for k in range(40)], 26, seed=5)
        told = json.loads(run("examine", take, "--toggle", plan, "--json").out)["toggle"]
        self.assertEqual((told["parts"][0]["part"], told["parts"][0]["drives"]), ("ranger", True))

    def test_errors_say_what_would_be_right(self):
        toggle = ("toggle", self.board, "--parts")
        self.failed(run(*toggle, "lmap"), 1, "there is no part 'lmap'", "lamp")
        self.failed(run(*toggle, "lamp,lamp"), 1, "named twice")
        self.failed(run(*toggle, "lamp", "--seconds", "10"), 1, "too few to prove anything at p ≤ 0.001", "--seconds")
        self.failed(run(*toggle, "pump-2", "--step", "0.2"), 1, "three settling times", "0.3 s")
        self.failed(run(*toggle, "lamp", "--by-hand", "--step", "1"), 1, "too short for a hand", "3 s")
        self.failed(run(*toggle, "lamp", "--seed", "x"), 2, "--seed")
        self.failed(run(*toggle, "lamp", "--seconds", "900"), 1, "more than 600")
        examine = ("examine", self.take, "--board", self.board)
        changed = self.plan.read_text().splitlines()
        changed[5] = changed[5][:-3] + {"0,0": "1,0", "0,1": "1,1", "1,0": "0,0", "1,1": "0,1"}[changed[5][-3:]]
        other = self.file("changed.csv", "\n".join(changed) + "\n")
        self.failed(run(*examine, "--toggle", other), 1, "would not have drawn this plan")
        self.failed(run(*examine, "--toggle", self.file("no.csv", "a,b\n1,2\n")), 1, "no toggle plan")
        self.failed(run(*examine, "--toggle", self.folder / "none.csv"), 1, "cannot be opened")
        self.failed(run(*examine, "--toggled", self.take), 2, "--toggle")
        self.failed(run(*examine, self.folder / "more.wav", "--toggle", self.plan), 2, "--toggled")


if __name__ == "__main__":
    case_runner.main()
