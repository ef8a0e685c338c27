#!/usr/bin/python3
"""The manual: `tattletone help`, its topics, the man page made of them, and the README that leads to them.

The man page is read by groff with all of its warnings (`groff -man -ww`, groff(1)) and by man-db's `man -l`; where they
are missing, those cases are skipped. What the manual says of limits is compared with the constants of the source, and
its commands with the help of the verbs."""
import json
import os
import pathlib
import re
import shutil
import subprocess
import sys
import tempfile
import unittest

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "support"))
from program_case import PROGRAM, Case, run  # noqa: E402

ROOT = pathlib.Path(__file__).resolve().parents[2]
FOLDER = ROOT / "src" / "command" / "help"
README = ROOT / "README.md"


def listed(text, title):
    """(word, what is said of it) of a list of the overview."""
    block = text.split(title + ":\n", 1)[1].split("\n\n", 1)[0]
    return dict(re.findall(r"^  (\S+) +(\S.*)$", block, re.M))


def topics():
    return listed(run("help").out, "Topics of the manual")


def parts_of(name):
    """(title, other words, body) of a topic's file."""
    title, also, empty, body = (FOLDER / f"{name}.txt").read_text("utf-8").split("\n", 3)
    assert also.startswith("also: ") and not empty, name
    return title, also.split()[1:], body


def options_in(text):
    return set(re.findall(r"(?<![\w-])--[a-z][a-z-]+", text))


class Topics(Case):
    def test_the_overview_lists_every_file_once_with_its_title(self):
        told = topics()
        self.assertEqual(sorted(told), sorted(path.stem for path in FOLDER.glob("*.txt")))
        for name, title in told.items():
            self.assertEqual(title, parts_of(name)[0])
        self.assertEqual(run("help").out, run("--help").out)
        self.readable(run("help").out)

    def test_a_topic_is_its_file(self):
        verbs = listed(run("help").out, "Verbs")
        for name in topics():
            with self.subTest(topic=name):
                title, _, body = parts_of(name)
                result = run("help", name)
                self.assertEqual((result.returncode, result.err), (0, ""))
                self.readable(result.out)
                text = result.out
                if name in verbs:  # a verb of that name explains itself first
                    own = run(name, "--help").out
                    self.assertTrue(text.startswith(own + "\n"))
                    text = text[len(own) + 1:]
                start = f"{title}\n\n" + body.split("{keys}")[0]
                self.assertTrue(text.startswith(start), text[:300])
                self.assertIn(body.split("{keys}")[-1], text)
                self.assertNotIn("{", text)

    def test_files_are_laid_out_as_the_man_page_needs_it(self):
        for name in topics():
            for line in parts_of(name)[2].splitlines():
                with self.subTest(topic=name, line=line):
                    indent = len(line) - len(line.lstrip(" "))
                    self.assertIn(min(indent, 4), (0, 2, 4))
                    self.assertLessEqual(len(line), 72 if indent >= 4 else 78)
                    self.assertNotIn("\t", line)
                    self.assertEqual(line, line.rstrip())

    def test_a_verb_is_explained_as_by_its_own_help(self):
        for verb in listed(run("help").out, "Verbs"):
            with self.subTest(verb=verb):
                result = run("help", verb)
                self.assertEqual(result.returncode, 0)
                self.assertTrue(result.out.startswith(run(verb, "--help").out))
                self.readable(result.out)
        self.assertIn("More: 'tattletone help recording'.", run("help", "listen").out)

    def test_other_words_find_a_topic_and_none_is_found_twice(self):
        seen = {}
        verbs = listed(run("help").out, "Verbs")
        for name in topics():
            for word in parts_of(name)[1]:
                with self.subTest(word=word):
                    if word in verbs:
                        self.assertIn(f"'tattletone help {name}'", " ".join(run("help", word).out.split()))
                        continue
                    self.assertNotIn(word, topics())
                    self.assertTrue(run("help", name).out.startswith(run("help", word).out) or name in verbs)
                    self.assertIn(parts_of(name)[2].split("{keys}")[0], run("help", word).out)
                    self.assertNotIn(word, seen, f"also of {seen.get(word)}")
                    seen[word] = name
        self.assertEqual(run("help", "SHEET").out, run("help", "sheet").out)

    def test_an_unknown_topic_is_told_with_the_nearest(self):
        self.failed(run("help", "shete"), 2, "help: there is no topic and no verb 'shete'", "Did you mean 'sheet'?")
        self.failed(run("help", "stat"), 2, "'state'", "'tattletone help' lists")
        self.failed(run("help", "ppm"), 2, "It is spoken of under 'sheet'")
        self.failed(run("help", "xyzzy"), 2, "'tattletone help' lists the topics and verbs.")
        self.failed(run("help", "sheet", "keys"), 2, "'keys' is not expected")
        self.failed(run("help", "--man", "sheet"), 2, "--man")

    def test_the_sheet_of_the_manual_is_one(self):
        body = parts_of("sheet")[2]
        block = body[body.index("    [board]"):body.index("\n- A fixed rate")]
        sheet = self.file("manual.toml", block.replace("\n    ", "\n"))
        result = run("predict", sheet)
        self.assertEqual(result.returncode, 0, result.err)
        self.assertIn("ranger.frame", result.out)
        self.assertIn("core-regulator.burst", result.out)

    def test_every_key_of_a_sheet_is_told(self):
        """The program lists the known keys of a table where one is unknown."""
        body = parts_of("sheet")[2]
        known = set()
        for text in ("[board]\nname='x'\nzzqq=1\n", "[[rail]]\nid='a'\nzzqq=1\n", "[[part]]\nid='a'\nzzqq=1\n",
                     "[[part]]\nid='a'\n[[part.rate]]\nid='b'\nhz=1000\nzzqq=1\n"):
            told = run("predict", self.file("keys.toml", ("" if "board" in text else "[board]\nname='x'\n") + text)).err
            found = re.search(r"known are ([a-z_, ]+)\.", told)
            self.assertIsNotNone(found, told)
            known |= set(found.group(1).split(", "))
        self.assertGreater(len(known), 25, known)
        self.assertEqual({key for key in known if not re.search(rf"\b{key}\b", body)}, set())

    def test_options_that_the_manual_names_exist(self):
        known, book = {"--version", "--help", "--man"}, run("help").out
        for verb in listed(book, "Verbs"):
            text = run(verb, "--help").out
            known |= options_in(text)
            for action in listed(text, "Actions") if "Actions:\n" in text else ():
                known |= options_in(run(verb, action, "--help").out)
        for name in topics():
            self.assertEqual(options_in(parts_of(name)[2]) - known - {"--install"}, set(), name)
        own = README.read_text("utf-8").split("## Figures")[0]
        self.assertEqual(options_in(own) - known - {"--install", "--prefix"}, set())

    def test_commands_that_the_manual_names_exist(self):
        verbs = listed(run("help").out, "Verbs")
        text = " ".join(parts_of(name)[2] for name in topics()) + README.read_text("utf-8")
        flat = " ".join(text.split())
        # Not "tattletone findings 1", which is a format, nor a folder of that name.
        named = set(re.findall(r"(?<![/\"])tattletone ([a-z]+)\b(?! \d)", flat.replace("Windows tattletone in", "")))
        self.assertGreater(len(named), 10)
        self.assertEqual(named - set(verbs), set())
        for topic in set(re.findall(r"tattletone help ([a-z]+)", flat)):
            self.assertIn(topic, set(topics()) | set(verbs))

    def test_limits_are_those_of_the_source(self):
        source = "\n".join(path.read_text("utf-8") for path in sorted((ROOT / "src").rglob("*"))
                           if path.suffix in (".h", ".cpp", ".inc"))
        text = " ".join(parts_of("limits")[2].split())
        for told, constant in (("from 200 Hz to", "lowest_rate_hz = 200.0"), ("to 500 kHz", "highest_rate_hz = 500000.0"),
                               ("64 channels", "most_channels = 64"), ("16 tracks", "most_tracks = 16"),
                               ("24 hours", "longest_seconds = 24.0 * 3600.0"), ("1 MB", "most_bytes = 1 << 20"),
                               ("1000 states", "most_states = 1000"), ("10 GHz", "highest_hz = 1e10"),
                               ("first 64 multiples", "most_order = 64"), ("where the 65th", "most_order = 64"),
                               ("16 columns", "most_columns = 16"), ("4000 lines", "head_lines = 4000"),
                               ("65536 bytes a line", "longest_line = 1 << 16"), ("400 million values", "most_values = 400'000'000"),
                               ("up to 1500 choices", "most_nodes = 1500"), ("Up to 8 tones", "unsure_limit, 8"),
                               ("last 30 s", "longest_past_seconds = 30.0"), ("for 10 minutes", "device_await_seconds = 600"),
                               ("200 bytes", "longest_serial = 200")):
            with self.subTest(told=told):
                self.assertIn(told, text)
                self.assertRegex(source, r"\b" + re.escape(constant) + r"\b")

    def test_the_keys_are_those_of_the_window(self):
        text = run("help", "keys").out
        lines = re.findall(r"^    (\S.{0,24}?)  +\S", text, re.M)
        self.assertGreaterEqual(len(lines), 16)
        for key in ("Space", "R", "Ctrl+O, B", "F5, F1, Esc"):
            self.assertIn(key, lines)


class ManPage(Case):
    @classmethod
    def setUpClass(cls):
        super().setUpClass()
        result = run("help", "--man")
        assert result.returncode == 0, result.err
        cls.source = result.out
        cls.page = cls.file("tattletone.1", cls.source)

    def test_it_is_plain_text_of_man_macros(self):
        self.assertTrue(self.source.isascii())
        used = set(re.findall(r"^[.'](\S+)", self.source, re.M))
        self.assertEqual(used - {"TH", "SH", "PP", "IP", "TP", "B", "I", "br", "nh", "ad", "nf", "fi", "RS", "RE", "sp"}, set())
        self.assertEqual(self.source.count(".nf\n"), self.source.count(".fi\n"))
        self.assertEqual(self.source.count(".RS "), self.source.count(".RE\n"))

    def test_groff_has_no_warning(self):
        if shutil.which("groff") is None:
            self.skipTest("SKIPPED: no groff here (Debian: apt-get install groff)")
        done = subprocess.run(["groff", "-man", "-ww", "-Tutf8", self.page], capture_output=True, timeout=120, check=True)
        self.assertEqual(done.stderr.decode(), "")
        self.assertGreater(len(done.stdout), 20000)

    def test_man_shows_every_topic_word_for_word(self):
        if shutil.which("man") is None or shutil.which("groff") is None:
            self.skipTest("SKIPPED: no man here (Debian: apt-get install man-db groff)")
        done = subprocess.run(["man", "--warnings=w", "-l", self.page], capture_output=True, timeout=120, check=True, stdin=subprocess.DEVNULL,
                              env={**os.environ, "LC_ALL": "C.UTF-8", "MANWIDTH": "80", "MAN_KEEP_FORMATTING": "", "GROFF_NO_SGR": "1",
                                   "MANPAGER": "cat", "PAGER": "cat"})
        self.assertEqual(done.stderr.decode(), "")
        shown = re.sub(".\b", "", done.stdout.decode("utf-8"))
        for line in shown.splitlines():
            self.assertLessEqual(len(line), 80, line)
        flat = " ".join(shown.replace("•", " ").split())
        for verb, words in listed(run("help").out, "Verbs").items():
            self.assertIn(f"{verb} {words}", flat)
        for name in topics():
            title, _, body = parts_of(name)
            self.assertIn(f"\n{title.upper()}\n", shown)
            for block in body.split("{keys}"):
                plain = " ".join(re.sub(r"^- ", "", block, flags=re.M).split())
                self.assertIn(plain, flat, f"{name} is not in the page as it was written")

    def test_it_is_installed(self):
        build = os.environ.get("TATTLETONE_BUILD", "")
        if shutil.which("cmake") is None or not (pathlib.Path(build) / "cmake_install.cmake").is_file():
            self.skipTest("SKIPPED: the build folder is not known")
        with tempfile.TemporaryDirectory() as prefix:
            done = subprocess.run(["cmake", "--install", build, "--prefix", prefix], capture_output=True, timeout=300, check=False)
            self.assertEqual(done.returncode, 0, done.stderr.decode())
            page = pathlib.Path(prefix) / "share" / "man" / "man1" / "tattletone.1"
            self.assertEqual(page.read_text("utf-8"), self.source)
            self.assertTrue((pathlib.Path(prefix) / "bin" / "tattletone").is_file())
            self.assertTrue((pathlib.Path(prefix) / "share" / "doc" / "tattletone" / "FORMATS.md").is_file())


class Readme(Case):
    text = README.read_text("utf-8")

    def test_it_is_short_and_opens_with_the_job(self):
        self.assertLessEqual(len(self.text.encode()), 12288)
        title, job, rest = self.text.split("\n\n", 2)
        self.assertEqual(title, "# Tattletone")
        self.assertNotRegex(job, r"^[#|`-]")
        self.assertLessEqual(len(job), 900)
        for word in ("board", "sheet", "microphone", "rates"):
            self.assertIn(word, job)
        self.assertTrue(rest.startswith("## Try it"))
        self.assertLess(self.text.index("./samples/demo"), 1500)

    def test_its_chapters(self):
        self.assertEqual(re.findall(r"^## (.*)$", self.text, re.M),
                         ["Try it", "A first diagnosis", "The sheet", "The window", "Cautions", "Figures", "Where to read on"])

    def test_what_it_leads_to_is_there(self):
        paths = re.findall(r"`((?:src|tests|samples|third_party_notes)/[\w./-]*|[A-Z]+\.md|LICENSE)", self.text)
        self.assertGreater(len(paths), 5)
        for path in paths:
            with self.subTest(path=path):
                self.assertTrue((ROOT / path).exists())

    def test_a_figure_has_its_command(self):
        rows = re.findall(r"^\| (.+) \| (.+) \| (.+) \|$", self.text.split("## Figures")[1], re.M)[1:]
        self.assertGreater(len(rows), 15)
        for figure, measured, command in rows:
            with self.subTest(figure=figure):
                self.assertRegex(measured, r"\d")
                self.assertRegex(command, r"`|the same")

    def test_its_first_diagnosis_works(self):
        block = self.text.split("## A first diagnosis")[1].split("## The sheet")[0]
        block = re.sub(r"(?ms)^```text\n.*?^```\n", "", block)  # what it prints
        lines = [line[4:] for line in block.splitlines() if line.startswith("    ")]
        script = "\n".join(lines)
        folder = pathlib.Path(PROGRAM).parent
        with tempfile.TemporaryDirectory() as place:
            os.symlink(ROOT / "samples", pathlib.Path(place) / "samples")
            done = subprocess.run(["bash", "-euc", script.replace("$PWD/.build/release/src/command", str(folder))], cwd=place, capture_output=True,
                                  timeout=120, check=False)
            self.assertEqual(done.returncode, 0, done.stderr.decode())
            self.assertEqual(done.stdout.decode().count("sounder.frame, Echo sounder, is almost certainly singing"), 2, done.stdout.decode()[:2000])
            self.assertTrue((pathlib.Path(place) / "limpet.html").is_file())

    def test_its_sample_output_is_what_the_program_prints(self):
        blocks = re.findall(r"(?ms)^```text\n\$ tattletone (.+?)\n(.*?)^```$", self.text)
        self.assertGreater(len(blocks), 0)
        for command, output in blocks:
            with self.subTest(command=command):
                done = subprocess.run([PROGRAM, *command.split()], cwd=ROOT, capture_output=True, timeout=120, check=True)
                self.assertEqual(done.stdout.decode(), output)

    def test_its_cautions_are_those_of_the_program(self):
        """The window and the pages show report/cautions.h; the manual and the README say the same words."""
        header = (ROOT / "src/report/cautions.h").read_text("utf-8")
        inside = header.split("cautions[] = {")[1].split("};")[0]
        cautions = ["".join(json.loads(part) for part in re.findall(r'"(?:[^"\\]|\\.)*"', entry))
                    for entry in re.split(r",\n(?=    \")", inside) if '"' in entry]
        self.assertGreaterEqual(len(cautions), 5)
        readme = " ".join(self.text.split("## Cautions")[1].split())
        manual = " ".join((ROOT / "src/command/help/cautions.txt").read_text("utf-8").split())
        for caution in cautions:
            with self.subTest(caution=caution):
                self.assertIn(caution, readme)
                self.assertIn(caution, manual)


if __name__ == "__main__":
    unittest.main()
