#!/usr/bin/python3
"""The window as a user meets it, on a screen without hardware."""

import json
import os
import re
import shutil
import subprocess
import tempfile
import time
import unittest

from driven_window import DrivenWindow, pixels
from window_case import LIMPET, PROGRAM, SEEN, main, sample, shot


def lit_columns(path, place, left):
    """Columns of the picture right of `left` in which a ladder's strip is amber."""
    width, height, raw = pixels(path)
    y = place[1] + 8
    columns = []
    for x in range(left, min(width, place[0] + place[2])):
        red, green, blue = raw[3 * (y * width + x):3 * (y * width + x) + 3]
        if red > 200 and 140 < green < 215 and blue < 110:
            columns.append(x)
    return columns, (width, height)


class Screenless(unittest.TestCase):
    def test_without_a_screen_a_sentence_says_what_to_do(self):
        environment = {k: v for k, v in os.environ.items() if k not in ("DISPLAY", "WAYLAND_DISPLAY")}
        for arguments in ([], ["window"], ["window", "--demo"]):
            done = subprocess.run([PROGRAM, *arguments], env=environment, capture_output=True, text=True,
                                  timeout=60, check=False)
            self.assertEqual(done.returncode, 1, arguments)
            self.assertEqual(done.stdout, "")
            self.assertRegex(done.stderr, r"^tattletone: the window: it cannot be opened: there is no screen")
            self.assertIn("tattletone listen", done.stderr)
            self.assertEqual(done.stderr.count("\n"), 1)


class Demo(unittest.TestCase):
    def test_a_sitting_with_the_demo(self):
        with DrivenWindow(PROGRAM, []) as window:
            window.wait_place("Understood")
            shot(window, "caution")
            window.click("Understood")
            window.wait_place("Play the demo")
            shot(window, "first start")
            window.key("F5")
            window.wait_for("the sounder on top", lambda: window.ladders()[:1] == ["sounder.frame"])
            said = window.wait_beginning("says sounder.frame")
            self.assertIn("singing", said)
            # Pause holds the picture: nothing is drawn any more once it has settled.
            window.key("space")
            window.wait_place("Go on")
            window.rest_mouse()
            time.sleep(1.0)
            frames = window.frames()
            time.sleep(2.0)
            self.assertEqual(window.frames(), frames)
            window.key("space")
            window.wait_place("Pause")
            time.sleep(2.0)
            # A tone chosen in the table can be followed; its spot is kept.
            window.choose("row ", "follow it")
            window.key("f")
            window.wait_place("Keep this spot")
            time.sleep(2.0)
            window.key("n")
            shot(window, "follow dark 1280")
            window.key("Escape")
            # Keep the last seconds, and save what is there.
            window.key("k")
            kept = window.wait_for("a kept recording", lambda: window.saved_files(".flac"))
            window.key("1", "Escape", "ctrl+j")
            found = window.wait_for("findings", lambda: window.saved_files(".json"))[0]
            window.rest_mouse()
            window.key("ctrl+s")
            saved = window.wait_for("a picture", lambda: window.saved_files(".png"))[0]
            time.sleep(0.3)
            with open(found, encoding="utf-8") as text:
                findings = json.load(text)
            self.assertEqual(findings["format"], "tattletone findings 1")
            self.assertEqual(findings["verdict"], "named")
            self.assertEqual(findings["suspects"][0]["rate"], "sounder.frame")
            self.assertGreater(findings["suspects"][0]["probability"], 0.9)
            for hz in (3200.038, 6400.077, 9600.115):  # samples/README.md: what was put in
                tone = min(findings["tones"], key=lambda t: abs(t["hz"] - hz))
                self.assertLess(abs(tone["hz"] - hz), 0.1)
            # The picture is of this window, with the sounder's rungs lit at multiples of its rate.
            places = window.places()
            spectrum = places["Spectrum"]
            columns, size = lit_columns(saved, places["ladder sounder.frame"], spectrum[0])
            self.assertEqual(size, (1280, 800))
            shares = [(x - spectrum[0]) / spectrum[2] for x in columns]
            for order in (1, 2, 3):
                share = self._share(window, 3200.0 * order, places)
                self.assertTrue(any(abs(s - share) < 0.01 for s in shares), (order, share, shares))
            # The kept clip says the same to the program that reads files.
            done = subprocess.run([PROGRAM, "examine", kept[0], "--board", LIMPET, "--json"],
                                  capture_output=True, text=True, timeout=60, check=True)
            self.assertEqual(json.loads(done.stdout)["suspects"][0]["rate"], "sounder.frame")
            window.key("d")
            shot(window, "tones light 1280")
            self.assertEqual(window.close(), 0)
            settings = window.settings()
            self.assertEqual(settings["look"], "light")
            self.assertTrue(settings["caution_seen"])

    def test_screens_with_small_pixels(self):
        for scale in (1.5, 2.0):
            size = (int(1024 * scale), int(640 * scale))
            with DrivenWindow(PROGRAM, ["--demo"], size=size,
                              settings=SEEN + f"scale = {scale}\n") as window:
                window.wait_for("the sounder on top", lambda: window.ladders()[:1] == ["sounder.frame"])
                time.sleep(2)
                window.key("Down")
                shot(window, f"tones dark 1024 times {scale}")
                places = window.places()
                for name, (x, y, w, h) in places.items():
                    if name in ("Open", "Save", "Keys", "Pause", "Keep 10 s", "How much to keep") or \
                            name.startswith(("tab ", "step ", "column ")):
                        self.assertLessEqual(x + w, size[0], name)
                        self.assertLessEqual(y + h, size[1], name)
                # The same share of the screen is text as at scale 1: a row of the bar is 1/21 of its height.
                self.assertAlmostEqual(places["Open"][3] / size[1], 0.034, delta=0.006)

    @staticmethod
    def _share(window, hz, places):
        """Where a frequency stands on the axis: by octaves from 100 Hz to 22 kHz at the start."""
        import math
        return math.log(hz / 100.0) / math.log(22000.0 / 100.0)

    def test_every_view_in_both_looks_and_sizes(self):
        for width, height in ((1280, 800), (1024, 640)):
            for look in ("dark", "light"):
                with DrivenWindow(PROGRAM, ["--demo"], size=(width, height),
                                  settings=SEEN + f'look = "{look}"\n') as window:
                    window.wait_for("the sounder on top",
                                    lambda: window.ladders()[:1] == ["sounder.frame"])
                    time.sleep(1.5)
                    name = f"{look} {width}"
                    shot(window, "tones " + name)
                    window.key("Down", "Down", "2", "g")
                    shot(window, "history " + name)
                    window.key("z")
                    shot(window, "zoomed " + name)
                    window.key("Home", "4")
                    shot(window, "recordings " + name)
                    window.key("5")
                    shot(window, "compare empty " + name)
                    window.key("F1")
                    shot(window, "keys " + name)
                    window.key("Escape", "ctrl+o")
                    window.wait_place("Path")
                    shot(window, "open " + name)
                    for place, (x, y, w, h) in window.places().items():
                        if place in ("Open", "Save", "Keys", "Pause", "Keep 10 s"):
                            self.assertLessEqual(x + w, width, place)
                            self.assertLessEqual(y + h, height, place)


class Card(unittest.TestCase):
    def test_the_answer_in_the_order_of_the_terminal_and_whole(self):
        for scale, size in ((1.0, (1024, 640)), (1.0, (1280, 800)), (1.5, (1536, 960)), (2.0, (2048, 1280))):
            with self.subTest(scale=scale, size=size), \
                    DrivenWindow(PROGRAM, [sample("wandering.flac"), "--board", LIMPET], size=size,
                                 settings=SEEN + f"scale = {scale}\n") as window:
                window.wait_beginning("says core-regulator.burst, Core buck regulator, is probably singing")
                window.wait_beginning("for 3 lines (1st, 2nd and 3rd harmonic) wander along one path")
                shot(window, f"card {size[0]} times {scale}")
                places = window.places()
                tops = []
                for beginning in ("says ", "hears Heard best at 5649", "for ", "others ", "open whether it is the board at all",
                                  "next "):
                    tops.append(min(place[1] for name, place in places.items() if name.startswith(beginning)))
                self.assertEqual(tops[:-1], sorted(set(tops[:-1])))  # what has no room is below the edge, to be scrolled to
                self.assertGreater(tops[-1], tops[2])
                # What to do next is in sight whatever stands above it.
                advice = next(place for name, place in places.items() if name.startswith("next "))
                self.assertLessEqual(advice[1] + advice[3], next(p for n, p in places.items() if n.startswith("step "))[1])


class Mouse(unittest.TestCase):
    def test_the_main_path_by_clicks_alone(self):
        with DrivenWindow(PROGRAM, [], settings=SEEN) as window:
            window.pick("Board: No board sheet", "Open a board sheet ...")
            window.wait_place("Path")
            window.type(LIMPET)
            window.click("Open")  # of the box: it lies over the one in the bar
            window.wait_place("ladder screen.row")
            window.click("Play the demo")
            window.wait_for("the sounder on top", lambda: window.ladders()[:1] == ["sounder.frame"])
            time.sleep(3)
            window.click("Pause")
            window.wait_place("Go on")
            # A tone selected in the spectrum; what is selected can be followed.
            tones = sorted((name for name in window.places() if name.startswith("tone ")),
                           key=lambda name: int(name[5:]))
            window.click(tones[len(tones) // 2])
            window.wait_place("follow it")
            window.click("Go on")
            window.wait_place("Pause")
            window.click("follow it")
            window.wait_place("Keep this spot")
            window.click("Stop following")
            window.pick("How much to keep", "the last 5 s")
            window.click("Keep 5 s")
            kept = window.wait_for("a kept recording", lambda: window.saved_files(".flac"))[0]
            seconds = float(subprocess.run(["soxi", "-D", kept], capture_output=True, text=True,
                                           check=True).stdout)
            self.assertLessEqual(seconds, 5.001)
            self.assertGreater(seconds, 1.5)  # there is a gap behind the pause, and nothing is kept across
            window.pick("Save", "Copy a summary")
            with window.x_client() as client:
                said = window.wait_for("text in the clipboard", client.clipboard)
            self.assertIn("sounder.frame", said)
            self.assertRegex(said, r"3200\.0\d* ± 0\.\d+ Hz \(-\d+\.\d dBFS\)")
            self.assertIn("A probability is a lead to check, not a proof.", said)
            self.assertEqual(window.close(), 0)
            self.assertEqual(window.settings()["keep_seconds"], 5)

    def test_columns_sort_and_moments_get_names(self):
        with DrivenWindow(PROGRAM, ["--demo"], settings=SEEN) as window:
            window.wait_for("the sounder on top", lambda: window.ladders()[:1] == ["sounder.frame"])
            time.sleep(2)
            window.click("tab History")
            window.click("mark this moment")
            window.wait_place("mark (unnamed)")
            window.wait_place("Mark name")
            window.type("lamp off")
            window.key("Return")
            window.wait_place("mark lamp off")
            shot(window, "mark dark 1280")
            window.click("Pause")
            window.wait_place("Go on")
            window.click("tab Tones")
            window.wait_place("column dBFS")
            time.sleep(2)  # what was being analysed still comes
            window.key("ctrl+j")
            found = window.wait_for("findings", lambda: window.saved_files(".json"))[0]
            time.sleep(0.3)
            with open(found, encoding="utf-8") as text:
                tones = {tone["id"]: tone for tone in json.load(text)["tones"]}
            self.assertGreater(len(tones), 3)

            def order():
                rows = [(place[1], int(name[4:])) for name, place in window.places().items()
                        if name.startswith("row ")]
                return [number for _, number in sorted(rows)]

            def expect(key, descend):
                values = sorted((tone[key] for tone in tones.values()), reverse=descend)
                window.wait_for(f"the order by {key}", lambda: [tones[i][key] for i in order()] == values)

            window.click("column dBFS")
            expect("level_dbfs", True)  # the loudest first
            window.click("column dBFS")
            expect("level_dbfs", False)
            window.click("column frequency, Hz")
            expect("hz", False)
            window.click("column over noise, dB")
            expect("tone_to_noise_db", True)


class Files(unittest.TestCase):
    def test_recordings_in_states_then_a_ghost(self):
        with DrivenWindow(PROGRAM, [sample("sounding.flac"), sample("reading.flac"), "--board", LIMPET,
                                    "--room", sample("room.flac")], settings=SEEN) as window:
            window.wait_beginning("says lamp.dimming")
            self.assertEqual(window.ladders()[0], "lamp.dimming")
            shot(window, "files dark 1280")
            window.click("tab Before and after")
            window.click("Compare with ...")
            window.wait_place("Path")
            window.type(sample("clear.flac"))
            window.key("Return")
            window.wait_place("No more")
            time.sleep(4)
            shot(window, "compare dark 1280")

    def test_dropped_files_are_taken_and_two_sessions_compared_state_by_state(self):
        with tempfile.TemporaryDirectory() as folder, \
                DrivenWindow(PROGRAM, [], settings=SEEN) as window:
            def copy(name, to):
                return shutil.copy(sample(name), os.path.join(folder, to))

            window.drop(copy("limpet.toml", "LIMPET.TOML"))
            window.wait_place("ladder screen.row")
            window.drop(copy("sounding.flac", "ä b sounding 1.flac"), copy("reading.flac", "100% reading.flac"),
                        copy("room.flac", "the room.flac"))
            window.wait_beginning("says lamp.dimming")  # so the states were told by the names
            window.wait_place("done room")
            window.wait_place("done sounding")
            window.wait_place("done reading")
            self.assertNotIn("record that", window.wait_beginning("next "))
            window.click("tab Before and after")
            window.click("Set the present aside")
            window.wait_place("before 100% reading.flac")
            # The same half as loud, in one of the states only.
            quieter = os.path.join(folder, "reading after.wav")
            subprocess.run(["sox", "-D", sample("reading.flac"), "-b", "24", quieter, "vol", "0.5"],
                           check=True)
            window.click("tab Recordings")
            window.drop(quieter)
            window.wait_place("role of reading after.wav")
            window.choose("tab Before and after", "before 100% reading.flac")
            told = window.wait_beginning("change 2929.8 Hz: stayed, ")
            first = min((place[1], name) for name, place in window.places().items() if name.startswith("change "))
            self.assertRegex(first[1], r"change (976|2929)")  # the board comes first
            shot(window, "sessions dark 1280")
            change, sd = map(float, re.search(r", (-?[\d.]+) ± ([\d.]+), reading$", told).groups())
            self.assertLessEqual(abs(change + 6.0206), max(3 * sd, 0.1), told)  # 20 log10(1/2) dB
            # On this page a dropped recording is one more from before.
            window.drop(copy("clear.flac", "docked.flac"))
            window.wait_place("before docked.flac")
            window.wait_beginning("change 3200 Hz: no such state now")
            window.click("No more")
            window.wait_for("the end of the comparison", lambda: "before docked.flac" not in window.places())

    def test_a_sheet_is_read_again_when_it_changes_and_its_errors_stand_at_their_line(self):
        with DrivenWindow(PROGRAM, ["--board", "/nonexistent/x.toml"], settings=SEEN) as window:
            with open(LIMPET, encoding="utf-8") as text:
                good = text.read()
            path = os.path.join(window.folder, "board.toml")
            bad = good.replace("hz = 4320 ", "hz = -4320 ")
            line = next(i for i, words in enumerate(bad.split("\n"), 1) if "hz = -4320" in words)
            with open(path, "w", encoding="utf-8") as out:
                out.write(bad)
            window.key("ctrl+o")
            window.wait_place("Path")
            window.type(path)
            window.key("Return")
            window.wait_beginning(f"sheet error in line {line}:")
            self.assertEqual(window.ladders(), [])
            shot(window, "sheet error dark 1280")
            time.sleep(1.1)
            with open(path, "w", encoding="utf-8") as out:
                out.write(good)
            window.wait_place("ladder screen.row")


class Cost(unittest.TestCase):
    def test_idle_draws_nothing_and_live_at_most_30_frames_a_second(self):
        with DrivenWindow(PROGRAM, ["--demo"], settings=SEEN) as window:
            window.rest_mouse()
            window.wait_beginning("ladder ")
            frames, begin = window.frames(), time.monotonic()
            while time.monotonic() - begin < 4.0:  # a hand that shakes asks for frames all the time
                window.tool("mousemove_relative", "--", "1", "0")
                window.tool("mousemove_relative", "--", "-1", "0")
            drawn, seconds = window.frames() - frames, time.monotonic() - begin
            # A busy machine draws fewer. One more, which was begun before.
            self.assertLessEqual(drawn, 30.0 * seconds + 1)
            self.assertGreater(drawn, 0)
            window.rest_mouse()
            # Once the demo and its last analysis are over, however late: five seconds without a frame.
            quiet_since, frames, cpu = time.monotonic(), window.frames(), window.cpu_seconds()

            def five_seconds_without_a_frame():
                nonlocal quiet_since, frames, cpu
                if window.frames() != frames:
                    quiet_since, frames, cpu = time.monotonic(), window.frames(), window.cpu_seconds()
                return time.monotonic() - quiet_since >= 5.0

            window.wait_for("five seconds without a frame", five_seconds_without_a_frame)
            print(f"live {drawn / seconds:.1f} frames/s; idle {20 * (window.cpu_seconds() - cpu):.2f} % of a core")


if __name__ == "__main__":
    main()
