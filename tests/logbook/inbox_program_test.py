#!/usr/bin/python3
"""An inbox with hostile clips, and one that a moment's fault met: what is not looked at now is looked at by the next run, and
each file is counted once. As logbook_program_test.py."""
import json
import os
import pathlib
import re
import resource
import shutil
import signal
import socket
import struct
import subprocess
import sys
import tempfile
import time
import unittest

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "support"))
from logbook_case import PROGRAM, Book  # noqa: E402
from materials import write_sound  # noqa: E402

NOBODY = 65534
MEGABYTE = 1 << 20


def takes_limits():
    """Not so of a program with a sanitizer, which reserves much more than it uses."""
    limit = lambda: resource.setrlimit(resource.RLIMIT_AS, (1000 * MEGABYTE,) * 2)
    return subprocess.run([PROGRAM, "--version"], capture_output=True, preexec_fn=limit).returncode == 0


def wav(channels=1, rate=48000, bits=16, tag=1, samples=b"", said=None):
    align = channels * bits // 8
    head = struct.pack("<4sI4s4sIHHIIHH4sI", b"RIFF", 36 + len(samples), b"WAVE", b"fmt ", 16, tag, channels, rate,
                       rate * align % (1 << 32), align % 65536, bits, b"data", len(samples) if said is None else said)
    return head + samples


class Triage(Book):
    def setUp(self):
        self.inbox = pathlib.Path(tempfile.mkdtemp(dir=self.folder))
        self.book = self.folder / f"{self.inbox.name}.logbook"

    def triage(self, program=PROGRAM, **how):
        """(what is printed, on standard error, status); the counts add up to the files on the disk."""
        result = subprocess.run([program, "complaint", "triage", str(self.inbox), "--logbook", str(self.book)], text=True,
                                capture_output=True, timeout=120, cwd=self.folder, env=self.environment, **how)
        return result.stdout, result.stderr, result.returncode

    def counts(self, out, closed=0):
        found = re.fullmatch(r"(\d+) of (\d+) clips? taken in(?:, (\d+) w(?:as|ere) there before)?"
                             r"(?:, (\d+) cannot be read(?: \((\d+) of them told by an earlier run\))?)?"
                             r"(?:, (\d+) could not be looked at now and (?:is|are) tried again by the next run)?"
                             r"(?:, (\d+) (?:is|are) with another process)?(?:, (\d+) (?:is no file|are no files))?\."
                             r"(?: (\d+) folders? could not be looked into; what lies there is not counted\.)?\n", out)
        self.assertIsNotNone(found, out)
        taken, files, before, broken, known, later, busy, others, closed_now = (int(n or 0) for n in found.groups())
        self.assertEqual(taken + before + broken + later + busy + others, files, out)
        self.assertEqual(closed_now, closed)
        if not closed:
            there = sum(len(names) for _, _, names in os.walk(self.inbox))
            links = sum(os.path.islink(os.path.join(at, name)) for at, names, _ in os.walk(self.inbox) for name in names)
            self.assertEqual(files, there + links)
        return {"taken": taken, "before": before, "broken": broken, "known": known, "later": later, "others": others}

    def paths(self):
        listed = json.loads(self.done("complaint", "list", "--json", "--logbook", self.book))["complaints"]
        return sorted(pathlib.Path(c["path"]).name for c in listed)

    def encoded(self, name, hz=9600.0):
        """A clip for the decoder, or the test is skipped."""
        if shutil.which("ffmpeg") is None:
            self.skipTest("SKIPPED: no ffmpeg")
        raw = self.folder / "raw.wav"
        write_sound(raw, [(hz, 0.01)], seconds=3.0, seed=len(name))
        subprocess.run(["ffmpeg", "-nostdin", "-v", "error", "-y", "-i", str(raw), str(self.inbox / name)], check=True)

    def test_hostile_clips_cost_themselves_only(self):
        for name, content in {
            "rate 1.wav": wav(rate=1, samples=bytes(40)),
            "rate 19.wav": wav(rate=19, samples=bytes(40)),
            "100 MHz.wav": wav(rate=100_000_000, samples=bytes(2000)),
            "4 GHz.wav": wav(rate=0xFFFFFFFF, samples=bytes(2000)),
            "channels.wav": wav(channels=65535, bits=8, samples=b"\x90" * 262140),
            "endless.wav": wav(samples=bytes(48000), said=0xFFFFFFFF),
            "monsters.wav": wav(bits=32, tag=3, samples=struct.pack("<f", 3e38) * 48000),
            "net.wav": b"v=0\no=- 0 0 IN IP4 127.0.0.1\ns=x\nc=IN IP4 127.0.0.1\nt=0 0\nm=audio 5004 RTP/AVP 0\n",
            "list.wav": b"ffconcat version 1.0\nfile good.wav\n",
            "empty.wav": b"",
        }.items():
            (self.inbox / name).write_bytes(content)
        write_sound(self.inbox / "good.wav", [(9600.0, 0.01)], seconds=3.0)
        limit = (lambda: resource.setrlimit(resource.RLIMIT_DATA, (700 * MEGABYTE,) * 2)) if takes_limits() else None
        out, told, status = self.triage(preexec_fn=limit)
        self.assertEqual(status, 0, told)
        counted = self.counts(out)
        self.assertEqual((counted["taken"], counted["broken"], counted["later"]), (2, 9, 0), out + told)
        self.assertEqual(self.paths(), ["endless.wav", "good.wav"])
        self.assertEqual(told.count("tattletone: "), 9)
        out, told, status = self.triage()  # and goes through at once
        counted = self.counts(out)
        self.assertEqual((counted["taken"], counted["before"], counted["broken"], counted["known"]), (0, 2, 9, 9), out)
        self.assertEqual((status, told), (0, ""))

    def test_a_missing_decoder_is_not_the_clips_fault(self):
        self.encoded("phone.m4a")
        write_sound(self.inbox / "plain.wav", [(9600.0, 0.01)], seconds=3.0)
        alone = self.folder / "alone"
        alone.mkdir(exist_ok=True)
        shutil.copy(PROGRAM, alone / "tattletone")
        out, told, status = self.triage(program=str(alone / "tattletone"))
        self.assertEqual(status, 1)
        self.assertIn("is not installed beside the program", told)
        # The wav is understood, but what is kept of it is checked by the decoder.
        self.assertEqual({k: v for k, v in self.counts(out).items() if v}, {"later": 2})
        out, told, status = self.triage()
        self.assertEqual({k: v for k, v in self.counts(out).items() if v}, {"taken": 2}, told)
        self.assertEqual((status, self.paths()), (0, ["phone.m4a", "plain.wav"]))

    def test_a_limit_of_memory_is_told_as_such_and_loses_nothing(self):
        if not takes_limits():
            self.skipTest("SKIPPED: this program does not begin under a limit of memory (built with a sanitizer?)")
        self.encoded("phone.m4a")
        write_sound(self.inbox / "plain.wav", [(9600.0, 0.01)], seconds=3.0)
        taken, short = 0, 0
        for limit in (60, 90, 120, 160, 200, 240, 280, 340, 400, 500):
            result = subprocess.run([PROGRAM, "complaint", "triage", str(self.inbox), "--logbook", str(self.book)],
                                    text=True, capture_output=True, timeout=120, cwd=self.folder, env=self.environment,
                                    preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_AS, (limit * MEGABYTE,) * 2))
            told = result.stderr
            if "error while loading shared libraries" in told:
                continue  # the program did not even begin
            self.assertIn(result.returncode, (0, 1), (limit, told))
            self.assertNotIn("not installed", told, limit)
            self.assertNotIn("inside the program", told, limit)
            if result.returncode == 1:
                self.assertRegex(told, "memory|logbook", limit)
                short += "not enough memory" in told
            if result.stdout:
                counted = self.counts(result.stdout)
                self.assertEqual(counted["broken"], 0, (limit, told))
                taken += counted["taken"]
                self.assertEqual(counted["before"] + counted["taken"] + counted["later"], 2, result.stdout)
                self.assertLessEqual(counted["before"], taken)
        self.assertGreater(short, 0)
        out, told, status = self.triage()
        counted = self.counts(out)
        self.assertEqual((counted["taken"] + taken, counted["later"], status), (2, 0, 0), out + told)
        self.assertEqual(self.paths(), ["phone.m4a", "plain.wav"])

    def as_nobody(self):
        """What makes the program run as somebody whom permissions bind."""
        if os.geteuid() != 0:
            return {}
        for path in [self.folder, self.inbox, *self.inbox.rglob("*")]:
            os.chown(path, NOBODY, NOBODY)
        return {"user": NOBODY, "group": NOBODY, "extra_groups": []}

    def test_what_may_not_be_read_is_told_and_tried_again(self):
        for name in ("a.wav", "b.wav", "closed/c.wav", "open/d.wav"):
            (self.inbox / name).parent.mkdir(exist_ok=True)
            write_sound(self.inbox / name, [(9600.0, 0.01)], seconds=3.0, seed=ord(name[0]))
        who = self.as_nobody()
        (self.inbox / "closed").chmod(0)
        (self.inbox / "b.wav").chmod(0)
        try:
            out, told, status = self.triage(**who)
            if "Permission denied" in told:
                self.skipTest("SKIPPED: nobody may run the program where it stands")
            self.assertEqual(status, 1)
            self.assertIn("closed: this folder cannot be looked into", told)
            self.assertIn("b.wav: no permission to read this file", told)
            self.assertEqual({k: v for k, v in self.counts(out, closed=1).items() if v}, {"taken": 2, "later": 1})
        finally:
            (self.inbox / "closed").chmod(0o755)
            (self.inbox / "b.wav").chmod(0o644)
        out, told, status = self.triage(**who)
        self.assertEqual({k: v for k, v in self.counts(out).items() if v}, {"taken": 2, "before": 2}, told)
        self.assertEqual((status, self.paths()), (0, ["a.wav", "b.wav", "c.wav", "d.wav"]))

    def test_what_is_no_file_is_passed_over_and_counted(self):
        write_sound(self.inbox / "a.wav", [(9600.0, 0.01)], seconds=3.0)
        os.mkfifo(self.inbox / "pipe.wav")
        os.symlink("..", self.inbox / "up")
        os.symlink("nowhere.wav", self.inbox / "dangling.wav")
        with socket.socket(socket.AF_UNIX) as place:
            there = os.getcwd()
            os.chdir(self.inbox)  # such names must be short
            place.bind("socket.wav")
            os.chdir(there)
            out, told, status = self.triage()
        self.assertEqual({k: v for k, v in self.counts(out).items() if v}, {"taken": 1, "later": 1, "others": 3}, told)
        self.assertEqual(status, 1)
        self.assertIn("dangling.wav: there is no such file", told)
        self.assertEqual(told.count("it was passed over"), 3)

    def test_a_logbook_that_cannot_be_written_loses_nothing(self):
        for i in range(6):
            write_sound(self.inbox / f"{i}.wav", [(9600.0, 0.01)], seconds=3.0, seed=i)
        # No file may grow over 100 kB: as a disk that is full for recordings. The clip's store is the first to feel it.
        def full():
            signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
            resource.setrlimit(resource.RLIMIT_FSIZE, (100_000,) * 2)
        out, told, status = self.triage(preexec_fn=full)
        self.assertEqual(status, 1)
        if out:
            self.assertEqual({k: v for k, v in self.counts(out).items() if v}, {"later": 6}, told)
        out, told, status = self.triage()
        self.assertEqual({k: v for k, v in self.counts(out).items() if v}, {"taken": 6}, told)

    def test_killed_at_any_moment_it_goes_on(self):
        for i in range(8):
            write_sound(self.inbox / f"{i}.wav", [(9600.0, 0.01)], seconds=3.0, seed=20 + i)
        (self.inbox / "text.wav").write_text("a letter\n")
        begin = time.monotonic()
        self.counts(subprocess.run([PROGRAM, "complaint", "triage", str(self.inbox), "--logbook", str(self.folder / "t.logbook")],
                                   text=True, capture_output=True, cwd=self.folder, env=self.environment).stdout)
        length = time.monotonic() - begin
        for share in (0.1, 0.3, 0.5, 0.7, 0.9):
            process = subprocess.Popen([PROGRAM, "complaint", "triage", str(self.inbox), "--logbook", str(self.book)],
                                       cwd=self.folder, env=self.environment, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
            time.sleep(share * length)
            process.kill()
            process.wait()
            listed = self.paths() if self.book.exists() else []
            self.assertEqual(len(set(listed)), len(listed))
        before = len(self.paths())
        out, told, status = self.triage()
        counted = self.counts(out)
        self.assertEqual((counted["before"], counted["taken"], counted["broken"], status), (before, 8 - before, 1, 0), out + told)


if __name__ == "__main__":
    unittest.main()
