"""Cases that run the program on a logbook, as a user would. TATTLETONE names the program."""
import json
import os
import pathlib
import subprocess
import tempfile
import unittest

from materials import sheet_text

PROGRAM = os.environ["TATTLETONE"]


class Book(unittest.TestCase):
    """A folder with a board sheet and a logbook of its own."""
    @classmethod
    def setUpClass(cls):
        cls.keep = tempfile.TemporaryDirectory(prefix="tattletone lógbook ")
        cls.folder = pathlib.Path(cls.keep.name)
        cls.environment = {**os.environ, "TATTLETONE_LOGBOOK": str(cls.folder / "bench.logbook"), "USER": "ada"}
        (cls.folder / "heron.toml").write_text(sheet_text("heron_of_bench"))

    @classmethod
    def tearDownClass(cls):
        cls.keep.cleanup()

    @classmethod
    def run_program(cls, *arguments, **more):
        return subprocess.run([PROGRAM, *map(str, arguments)], capture_output=True, text=True, timeout=120,
                              cwd=cls.folder, env={**cls.environment, **more})

    @classmethod
    def done(cls, *arguments, **more):
        result = cls.run_program(*arguments, **more)
        assert result.returncode == 0, (arguments, result.stdout, result.stderr)
        return result.stdout

    def complaints(self):
        return json.loads(self.done("complaint", "list", "--json"))["complaints"]
