#!/usr/bin/env python3
"""tests/support/build_progress.sh with the real ninja, forty steps of our own and an nproc of our own: what it says
beforehand, a line for each tenth in a pipe, ninja's own line on a terminal, nothing where nothing is to do, and the
output and status of a step that fails."""

import os
import pathlib
import pty
import re
import shutil
import subprocess
import tempfile
import unittest

from terminal import shown_on

HERE = pathlib.Path(__file__).resolve().parent
SCRIPT = HERE / "build_progress.sh"
STEPS = 40


@unittest.skipIf(shutil.which("bash") is None or shutil.which("ninja") is None, "SKIPPED: no bash or no ninja here")
class BuildProgress(unittest.TestCase):
    def setUp(self):
        self.folder = pathlib.Path(tempfile.mkdtemp(prefix="tattletone-progress-"))
        self.addCleanup(shutil.rmtree, self.folder)
        (self.folder / "bin").mkdir()
        nproc = self.folder / "bin" / "nproc"
        nproc.write_text("#!/bin/sh\necho 4\n")
        nproc.chmod(0o755)
        self.plan()

    def plan(self, failing=None):
        lines = ["rule step", "  command = touch $out", "rule wrong", "  command = echo 'error: it cannot be'; exit 3"]
        for i in range(STEPS):
            lines.append(f"build out{i}: {'wrong' if i == failing else 'step'}")
        lines.append("build whole: phony " + " ".join(f"out{i}" for i in range(STEPS)))
        (self.folder / "build.ninja").write_text("\n".join(lines) + "\n")

    def script(self, seconds):
        return ['bash', '-c', f'set -euo pipefail; source "$0"; build_processor_seconds={seconds}; build_with_progress "$1" whole || '
                              '{ echo "status $?"; exit 1; }; echo went on', str(SCRIPT), str(self.folder)]

    @property
    def environment(self):
        return {**os.environ, "PATH": f"{self.folder / 'bin'}:{os.environ['PATH']}", "LC_ALL": "C"}

    def build(self, seconds=1200):
        return subprocess.run(self.script(seconds), env=self.environment, capture_output=True, text=True, timeout=120, check=False)

    def test_a_line_for_each_tenth_in_a_pipe(self):
        done = self.build()
        self.assertEqual((done.returncode, done.stderr), (0, ""))
        lines = done.stdout.splitlines()
        self.assertEqual(lines[0], "Building whole: 40 steps, about 5 min on the 4 cores here ...")  # 1200 s / 4
        self.assertEqual([int(re.match(r"  (\d+) % built after \d+ (?:s|min)", line).group(1)) for line in lines[1:-2]],
                         list(range(10, 101, 10)))
        for line in lines[1:-3]:
            self.assertRegex(line, r", about \d+ (s|min) to go$")
        self.assertRegex(lines[-2], r"^Built in \d+ s, with \d+ s of processor time\.$")
        self.assertEqual(lines[-1], "went on")

    def test_nothing_to_do_nothing_said(self):
        self.build()
        done = self.build()
        self.assertEqual((done.returncode, done.stdout, done.stderr), (0, "went on\n", ""))

    def test_what_is_left_takes_its_share(self):
        self.build()
        for i in range(0, STEPS, 2):
            (self.folder / f"out{i}").unlink()
        done = self.build()
        self.assertIn("20 steps, about 3 min on the 4 cores", done.stdout)  # 150 s, rounded
        self.assertEqual(done.stdout.count(" % built after "), 10)
        (self.folder / "out0").unlink()
        self.assertIn("1 step, about 30 s", self.build().stdout)  # one step of 30 s, on one core

    def test_a_failure_is_shown_and_told(self):
        self.plan(failing=17)
        done = self.build()
        self.assertEqual(done.returncode, 1)
        self.assertIn("error: it cannot be", done.stdout)
        self.assertIn("FAILED: out17", done.stdout)
        self.assertTrue(done.stdout.endswith("status 1\n"), done.stdout)
        self.assertNotIn("Built in", done.stdout)
        (self.folder / "build.ninja").write_text("build out: nothing\n")
        done = self.build()
        self.assertEqual(done.returncode, 1)
        self.assertIn("unknown build rule", done.stdout + done.stderr)

    def test_a_plan_that_is_out_of_date_is_made_anew_first(self):
        plan = self.folder / "build.ninja"
        steps = plan.read_text()
        generator = ("rule plan\n  command = cp new.ninja build.ninja\n  generator = 1\n"
                     "build build.ninja: plan new.ninja\n")
        (self.folder / "new.ninja").write_text(generator + steps)
        plan.write_text(generator + "rule step\n  command = touch $out\nbuild out0: step\nbuild whole: phony out0\n")
        os.utime(plan, (1, 1))
        done = self.build()
        self.assertIn("Building whole: 40 steps, about 5 min", done.stdout, done.stderr)
        self.assertEqual(done.stdout.count(" % built after "), 10)

    def test_on_a_terminal_ninja_counts(self):
        pid, terminal = pty.fork()
        if pid == 0:
            words = self.script(1200)
            os.execvpe(words[0], words, {**self.environment, "TERM": "xterm"})
        shown = shown_on(terminal)
        os.close(terminal)
        self.assertEqual(os.waitstatus_to_exitcode(os.waitpid(pid, 0)[1]), 0)
        self.assertIn("40 of 40", shown.decode())
        self.assertNotIn("% built", shown.decode())

    def test_the_figure_stands_in_one_place(self):
        demo = (HERE.parents[1] / "samples" / "demo").read_text("utf-8")
        self.assertIn("build_progress.sh", demo)
        self.assertIn("build_with_progress", demo)
        self.assertNotRegex(demo, r"\d+ ?(min|s\b|seconds)|nproc")
        figures = re.findall(r"^build_processor_seconds=(\d+)$", SCRIPT.read_text("utf-8"), re.M)
        self.assertEqual(len(figures), 1)
        self.assertGreater(int(figures[0]), 30)


if __name__ == "__main__":
    unittest.main()
