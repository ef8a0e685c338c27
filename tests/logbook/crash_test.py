#!/usr/bin/python3
"""Kills a process that stores measurements at random moments, hundreds of times. Each time the logbook must
open, hold all of what was acknowledged and nothing by halves; after `logbook check --repair` no recording may
be left that no record needs."""
import json
import os
import pathlib
import random
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
ROUNDS = int(sys.argv[3]) if len(sys.argv) > 3 else 300
SEED = 20310405
chance = random.Random(SEED)
print("seed", SEED, "rounds", ROUNDS)

with tempfile.TemporaryDirectory(prefix="tattletone crash ") as folder:
    book = pathlib.Path(folder) / "bench.logbook"
    acknowledged, interrupted, orphans = set(), 0, 0
    number = 0
    longest = 0.08  # seconds until the kill at most; follows how fast this machine is, now
    for turn in range(ROUNDS):
        clips = []
        for _ in range(8):
            number += 1
            path = pathlib.Path(folder) / f"clip{number % 16}.wav"
            with wave.open(str(path), "wb") as clip:
                clip.setnchannels(1)
                clip.setsampwidth(2)
                clip.setframerate(48000)
                clip.writeframes(b"".join(struct.pack("<h", chance.randint(-900, 900)) for _ in range(2400)))
            clips.append(path)
        process = subprocess.Popen([STORE, book, "7", *clips], stdout=subprocess.PIPE, text=True)
        time.sleep(chance.uniform(0.0, longest))
        process.kill()
        told = process.communicate()[0]
        assert "WRONG" not in told, told
        stored = {line for line in told.splitlines() if len(line) == 36}
        acknowledged |= stored
        interrupted += process.returncode == -9
        longest *= 1.1 if not stored else 1.0 if process.returncode == -9 else 0.9
        if not book.exists():
            continue
        seen = subprocess.run([STORE, "--verify", book], capture_output=True, text=True)
        assert seen.returncode == 0, (turn, seen.stdout)
        missing = acknowledged - set(seen.stdout.split())
        assert not missing, (turn, "stored and gone", missing)
        if turn % 10 == 9 or turn == ROUNDS - 1:
            before = json.loads(subprocess.run([PROGRAM, "logbook", "check", "--repair", "--json", "--logbook", book],
                                               capture_output=True, text=True).stdout)
            orphans += before["unneeded_clips"]
            after = subprocess.run([PROGRAM, "logbook", "check", "--json", "--logbook", book],
                                   capture_output=True, text=True)
            assert after.returncode == 0, after.stdout
            assert json.loads(after.stdout)["unneeded_clips"] == 0
    assert interrupted > ROUNDS // 3, "hardly any process was killed at work"
    assert acknowledged, "nothing was ever stored"
    print(f"killed at work {interrupted} times; {len(acknowledged)} measurements acknowledged, none lost or in part; "
          f"{orphans} orphaned files found and removed")
