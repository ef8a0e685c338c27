"""Cases that run the program as a user would: what it prints, its messages and its exit status. TATTLETONE names the program."""
import json
import os
import pathlib
import re
import subprocess
import tempfile
import unittest

from materials import sheet_text, write_sound

PROGRAM = os.environ["TATTLETONE"]
SENTENCE = re.compile(r"^tattletone: .+: .+[.?]( .+[.?])?$")
HERON = sheet_text("heron")


def run(*arguments, stdin=None, environment=None, program=PROGRAM, **more):
    result = subprocess.run([program, *map(str, arguments)], input=stdin, capture_output=True, timeout=60,
                            env={**os.environ, **(environment or {})}, **more)
    result.out, result.err = result.stdout.decode("utf-8"), result.stderr.decode("utf-8")
    return result


def sound(tones=(), seconds=6.0, noise=0.002, seed=7):
    """A wav as bytes: lines (hz, amplitude) in white noise."""
    with tempfile.TemporaryDirectory() as folder:
        path = pathlib.Path(folder) / "sound.wav"
        write_sound(path, tones, seconds, noise=noise, seed=seed)
        return path.read_bytes()


class Case(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.keep = tempfile.TemporaryDirectory(prefix="tattletone tést ")
        cls.folder = pathlib.Path(cls.keep.name)
        cls.sheet = cls.file("heron.toml", HERON)

    @classmethod
    def tearDownClass(cls):
        cls.keep.cleanup()

    @classmethod
    def file(cls, name, content):
        path = cls.folder / name
        path.write_bytes(content.encode() if isinstance(content, str) else content)
        return path

    def failed(self, result, status, *parts):
        """It ended with this status, nothing on standard output, and a sentence that holds the parts."""
        self.assertEqual(result.returncode, status, result.err)
        self.assertEqual(result.out, "")
        self.assertNotEqual(result.err, "")
        for line in result.err.splitlines():
            self.assertRegex(line, SENTENCE)
        self.assertNotRegex(result.err, r"(?i)exception|what\(\)|terminate|std::|toml\+\+|CLI11|libav|ffmpeg")
        for part in parts:
            self.assertIn(part, result.err)

    def run_unprivileged(self, *arguments):
        """Root may read everything, so it hands over to nobody."""
        if os.geteuid() != 0:
            return run(*arguments)
        self.folder.chmod(0o755)
        try:
            return run(*arguments, user=65534, group=65534, extra_groups=[])
        except PermissionError:
            self.skipTest("the build folder is closed to other users, so root cannot try this")

    def readable(self, text):
        self.assertNotIn("\x1b", text)
        for line in text.splitlines():
            self.assertLessEqual(len(line), 80, line)


class Recorded(Case):
    """With a recording in which the ranger sings, and one in which nothing does."""
    @classmethod
    def setUpClass(cls):
        super().setUpClass()
        cls.ranging = cls.file("ranging.wav", sound([(9599.9, 0.004), (19199.8, 0.002)]))
        cls.idle = cls.file("idle.wav", sound(seed=8))

    def findings(self, *arguments, stdin=None):
        result = run("examine", *arguments, "--json", stdin=stdin)
        self.assertEqual(result.returncode, 0, result.err)
        self.assertEqual(result.out.count("\n"), 1)
        return json.loads(result.out)
