#!/usr/bin/python3
"""Nothing is overwritten: every option that writes a file against everything that can stand in its place.

    TATTLETONE=PROGRAM overwrite_test.py -v [CLASS]

The program itself says which options write (`VERB ACTION --list-outputs`; all that write are declared through
Options::output_file, which tests/house watches); an option that is not in WRITERS (overwrite_bench.py) fails the test.
"""
import os
import pathlib
import random
import resource
import shutil
import signal
import stat
import subprocess
import sys
import tempfile
import threading
import time
import unittest

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "virtual_mic"))
import virtual_mic  # noqa: E402
from overwrite_bench import COPY, Fixture, KEEP, LETTER, PLAN, PROGRAM, WRITERS, done, run, snapshot, whole, write_sound  # noqa: E402
from overwrite_places import standing  # noqa: E402


class Case(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        Fixture.make()
        cls.away = Fixture.away

    def bench(self):
        folder = pathlib.Path(tempfile.mkdtemp(prefix="tattletone overwrite "))
        self.addCleanup(shutil.rmtree, folder)
        shutil.copytree(Fixture.home, folder, dirs_exist_ok=True)
        return folder

    def copy_to(self, source, target):
        """With the recordings, where it is a copy of a logbook."""
        shutil.copy(source, target)
        if os.path.isdir(str(source) + ".clips"):
            shutil.copytree(str(source) + ".clips", str(target) + ".clips")


class Table(Case):
    """One subtest for each row of the table: a writer, what stands there, with and without --overwrite."""
    environment, skip_writing = None, False

    def rows(self, writer):
        words, ending = WRITERS[writer][:2]
        names = [name for name, _, _ in standing(writer, pathlib.Path("/x"), ending, Fixture.away)]
        for name in names:
            for overwrite in (False, True):
                yield name, overwrite

    def try_row(self, writer, wanted, overwrite):
        words, ending = WRITERS[writer][:2]
        folder = self.bench()
        make, may = next((m, y) for name, m, y in standing(writer, folder, ending, Fixture.away) if name == wanted)
        target = make(self) or folder / ("out" + ending)
        if may[overwrite] and self.skip_writing:
            return False
        before = snapshot(folder)
        read = []
        reader = None
        path = pathlib.Path(target)
        if may[overwrite] and wanted == "a pipe":
            reader = threading.Thread(target=lambda: read.append(path.read_bytes()), daemon=True)
            reader.start()
        result = run(folder, *Fixture.line(words, target), *(["--overwrite"] if overwrite else []),
                     environment=self.environment)
        after = snapshot(folder)
        self.assertFalse([name for name in after if ".part" in name], "a half-made file is left")
        if not may[overwrite]:
            self.assertEqual(result.returncode, 1, result.err)
            self.assertEqual(result.out, "")
            self.assertRegex(result.err, r"^tattletone: .+: .+\. [^\n]+\.\n$")
            self.assertEqual(set(after), set(before))
            self.assertEqual(after, before)
            if may[True]:
                self.assertIn("--overwrite", result.err)
            return True
        self.assertEqual(result.returncode, 0, result.err)
        if reader:
            reader.join(10)
            self.assertIn((WRITERS[writer][2] or "seconds,ranger").format(version=Fixture.version), read[0].decode())
        elif wanted != "a device":
            self.assertTrue(whole(writer, path.resolve()))
        # Nothing but the file and, of a copy, its recordings has changed; a link stays a link.
        name = str(path.resolve().relative_to(folder.resolve())) if not wanted == "a device" else ""
        changed = {n for n in set(before) | set(after) if before.get(n) != after.get(n)}
        changed = {n for n in changed if not (writer == COPY and n.startswith(name + "."))}
        self.assertLessEqual(changed, {name, name + "-wal", name + "-shm"})
        if wanted.startswith("a link"):
            self.assertTrue(path.is_symlink())
        return True

    def try_all(self, writer):
        tried = 0
        for name, overwrite in self.rows(writer):
            with self.subTest(writer=" ".join(writer), standing=name, overwrite=overwrite):
                tried += bool(self.try_row(writer, name, overwrite))
        print(f"{' '.join(writer)}: {tried} rows")
        self.assertGreater(tried, 40)

    def try_each(self, *writers):
        for writer in writers:
            self.try_all(writer)


class Pages(Table):
    def test_whatever_stands_there(self):
        self.try_each(("examine", "--report"), ("trace", "--picture"), ("trace", "--report"))


class Plans(Table):
    def test_whatever_stands_there(self):
        self.try_each(PLAN, ("toggle", "--c"))


class Reports(Table):
    def test_whatever_stands_there(self):
        self.try_each(("report unit", "-o"), ("report batch", "-o"), ("report complaint", "-o"), ("report compare", "-o"))


class Copies(Table):
    def test_whatever_stands_there(self):
        self.try_each(COPY)

    def test_a_restored_logbook_does_not_replace_a_later_copy(self):
        folder = self.bench()
        done(folder, "logbook", "backup", "early")
        done(folder, "unit", "add", "9", "--board", "heron.toml")
        done(folder, "logbook", "backup", "late")
        shutil.copy(folder / "early", folder / "restored")
        shutil.copytree(folder / "early.clips", folder / "restored.clips")
        late = (folder / "late").read_bytes()
        for more in ([], ["--overwrite"]):
            result = run(folder, "logbook", "backup", "late", "--logbook", "restored", *more)
            self.assertEqual((result.returncode, (folder / "late").read_bytes()), (1, late), result.err)
        done(folder, "logbook", "backup", "early", "--logbook", "restored")

    def test_killed_at_work(self):
        """Killed at random moments, the old copy stays whole or is a newer one, and the next one tidies up."""
        folder = self.bench()
        seed = 20261127
        print("seed", seed)
        chance = random.Random(seed)
        done(folder, "logbook", "backup", "copy")
        since = time.monotonic()
        done(folder, "logbook", "backup", "copy")
        usual = time.monotonic() - since
        killed = left = 0
        for turn in range(40):
            (folder / "copy.clips").exists() and shutil.rmtree(folder / "copy.clips")
            process = subprocess.Popen([PROGRAM, "logbook", "backup", "copy", "--logbook", "bench.logbook"], cwd=folder,
                                       stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
            time.sleep(chance.uniform(0.0, 1.2 * usual))
            process.send_signal(signal.SIGKILL)
            killed += process.wait() != 0
            left += any(".part" in name for name in os.listdir(folder))
            self.assertTrue(whole(COPY, folder / "copy"))
            made = {name[:len("copy.part-") + 36] for name in os.listdir(folder) if ".part" in name}
            self.assertLessEqual(len(made), 1, "an earlier one was not tidied up")
        print(f"killed at work {killed} times of 40; {left} times a half-made file was left")
        self.assertGreater(killed, 5)
        done(folder, "logbook", "backup", "copy")
        self.assertFalse([name for name in os.listdir(folder) if ".part" in name])


class Listening(Table):
    """Refusals come before the microphone is opened; what may be written needs one."""

    def test_keep(self):
        missing = virtual_mic.missing_tools()
        if missing:
            print("SKIPPED: " + ", ".join(missing) + " not installed; `listen --keep` was tried where it refuses only")
            self.skip_writing = True
            return self.try_all(KEEP)
        with virtual_mic.VirtualMic() as mic:
            mic.play(virtual_mic.tone_wav(os.path.join(mic.folder, "tone.wav"), 9600.1, 10, amplitude=0.01, noise=0.001))
            self.environment = mic.environment
            self.try_all(KEEP)


class Around(Case):
    """What the table cannot show: the list itself, the order of things, and places taken meanwhile."""

    def test_every_writing_option_is_in_the_table(self):
        folder = self.bench()

        def names_under(heading, text):
            lines = text.split(heading, 1)[1].splitlines()[1:]
            block = lines[:next((i for i, line in enumerate(lines) if not line.strip()), len(lines))]
            return [line.split()[0] for line in block if line.startswith("  ") and line[2] != " "]

        found, commands = set(), 0
        for verb in names_under("Verbs:", done(folder, "--help")):
            text = done(folder, verb, "--help")
            actions = names_under("Actions:", text) if "\nActions:" in text else [""]
            for action in actions:
                command = [verb] + [action] * bool(action)
                commands += 1
                listed = done(folder, *command, "--list-outputs").splitlines()
                found |= {(" ".join(command), line.split(" ")[0]) for line in listed}
                words = done(folder, *command, "--help")
                self.assertEqual("--overwrite" in words, bool(listed), command)
        self.assertGreater(commands, 25)
        self.assertEqual(found, set(WRITERS))

    def test_the_place_is_judged_before_the_work(self):
        """Where both the place and an input are wrong, the place is told."""
        for writer, (words, ending, _, _) in WRITERS.items():
            folder = self.bench()
            (folder / ("out" + ending)).write_bytes(LETTER)
            line = [w.replace("take.wav", "none.wav").replace("rail.csv", "none.csv") for w in Fixture.line(words, "out" + ending)]
            result = run(folder, *line)
            self.assertEqual(result.returncode, 1)
            self.assertIn("out" + ending + ": a file stands there that this program did not make", result.err)
            self.assertNotIn("none", result.err)

    def test_a_place_that_is_taken_meanwhile(self):
        folder = self.bench()
        write_sound(folder / "long.wav", [(9600.1, 0.02)], seconds=4.0)
        sound = (folder / "long.wav").read_bytes()
        process = subprocess.Popen([PROGRAM, "examine", "-", "--report", "out.html"], cwd=folder, stdin=subprocess.PIPE,
                                   stdout=subprocess.PIPE, stderr=subprocess.PIPE)
        process.stdin.write(sound[:300000])  # more than a pipe holds: the program is past its beginning
        process.stdin.flush()
        (folder / "out.html").write_bytes(LETTER)
        out, err = process.communicate(sound[300000:])
        self.assertEqual(process.returncode, 1, err)
        self.assertIn(b"out.html: a file stands there", err)
        self.assertEqual((folder / "out.html").read_bytes(), LETTER)

    def test_two_outputs_are_two_files(self):
        folder = self.bench()
        for name in ("out.svg", "./out.svg"):
            result = run(folder, "trace", "rail.csv", "--picture", "out.svg", "--report", name, "--overwrite")
            self.assertEqual(result.returncode, 2, result.err)
            self.assertFalse((folder / "out.svg").exists())

    def test_standard_streams(self):
        folder = self.bench()
        page = Fixture.own[("examine", "--report")].read_bytes()
        sound = (folder / "take.wav").read_bytes()
        with open(folder / "take.wav", "rb") as stdin:
            result = run(folder, "examine", "-", "--report", "take.wav", "--overwrite", stdin=stdin)
        self.assertEqual((result.returncode, (folder / "take.wav").read_bytes()), (1, sound), result.err)
        # Appended to by the shell: what stands there stays, the page comes behind it.
        log = folder / "log"
        log.write_bytes(LETTER)
        with open(log, "ab") as out:
            subprocess.run([PROGRAM, "examine", "take.wav", "--report", "/dev/stdout"], cwd=folder, stdout=out, check=True)
        self.assertTrue(log.read_bytes().startswith(LETTER + b"<!DOCTYPE html>"))
        with open(folder / "page.html", "ab") as out:
            out.write(page)
            out.flush()
            refused = subprocess.run([PROGRAM, "examine", "take.wav", "--report", "page.html"], cwd=folder, stdout=out,
                                     stderr=subprocess.PIPE, check=False)
        self.assertEqual(refused.returncode, 1)
        self.assertIn(b"standard output goes into this file", refused.stderr)
        result = run(folder, "examine", "take.wav", "--report", "/dev/full")
        self.assertEqual(result.returncode, 1)
        self.assertIn("/dev/full: the disk is full", result.err)

    def test_permissions_are_kept(self):
        folder = self.bench()
        shutil.copy(Fixture.own[("examine", "--report")], folder / "out.html")
        (folder / "out.html").chmod(0o640)
        done(folder, "examine", "take.wav", "--report", "out.html")
        self.assertEqual(stat.S_IMODE((folder / "out.html").stat().st_mode), 0o640)

    def test_a_disk_that_takes_no_more(self):
        """What stood there stays, and no half of the new one."""
        def little_room():
            signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
            resource.setrlimit(resource.RLIMIT_FSIZE, (4096, 4096))

        for writer in (("examine", "--report"), ("trace", "--picture"), COPY):
            words, ending = WRITERS[writer][:2]
            for standing in (False, True):
                folder = self.bench()
                target = folder / ("out" + ending)
                if standing:
                    self.copy_to(Fixture.own[writer], target)

                def seen():
                    # The folder for a copy's recordings may be there by then; recordings that the logbook has too do no harm.
                    return {name: what for name, what in snapshot(folder).items()
                            if standing or not name.startswith(target.name + ".clips")}
                before = seen()
                # Without --logbook where it would do: the bench's own logbook is not to be written either.
                line = [w for w in Fixture.line(words, target) if w not in ("--logbook", "bench.logbook")]
                result = run(folder, *line, preexec_fn=little_room,
                             environment={} if writer == COPY else {"TATTLETONE_LOGBOOK": "none.logbook"})
                self.assertEqual((result.returncode, result.out), (1, ""), writer)
                self.assertRegex(result.err.splitlines()[-1], r"^tattletone: .+: .+\. .+\.$")
                self.assertEqual(seen(), before)

    def test_left_overs(self):
        """The next one for the same place takes away what a killed one left, and nothing else."""
        folder = self.bench()
        uuid = "01234567-89ab-4cde-8f01-23456789abcd"
        gone = ["out.html.part-" + uuid]
        stay = ["out.html.part", "out.html.part-letter", f"out.html.part-{uuid}0", f"other.html.part-{uuid}"]
        for name in gone + stay:
            (folder / name).write_bytes(LETTER)
        done(folder, "examine", "take.wav", "--report", "out.html")
        self.assertEqual([name for name in gone + stay if (folder / name).exists()], stay)

    def test_long_names(self):
        folder = self.bench()
        for name in ("x" * 250 + ".html", "ü" * 120 + ".html"):
            done(folder, "examine", "take.wav", "--report", name)
            self.assertTrue(whole(("examine", "--report"), folder / name))
        result = run(folder, "examine", "take.wav", "--report", "x" * 300 + ".html")
        self.assertEqual(result.returncode, 1)


if __name__ == "__main__":
    unittest.main()
