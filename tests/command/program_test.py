#!/usr/bin/python3
"""The program as a user sees it: output, messages and exit status. Needs nothing but Python."""
import json
import os
import pathlib
import pty
import re
import subprocess
import sys

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "support"))
import case_runner  # noqa: E402
from materials import sheet_text  # noqa: E402
from program_case import HERON, PROGRAM, Case, run, sound  # noqa: E402
from terminal import shown_on  # noqa: E402

VERBS = ("window", "examine", "listen", "next", "toggle", "predict", "headroom", "trace", "unit", "batch", "complaint", "compare", "report", "logbook", "devices", "help")
TEN_PLACES = ["4:1", "7:13", "10:8", "13:8", "15:8", "17:12", "20:8", "22:6", "24:8", "26:16"]


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
        sheet = self.file("ten.toml", sheet_text("heron_ten_errors"))
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
        self.assertTrue(any("good for 133 mA at 35 °C" in reason and "at each frame" in reason for reason in reasons), reasons)
        self.assertEqual(found["supply"][0]["verdict"], "starved")
        self.assertEqual(found["causes"][0]["mechanisms"][0]["id"], "capacitor")
        text = run("examine", clip, "--board", self.starved).out
        self.readable(text)
        self.assertIn("likely: a ceramic capacitor on 3V0", text)


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
        text = shown_on(parent)
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
