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
from window_case import LIMPET, PROGRAM, SEEN, main, sample, shot


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
            window.wait_beginning("says lamp.dimming")
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
                    self.told(book, "unit", "show", "K-7", "--json").get("measurements", [])) == count)
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
            window.wait_beginning("says ")
            window.key("b")
            window.click("field unit")
            window.type("9")
            window.click("Add the unit and store")
            said = window.wait_beginning("tells /proc/no/b.logbook")
            self.assertRegex(said, r"Make the folder")
            window.key("4")
            window.wait_place("role of reading.flac")

    def test_of_10000_units_only_those_in_sight_are_drawn(self):
        """What the list itself costs: tests/logbook/fill_logbook.cpp."""
        with tempfile.TemporaryDirectory(prefix="tattletone-many-") as folder:
            made = os.path.join(os.environ.get("MANY_UNITS", ""), "many.logbook")
            if os.path.isfile(made):  # by the test of the lists, with the same numbers
                shutil.copy(made, folder)
            else:
                subprocess.run([os.environ["FILL_LOGBOOK"], folder, "10000", "10"], check=True, timeout=600,
                               stdout=subprocess.DEVNULL)
            with DrivenWindow(PROGRAM, ["--board", LIMPET, "--logbook", os.path.join(folder, "many.logbook")],
                              settings=SEEN) as window:
                window.wait_place("ladder screen.row")
                busy, begin = window.cpu_seconds(), time.monotonic()
                window.key("b")
                window.wait_beginning("unit ")
                print(f"the list of 10 000 units stood there after {time.monotonic() - begin:.3f} s, of which the processor "
                      f"worked {window.cpu_seconds() - busy:.2f} s")
                drawn = [name for name in window.places() if name.startswith("unit ")]
                self.assertGreater(len(drawn), 2)
                self.assertLess(len(drawn), 60)
                window.click("field unit")
                window.type("9999")  # found wherever it stands in the list
                window.wait_for("one unit", lambda: [name for name in window.places() if name.startswith("unit ")]
                                == ["unit 9999"])


if __name__ == "__main__":
    main()
