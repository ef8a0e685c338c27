#!/usr/bin/python3
"""Complaints of every kind, as a user takes them in. As logbook_program_test.py."""
import json
import math
import os
import pathlib
import random
import re
import shutil
import sqlite3
import subprocess
import sys
import time
import urllib.parse

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "support"))
import case_runner  # noqa: E402
from logbook_case import PROGRAM, Book  # noqa: E402
from materials import write_samples, write_sound  # noqa: E402


def write_voice(path, seconds=8.0, rate=48000, seed=1, tones=()):
    """Syllables: harmonics of a gliding pitch that swell and fade, with pauses, over a quiet room."""
    chance = random.Random(seed)
    samples = [chance.gauss(0.0, 1e-4) for _ in range(int(seconds * rate))]
    for hz, amplitude in tones:
        samples = [s + amplitude * math.sin(2.0 * math.pi * hz * i / rate) for i, s in enumerate(samples)]
    begin, spoken = 0.2, 0
    while begin < seconds - 0.4:
        length, pitch = chance.uniform(0.15, 0.35), chance.uniform(100.0, 150.0)
        first, count = int(begin * rate), int(length * rate)
        phase = 0.0
        for i in range(min(count, len(samples) - first)):
            phase += 2.0 * math.pi * pitch * (1.0 - 0.15 * i / count) / rate
            swell = 0.05 * min(1.0, 0.1 + i / (0.05 * rate), 0.1 + (count - i) / (0.05 * rate))
            samples[first + i] += swell * sum(math.sin(k * phase) / k ** 1.3 for k in (1, 2, 3, 5))
        spoken += 1
        begin += length + (0.5 if spoken % 3 == 0 else 0.0)
    write_samples(path, samples, rate)


class Inbox(Book):
    """Complaints of every kind, and a triage that is killed and goes on."""

    def sorted_as(self, name):
        return next(c for c in self.complaints() if pathlib.Path(c["path"]).name == name)

    def take_in(self, name):
        self.done("complaint", "add", name, "--board", "heron.toml", "--text", "it makes a noise")
        return self.sorted_as(name)

    def test_a_new_tone_names_its_suspect_and_asks_for_more(self):
        write_sound(self.folder / "lamp.wav", [(976.5625 * k, 0.01 / k) for k in (1, 3, 5, 7, 9)], seed=3)
        complaint = self.take_in("lamp.wav")
        self.assertEqual((complaint["kind"], complaint["rate"]), ("new tone", "lamp.dimming"))
        self.assertIn("most likely comes from", complaint["reply"])
        self.assertIn("not confirmed", complaint["reply"])
        self.assertIn("what the board was doing", complaint["reply"])
        self.done("unit", "add", "9", "--board", "heron.toml")
        self.done("examine", "lamp.wav", "--log", "--unit", "9")
        self.done("unit", "confirm", "9", "lamp.dimming", "--cause", "dimming at 1 kHz", "--fix", "24 kHz dimming")
        shutil.copy(self.folder / "lamp.wav", self.folder / "again.wav")
        again = self.take_in("again.wav")
        self.assertEqual(again["kind"], "known cause")
        self.assertRegex(again["reply"], r"unit 9\b[^.]*\. .*dimming at 1 kHz")

    def test_the_mains_are_not_the_board(self):
        write_sound(self.folder / "hum.wav", [(50.0 * k, 0.02 / k) for k in range(1, 9)], seconds=8.0, seed=4)
        complaint = self.take_in("hum.wav")
        self.assertEqual((complaint["kind"], complaint["rate"]), ("not the board", None))
        self.assertIn("mains or the room", complaint["reply"])
        self.assertIn("unplugged", complaint["reply"])

    def test_speech_only_is_not_the_board_and_says_what_could_hide(self):
        write_voice(self.folder / "voice.wav", seed=5)
        complaint = self.take_in("voice.wav")
        self.assertEqual(complaint["kind"], "not the board: speech only")
        self.assertIn("sounds like speech", complaint["reply"])
        level = float(re.search(r"of (-\d+) dBFS or louder would have been found", complaint["reply"]).group(1))
        self.assertIn("may hide under the voices", complaint["reply"])
        # What it says is true: the same voice with a tone 6 dB over that level is not speech only.
        write_voice(self.folder / "voice and tone.wav", seed=5, tones=[(9600.0, 10.0 ** ((level + 6.0) / 20.0))])
        self.assertEqual(self.take_in("voice and tone.wav")["rate"], "ranger.frame")

    def join_names(self, *how):
        spoken = sorted(pathlib.Path("/usr/share/sounds/alsa").glob("*_*.wav"))
        if shutil.which("sox") is None or not spoken:
            self.skipTest("no sox, or no spoken channel names (Debian: sox, alsa-utils)")
        return subprocess.run(["sox", *map(str, spoken), "-c", "1", *how], cwd=self.folder, capture_output=True).returncode

    def test_real_voices(self):
        self.assertEqual(self.join_names("names.wav"), 0)
        self.assertEqual(self.take_in("names.wav")["kind"], "not the board: speech only")

    def test_a_telephone_codec_named_with_what_survives(self):
        if self.join_names("-r", "8000", "-C", "7", "-t", "amr-nb", "names.amr") != 0:
            self.skipTest("this sox makes no AMR (Debian: libsox-fmt-all)")
        complaint = self.take_in("names.amr")
        self.assertEqual(complaint["kind"], "cannot tell")
        # 12.2 kbit/s of speech in frames of whole bytes with a byte of header each (RFC 4867, 5.3): 12.8.
        self.assertRegex(complaint["reply"], r"sent as AMR at about 1[23] kbit/s: nothing above 3\.\d kHz survives")
        self.assertIn("sounds like speech", complaint["reply"])

    def test_a_triage_that_is_killed_goes_on_and_doubles_nothing(self):
        inbox = self.folder / "many"
        inbox.mkdir()
        for i in range(12):
            write_sound(inbox / f"clip{i:02}.wav", [(9600.0, 0.01)] if i % 2 else [], seconds=3.5, seed=100 + i)
        (inbox / "broken.wav").write_bytes(b"RIFF\x00")
        book = self.folder / "triage.logbook"
        command = [PROGRAM, "complaint", "triage", "many", "--board", "heron.toml", "--logbook", str(book)]
        count = lambda: self.counted(book)
        process = subprocess.Popen(command, cwd=self.folder, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        begin = time.monotonic()
        while count() < 3 and process.poll() is None and time.monotonic() - begin < 60:
            time.sleep(0.005)
        process.kill()
        process.wait()
        left = count()
        self.assertTrue(3 <= left < 12, left)
        out = self.done("complaint", "triage", "many", "--board", "heron.toml", "--logbook", str(book))
        self.assertIn(f"{12 - left} of 13 clips taken in, ", out)
        listed = json.loads(self.done("complaint", "list", "--json", "--logbook", book))["complaints"]
        self.assertEqual(sorted(pathlib.Path(c["path"]).name for c in listed), [f"clip{i:02}.wav" for i in range(12)])
        self.done("logbook", "check", "--repair", "--logbook", book)
        checked = json.loads(self.done("logbook", "check", "--json", "--logbook", book))
        self.assertTrue(checked["good"], checked)
        self.assertEqual(checked["clips"], 12)

    @staticmethod
    def counted(book):
        try:
            with sqlite3.connect(f"file:{urllib.parse.quote(str(book))}?mode=ro", uri=True) as database:
                return database.execute("SELECT count(*) FROM complaint").fetchone()[0]
        except sqlite3.Error:
            return 0


if __name__ == "__main__":
    case_runner.main()
