#!/usr/bin/python3
"""Clips that a stranger sent, through the whole program: what they may cost, and what it may say of them. Needs nothing but Python."""
import json
import math
import os
import pathlib
import random
import resource
import shutil
import struct
import subprocess
import sys
import tempfile
import unittest

PROGRAM = os.environ["TATTLETONE"]
MOST_KILOBYTES = 300_000


def takes_limits():
    """Not so of a program with a sanitizer, which reserves much more than it uses."""
    limit = lambda: resource.setrlimit(resource.RLIMIT_AS, (1000 << 20,) * 2)
    return subprocess.run([PROGRAM, "--version"], capture_output=True, preexec_fn=limit).returncode == 0


LIMITS = takes_limits()
NO_LIMITS = "SKIPPED: this program does not begin under a limit of memory (built with a sanitizer?)"


def wav(samples, rate=48000, channels=1, bits=16, tag=1, said=None):
    align = channels * bits // 8
    return struct.pack("<4sI4s4sIHHIIHH4sI", b"RIFF", (36 + len(samples)) % (1 << 32), b"WAVE", b"fmt ", 16, tag, channels, rate,
                       rate * align % (1 << 32), align % 65536, bits, b"data", (len(samples) if said is None else said)) + samples


def floats(values):
    return wav(struct.pack(f"<{len(values)}f", *values), bits=32, tag=3)


class Clips(unittest.TestCase):
    def setUp(self):
        self.keep = tempfile.TemporaryDirectory(prefix="tattletone clips ")
        self.folder = pathlib.Path(self.keep.name)
        self.addCleanup(self.keep.cleanup)

    def examine(self, name, *more):
        """(status, out, told, kilobytes at most)"""
        with open(self.folder / "out", "w+b") as out, open(self.folder / "told", "w+b") as told:
            process = subprocess.Popen([PROGRAM, "examine", name, *more], stdout=out, stderr=told, cwd=self.folder)
            _, status, used = os.wait4(process.pid, 0)
            process.returncode = os.waitstatus_to_exitcode(status)
            out.seek(0)
            told.seek(0)
            return process.returncode, out.read().decode(), told.read().decode(), used.ru_maxrss

    def findings(self, name):
        """Of JSON whose every number is one."""
        def no_number(word):
            raise AssertionError(f"{word} in JSON")
        status, out, told, _ = self.examine(name, "--json")
        self.assertEqual(status, 0, told)
        return json.loads(out, parse_constant=no_number)

    def noise(self, seconds=3.0, seed=1):
        chance = random.Random(seed)
        return [0.01 * math.sin(2.0 * math.pi * 3200.0 * i / 48000) + chance.gauss(0.0, 0.001) for i in range(int(48000 * seconds))]

    def test_monsters_among_the_samples_make_no_findings(self):
        samples = self.noise()
        (self.folder / "plain.wav").write_bytes(floats(samples))
        plain = self.findings("plain.wav")
        self.assertGreaterEqual(len(plain["tones"]), 1)
        for value in (3e38, -3e38, math.inf, math.nan, 1e20, 9.0):
            samples[70000] = value
            (self.folder / "odd.wav").write_bytes(floats(samples))
            odd = self.findings("odd.wav")
            self.assertTrue(any("1 sample is no number" in n for take in odd["recordings"] for n in take["notices"]), odd["recordings"])
            self.assertEqual([round(t["hz"]) for t in odd["tones"]], [round(t["hz"]) for t in plain["tones"]])
        # A little over full scale is what float recordings are for; a flat top is clipping.
        (self.folder / "loud.wav").write_bytes(floats([max(-1.3, min(1.3, 150.0 * s)) for s in self.noise()]))
        loud = self.findings("loud.wav")
        self.assertTrue(any("clipped" in n for take in loud["recordings"] for n in take["notices"]), loud["recordings"])
        self.assertTrue(all(0.0 < t["hz"] < 24000.0 for t in loud["tones"]))

    def test_a_clip_that_is_refused_costs_no_memory(self):
        for name, content in {
            "rate 1.wav": wav(bytes(40), rate=1),
            "rate 19.wav": wav(bytes(40), rate=19),
            "100 MHz.wav": wav(bytes(2000), rate=100_000_000),
            "4 GHz.wav": wav(bytes(2000), rate=0xFFFFFFFF),
            "channels.wav": wav(b"\x90" * 262140, channels=65535, bits=8),
            "monsters.wav": floats([3e38] * 48000),
            "text.wav": b"ffconcat version 1.0\nfile 'plain.wav'\n",
        }.items():
            with self.subTest(name):
                (self.folder / name).write_bytes(content)
                status, out, told, kilobytes = self.examine(name)
                self.assertEqual((status, out), (1, ""))
                self.assertRegex(told, r"\Atattletone: .+: .+\. .+\.\n\Z")
                if LIMITS:
                    self.assertLess(kilobytes, MOST_KILOBYTES)

    @unittest.skipUnless(LIMITS, NO_LIMITS)
    def test_memory_is_flat_in_length_and_bounded_at_every_rate(self):
        chance = random.Random(5)
        block = struct.pack("<48000h", *(round(chance.gauss(0.0, 300.0)) for _ in range(48000)))
        used = {}
        for name, rate, channels, blocks in [("minute", 48000, 1, 60), ("five", 48000, 1, 300), ("stereo", 48000, 2, 160),
                                             ("many", 48000, 64, 640), ("fast", 192000, 1, 240), ("fastest", 500000, 1, 320)]:
            with open(self.folder / f"{name}.wav", "wb") as file:
                file.write(wav(b"", rate=rate, channels=channels, said=96000 * blocks))
                for _ in range(blocks):
                    file.write(block)
            status, _, told, used[name] = self.examine(f"{name}.wav", "--json")
            self.assertEqual(status, 0, told)
            print(f"{name}: {used[name] // 1000} MB", file=sys.stderr)
            (self.folder / f"{name}.wav").unlink()
        self.assertLess(used["five"], 1.25 * used["minute"] + 20_000)
        for name, kilobytes in used.items():
            self.assertLess(kilobytes, MOST_KILOBYTES, name)

    @unittest.skipUnless(LIMITS, NO_LIMITS)
    def test_a_limit_of_memory_is_not_a_missing_decoder(self):
        if shutil.which("ffmpeg") is None:
            self.skipTest("SKIPPED: no ffmpeg")
        (self.folder / "plain.wav").write_bytes(floats(self.noise()))
        subprocess.run(["ffmpeg", "-nostdin", "-v", "error", "-y", "-i", "plain.wav", "a.m4a"], cwd=self.folder, check=True)
        short = 0
        for megabytes in (70, 110, 150, 190, 230, 300, 400):
            result = subprocess.run([PROGRAM, "examine", "a.m4a"], cwd=self.folder, capture_output=True, text=True,
                                    preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_AS, (megabytes << 20,) * 2))
            if "error while loading shared libraries" in result.stderr:
                continue  # the program did not even begin
            self.assertIn(result.returncode, (0, 1), (megabytes, result.stderr))
            if result.returncode == 1:
                self.assertIn("not enough memory", result.stderr, megabytes)
                short += 1
        self.assertGreater(short, 0)


if __name__ == "__main__":
    unittest.main()
