#!/usr/bin/python3
"""From the window into the logbook. As window_test.py; FILL_LOGBOOK names the program that makes a large logbook, MANY_UNITS a folder in
which one may be ready."""

import json
import os
import shutil
import subprocess
import tempfile
import time
import unittest

from driven_window import DrivenWindow
from window_test import LIMPET, PROGRAM, SEEN, main, sample, shot


class Logbook(unittest.TestCase):
    @staticmethod
    def told(logbook, *words):
        done = subprocess.run([PROGRAM, *words, "--logbook", logbook], capture_output=True, text=True, timeout=60,
                              check=False)
        return json.loads(done.stdout) if done.returncode == 0 else {}

    def test_recordings_are_stored_for_a_new_unit_and_then_for_a_known_one(self):
        with tempfile.TemporaryDirectory(prefix="tattletone-book-") as folder, DrivenWindow(
                PROGRAM, [sample("reading.flac"), "--board", LIMPET, "--room", sample("room.flac"),
                          "--logbook", os.path.join(folder, "bench.logbook")], settings=SEEN) as window:
            book = os.path.join(folder, "bench.logbook")
            window.wait_beginning("says lamp.dimming", 30)
            for note, button, count in (("behind the shield", "Add the unit and store", 1),
                                        ("", "Store", 2)):
                window.key("b")
                window.wait_place("field unit")
                if count == 1:  # the second time it stands there still
                    window.click("field unit")
                    window.type("K-7")
                    window.click("spot of reading.flac")
                    window.type("coil")
                    window.click("field batch")
                    window.type("B1")
                    window.click("field microphone")
                    window.type("laptop")
                    window.click("field distance, cm")
                    window.type("3.5")
                    window.click("field note")
                    window.type(note)
                    shot(window, "store dark 1280")
                window.click("clear afterwards")  # off: the recordings stay for the second time; then on
                window.click(button)
                window.wait_for("a stored measurement", lambda: len(
                    self.told(book, "unit", "show", "K-7", "--json").get("measurements", [])) == count, 30)
                window.wait_beginning("tells Stored as measurement")
                if count == 1:
                    shot(window, "stored dark 1280")
            window.key("4")
            window.wait_place("role of room.flac")  # the room stays for the next unit
            window.wait_for("a cleared session", lambda: "role of reading.flac" not in window.places())
            unit = self.told(book, "unit", "show", "K-7", "--json")
            self.assertEqual((unit["batch"], unit["board"]), ("B1", "Limpet"))
            first = unit["measurements"][1]
            self.assertEqual((first["microphone"], first["distance_cm"], first["note"]),
                             ("laptop", 3.5, "behind the shield"))
            self.assertIn("lamp.dimming", first["answer"])
            kinds = [(take["room"], take["spot"]) for take in first["recordings"]]
            self.assertEqual(kinds, [(False, "coil"), (True, None)])
            for take in first["recordings"]:
                self.assertTrue(os.path.isfile(take["clip"]), take)
            checked = self.told(book, "logbook", "check", "--json")
            self.assertTrue(checked["good"], checked)
            self.assertEqual(checked["clips"], 2)  # the same sound is kept once

    def test_what_cannot_be_stored_is_told_and_nothing_is_lost(self):
        with DrivenWindow(PROGRAM, [sample("reading.flac"), "--board", LIMPET, "--logbook", "/proc/no/b.logbook"],
                          settings=SEEN) as window:
            window.wait_beginning("says ", 30)
            window.key("b")
            window.click("field unit")
            window.type("9")
            window.click("Add the unit and store")
            said = window.wait_beginning("tells /proc/no/b.logbook", 10)
            self.assertRegex(said, r"Make the folder")
            window.key("4")
            window.wait_place("role of reading.flac")

    def test_the_list_of_10000_units_opens_in_time(self):
        with tempfile.TemporaryDirectory(prefix="tattletone-many-") as folder:
            made = os.path.join(os.environ.get("MANY_UNITS", ""), "many.logbook")
            if os.path.isfile(made):  # by the test of the lists, with the same numbers
                shutil.copy(made, folder)
            else:
                subprocess.run([os.environ["FILL_LOGBOOK"], folder, "10000", "10"], check=False, timeout=200,
                               stdout=subprocess.DEVNULL)  # its status judges its own times
            times = []
            for _ in range(3):
                with DrivenWindow(PROGRAM, ["--board", LIMPET, "--logbook", os.path.join(folder, "many.logbook")],
                                  settings=SEEN) as window:
                    window.wait_place("ladder screen.row", 10)
                    time.sleep(1)
                    busy = window.cpu_seconds()
                    begin = time.monotonic()
                    window.tool("keydown", "b")
                    window.wait_beginning("unit ", 5)
                    times.append((time.monotonic() - begin, window.cpu_seconds() - busy))
                    window.tool("keyup", "b")
            print("the list of 10 000 units, opened for the first time: " + ", ".join(
                f"after {seconds:.3f} s, of which the processor worked {busy:.2f} s" for seconds, busy in times))
            self.assertLess(min(min(both) for both in times), 0.2)  # others may keep the processor busy


if __name__ == "__main__":
    main()
