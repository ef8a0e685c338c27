#!/usr/bin/python3
"""Kills what works on a logbook at random moments: storing, triage, backup, merge and repair. Each time every
logbook must open, hold all of what was acknowledged and nothing by halves, and `logbook check` must find nothing
lost; after the next run, or after `check --repair`, no half-made file and no recording that nobody needs is left.

    crash_test.py STORE_IN_LOOP TATTLETONE [KILLS] [SEED]
"""
import json
import os
import pathlib
import random
import shutil
import struct
import subprocess
import sys
import tempfile
import time
import wave

if os.name != "posix":
    print("SKIPPED: processes are killed with POSIX's signals")
    sys.exit(77)

STORE, PROGRAM = sys.argv[1:3]
KILLS = int(sys.argv[3]) if len(sys.argv) > 3 else 100
SEED = int(sys.argv[4]) if len(sys.argv) > 4 else 20310405
chance = random.Random(SEED)
print("seed", SEED, "kills", KILLS, flush=True)

HALF_MADE = ("*.part-*", "*.merge-*", "*.at-work-*", "*.clips/incoming-*")


def write_clip(path):
    with wave.open(str(path), "wb") as clip:
        clip.setnchannels(1)
        clip.setsampwidth(2)
        clip.setframerate(48000)
        clip.writeframes(struct.pack("<2400h", *(chance.randint(-900, 900) for _ in range(2400))))
    return path


def check(book, *more):
    done = subprocess.run([PROGRAM, "logbook", "check", "--json", *more, "--logbook", book], capture_output=True, text=True)
    assert done.stdout, done.stderr
    return json.loads(done.stdout)


def stored_in(book):
    seen = subprocess.run([STORE, "--verify", book], capture_output=True, text=True)
    assert seen.returncode == 0, seen.stdout
    return set(seen.stdout.split())


def store(book, serial, clips):
    done = subprocess.run([STORE, book, serial, *clips], capture_output=True, text=True)
    assert done.returncode == 0, done.stdout
    return set(done.stdout.split())


def remove_book(book):
    for path in book.parent.glob(book.name + "*"):
        shutil.rmtree(path) if path.is_dir() else path.unlink()


def half_made(folder):
    return sorted(str(path) for pattern in HALF_MADE for path in folder.glob(pattern))


class Victim:
    """One kind of work. `begin` gives its command, `judge` looks at what is there whether it ended or not."""

    def __init__(self, folder):
        self.folder, self.seconds, self.killed, self.ended = folder, None, 0, 0

    def run(self):
        start = time.monotonic()
        process = subprocess.Popen(self.begin(), stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True)
        # The first one shows how long it takes; about one in ten of the others comes to its end as well.
        moment = None if self.seconds is None else chance.uniform(0.0, 1.1 * self.seconds)
        try:
            told = process.communicate(timeout=moment)[0]
            seconds = time.monotonic() - start
            self.seconds = seconds if moment is None else 0.7 * self.seconds + 0.3 * seconds
            self.ended += 1
        except subprocess.TimeoutExpired:
            process.kill()
            told = process.communicate()[0]
            self.seconds *= 1.01
            self.killed += 1
        assert "WRONG" not in told, told
        self.judge(told, process.returncode == 0)


class Storing(Victim):
    def __init__(self, folder, clips):
        super().__init__(folder)
        self.book, self.clips = folder / "book", clips
        self.acknowledged = store(self.book, "7", clips[:2])

    def begin(self):
        return [STORE, self.book, "7", *chance.sample(self.clips, 6)]

    def judge(self, told, whole):
        self.acknowledged |= {line for line in told.splitlines() if len(line) == 36}
        missing = self.acknowledged - stored_in(self.book)
        assert not missing, ("stored and gone", missing)


class Triage(Victim):
    def __init__(self, folder, inbox):
        super().__init__(folder)
        self.book, self.inbox = folder / "inbox_book", inbox

    def begin(self):
        return [PROGRAM, "complaint", "triage", self.inbox, "--logbook", self.book]

    def judge(self, told, whole):
        if not self.book.exists():
            return
        seen = check(self.book)
        assert not seen["problems"], seen
        count, of = seen["complaints"], len(list(self.inbox.iterdir()))
        assert count == of if whole else count <= of, (count, of, told)
        assert seen["clips"] == count, seen
        if whole:
            left = [path for path in half_made(self.folder) if "/inbox_book" in path]
            assert not left, left
            remove_book(self.book)


class Backup(Victim):
    def __init__(self, folder, storing):
        super().__init__(folder)
        self.storing, self.copy, self.least = storing, folder / "copy", set()

    def begin(self):
        return [PROGRAM, "logbook", "backup", self.copy, "--logbook", self.storing.book]

    def judge(self, told, whole):
        now = set(self.storing.acknowledged)
        if whole:
            assert not list(self.folder.glob("copy.part-*")), half_made(self.folder)
            self.least = now
        if self.copy.exists():
            seen = check(self.copy)
            assert not seen["problems"], seen
            missing = self.least - stored_in(self.copy)
            assert not missing, ("backed up and gone", missing)
        else:
            assert not self.least, "the backup is gone"
        if whole and chance.random() < 0.5:
            remove_book(self.copy)
            self.least = set()


class Merge(Victim):
    def __init__(self, folder, clips):
        super().__init__(folder)
        self.other, self.book = folder / "other", folder / "joined"
        self.theirs = store(self.other, "8", clips)
        self.own = clips[:1]
        self.begin_anew()

    def begin_anew(self):
        remove_book(self.book)
        self.mine = store(self.book, "9", self.own)

    def begin(self):
        return [PROGRAM, "logbook", "merge", self.other, "--logbook", self.book]

    def judge(self, told, whole):
        seen = check(self.book)
        assert not seen["problems"], seen
        there = stored_in(self.book)
        assert self.mine <= there
        came = there & self.theirs
        assert came == self.theirs if whole else came in (set(), self.theirs), "merged by halves"
        assert stored_in(self.other) == self.theirs
        if whole:
            assert not list(self.folder.glob("joined.merge-*")), half_made(self.folder)
            assert check(self.book)["unneeded_clips"] == 0
            self.begin_anew()


class Repair(Victim):
    def __init__(self, folder, storing):
        super().__init__(folder)
        self.storing = storing

    def begin(self):
        clips = self.storing.book.with_name("book.clips")
        some = next(path for path in clips.rglob("*.flac"))
        for _ in range(5):
            name = f"{chance.getrandbits(256):064x}"
            (clips / name[:2]).mkdir(exist_ok=True)
            shutil.copy(some, clips / name[:2] / (name + ".flac"))
        name = "01234567-89ab-4cde-8f01-23456789abcd"
        for path in (f"book.merge-{name}", f"book.merge-{name}-wal", f"book.part-{name}", f"book.clips/incoming-{name}.flac"):
            (self.folder / path).write_text("half")
        return [PROGRAM, "logbook", "check", "--repair", "--json", "--logbook", self.storing.book]

    def judge(self, told, whole):
        seen = check(self.storing.book)
        assert not seen["problems"], seen
        assert self.storing.acknowledged <= stored_in(self.storing.book)
        if whole:
            assert seen["unneeded_clips"] == 0 and not seen["half_made"], seen


def tidy(folder, books):
    """What a person does afterwards: nothing is left of all the killed ones."""
    for book in books:
        if not book.exists():
            continue
        seen = check(book, "--repair")
        assert not seen["problems"], seen
        again = check(book)
        assert again["good"] and again["unneeded_clips"] == 0 and not again["half_made"], again
    left = [path for path in half_made(folder) if any(f"/{book.name}." in path for book in books if book.exists())]
    assert not left, left


totals = {}
made = 0
while made < KILLS:
    with tempfile.TemporaryDirectory(prefix="tattletone crash ") as name:
        folder = pathlib.Path(name)
        (folder / "inbox").mkdir()
        (folder / "clips").mkdir()
        for i in range(6):
            write_clip(folder / "inbox" / f"voice{i}.wav")
        clips = [write_clip(folder / "clips" / f"clip{i}.wav") for i in range(8)]
        storing = Storing(folder, clips)
        victims = [storing, Triage(folder, folder / "inbox"), Backup(folder, storing), Merge(folder, clips[:5]),
                   Repair(folder, storing)]
        books = [folder / book for book in ("book", "inbox_book", "copy", "joined", "other")]
        turn = 0
        # A new folder from time to time, so that checking what is there does not take ever longer.
        while made + sum(victim.killed for victim in victims) < KILLS and turn < 100:
            victims[turn % len(victims)].run()
            turn += 1
            if turn % 25 == 0:
                tidy(folder, books)
        tidy(folder, books)
        made += sum(victim.killed for victim in victims)
        for victim in victims:
            killed, ended = totals.get(type(victim).__name__, (0, 0))
            totals[type(victim).__name__] = (killed + victim.killed, ended + victim.ended)
for kind, (killed, ended) in totals.items():
    print(f"{kind}: killed at work {killed} times, ended by itself {ended} times")
    assert killed > 0 and ended > 0, "never killed at work, or never let come to its end"
print(f"{made} kills: nothing lost, nothing by halves, no half-made file left")
