#!/usr/bin/python3
"""The program where decimals are written with a comma."""
import os
import shutil
import subprocess
import sys

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "support"))
import case_runner  # noqa: E402
from program_case import HERON, Case, run  # noqa: E402


class Locale(Case):
    def test_a_comma_changes_nothing(self):
        # Hardly any machine has such a locale ready, and an unknown one is none.
        if shutil.which("localedef") is None or subprocess.run(
                ["localedef", "-i", "de_DE", "-f", "UTF-8", self.folder / "de_DE.UTF-8"], capture_output=True).returncode != 0:
            self.skipTest("no German locale can be made (Debian: locales)")
        german = {"LC_ALL": "de_DE.UTF-8", "LOCPATH": str(self.folder)}
        half = subprocess.run(["bash", "-c", "printf %.1f 0,5"], env={**os.environ, **german}, capture_output=True, text=True)
        self.assertEqual(half.stdout, "0,5")
        sheet = self.file("heron.toml", HERON)
        plain = run("predict", sheet, "--json").out
        self.assertIn("9600.0", plain)
        self.assertEqual(run("predict", sheet, "--json", environment=german).out, plain)


if __name__ == "__main__":
    case_runner.main()
