#!/usr/bin/python3
"""Hostile logbooks, and places that are none, as a user meets them. As logbook_program_test.py."""
import json
import os
import pathlib
import shutil
import sqlite3
import stat
import subprocess
import sys
import unittest

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "support"))
from logbook_case import PROGRAM, Book  # noqa: E402
from materials import write_sound  # noqa: E402

NOBODY = 65534


class Hostile(Book):
    @classmethod
    def setUpClass(cls):
        super().setUpClass()
        cls.done("unit", "add", "7", "--board", "heron.toml")
        write_sound(cls.folder / "whine.wav", [(9600.0, 0.02)], seconds=2.0)
        cls.done("examine", "whine.wav", "--log", "--unit", "7")
        cls.done("complaint", "add", "whine.wav", "--unit", "7")

    def refused(self, *arguments, says, status=1, **more):
        result = self.run_program(*arguments, **more)
        self.assertEqual(result.returncode, status, result.stdout + result.stderr)
        self.assertRegex(result.stderr, r"^tattletone: .+: .+\.")
        self.assertIn(says, result.stderr)
        self.assertEqual(result.stdout, "")

    def content(self):
        return [path.read_bytes() for path in sorted(self.folder.rglob("bench.logbook*"))
                if path.is_file() and not path.name.endswith(("-shm", "lock"))]

    def test_a_place_that_is_no_file(self):
        before = self.content()
        names = sorted(os.listdir(self.folder))
        pipe = self.folder / "pipe"
        os.mkfifo(pipe)
        for place in (":memory:", "file::memory:?cache=shared", "file:x.logbook?mode=memory", "/dev/null", "pipe"):
            for arguments in (("unit", "add", "8", "--board", "heron.toml"), ("unit", "list"), ("logbook", "check")):
                self.refused(*arguments, "--logbook", place, says="a logbook is an ordinary file")
            self.refused("unit", "list", says="a logbook is an ordinary file", TATTLETONE_LOGBOOK=place)
            self.refused("logbook", "merge", place, says="a logbook is an ordinary file")
            self.refused("logbook", "backup", place,
                         says="this is a device or a pipe" if place in ("/dev/null", "pipe") else "a logbook is an ordinary file")
        self.refused("unit", "list", "--logbook", ".", says="this is a folder")
        self.refused("unit", "add", "9", "--board", "heron.toml", "--logbook", "", says="the name of the file is empty", status=2)
        pipe.unlink()
        self.assertTrue(stat.S_ISCHR(os.stat("/dev/null").st_mode))
        self.assertEqual(sorted(os.listdir(self.folder)), names)
        self.assertEqual(self.content(), before)

    def test_a_merge_tells_what_it_removes(self):
        other = self.folder / "other.logbook"
        self.done("logbook", "backup", "other.logbook")
        complaint = json.loads(self.done("complaint", "list", "--json"))["complaints"][0]["id"]
        self.done("complaint", "remove", complaint, "--yes", "--logbook", other)
        shutil.copy(self.folder / "bench.logbook", self.folder / "again.logbook")
        told = json.loads(self.done("logbook", "merge", other, "--json", "--logbook", "again.logbook"))
        self.assertEqual(len(told["removed"]), 1)
        self.assertIn(complaint[:8], told["removed"][0])
        text = self.done("logbook", "merge", other)
        self.assertIn("1 complaint removed here, as the other bench did", text)
        self.assertIn(f"Complaint {complaint[:8]}, which came in 20", text)
        self.assertEqual(self.complaints(), [])
        self.assertIn("All is well", self.done("logbook", "check"))
        self.assertNotIn("removed here", self.done("logbook", "merge", other))
        self.done("complaint", "add", "whine.wav", "--unit", "7")

    def test_an_endless_view_is_refused_at_once(self):
        bad = self.folder / "endless.logbook"
        self.done("logbook", "backup", bad)
        with sqlite3.connect(bad) as book:
            book.executescript("DROP TABLE clip; CREATE VIEW clip AS WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 "
                               "FROM n) SELECT i AS hash, 1.0 AS sample_rate_hz, 1.0 AS seconds, 1 AS bytes FROM n")
        before = self.content()
        self.refused("logbook", "merge", bad, says="other tables than a logbook of its version has")
        self.refused("logbook", "check", "--logbook", bad, says="other tables than a logbook of its version has")
        self.assertEqual(self.content(), before)

    def test_a_stored_level_of_1e308_draws_a_page(self):
        book = self.folder / "loud.logbook"
        self.done("logbook", "backup", book)
        with sqlite3.connect(book) as database:
            database.execute("UPDATE tone SET level_dbfs = 1e308")
            for table in ("measurement", "complaint"):
                database.execute(f"UPDATE {table} SET findings = json_replace(findings, '$.tones[0].level_dbfs', -1e308, "
                                 "'$.recordings[0].usable_band_hz[1]', 1e300)")
        complaint = json.loads(self.done("complaint", "list", "--json", "--logbook", book))["complaints"][0]["id"]
        self.done("report", "unit", "7", "-o", "unit.html", "--logbook", book)
        self.done("report", "complaint", complaint, "-o", "complaint.html", "--logbook", book)
        for page in ("unit.html", "complaint.html"):
            self.assertLess((self.folder / page).stat().st_size, 100_000)
        told = self.run_program("logbook", "check", "--logbook", book)
        self.assertEqual(told.returncode, 1)
        self.assertIn("with a number that no measurement gives", told.stdout)
        self.refused("logbook", "merge", book, says="nothing of it was taken in")

    def test_findings_that_cannot_be_read_are_told(self):
        book = self.folder / "cut.logbook"
        self.done("logbook", "backup", book)
        with sqlite3.connect(book) as database:
            database.execute("UPDATE measurement SET findings = substr(findings, 1, 200)")
        self.refused("report", "unit", "7", "-o", "cut.html", "--logbook", book, says="the stored findings cannot be read")
        self.assertFalse((self.folder / "cut.html").exists())

    def test_a_logbook_in_use_on_a_read_only_medium_can_be_merged(self):
        away = self.folder / "stick"
        away.mkdir()
        self.done("logbook", "backup", away / "other.logbook")
        # As a medium holds it that was pulled out: the mode is WAL, and what SQLite keeps beside it is not there.
        with sqlite3.connect(away / "other.logbook") as database:
            database.execute("PRAGMA journal_mode = WAL")
        mine = self.folder / "mine"
        mine.mkdir()
        as_user = None
        if os.geteuid() == 0:
            self.folder.chmod(0o755)
            for path in (mine, *[p for p in self.folder.rglob("*") if p.is_file()]):
                os.chmod(path, 0o777 if path.is_dir() else 0o644)

            def as_user():
                os.setgid(NOBODY)
                os.setuid(NOBODY)
        try:
            subprocess.run([PROGRAM, "--version"], check=True, capture_output=True, preexec_fn=as_user)
        except (OSError, subprocess.SubprocessError):
            print("SKIPPED: the program cannot be run without root's rights here")
            self.skipTest("the program cannot be run without root's rights here")
        away.chmod(0o555)
        try:
            done = subprocess.run([PROGRAM, "logbook", "merge", str(away / "other.logbook"), "--json", "--logbook", str(mine / "book")],
                                  capture_output=True, text=True, cwd=mine, preexec_fn=as_user, timeout=120)
        finally:
            away.chmod(0o755)
        self.assertEqual(done.returncode, 0, done.stderr)
        told = json.loads(done.stdout)
        self.assertEqual((told["units"], told["measurements"], told["problems"]), (1, 1, []))
        self.assertEqual(sorted(p.name for p in pathlib.Path(away).iterdir()), ["other.logbook", "other.logbook.clips"])


if __name__ == "__main__":
    unittest.main()
