#!/usr/bin/python3
"""src/report/json/FORMATS.md against what the program prints: every `--json` of every verb is run, and no key may come
out that the page does not name, of another kind than it says, nor may the page name one that nothing printed.
RFC 8259 is read by Python's own json. A suffix of a name must agree with the unit that the page gives it.

    formats_test.py --show      prints what came out, key by key, without judging it
"""
import json
import math
import os
import pathlib
import random
import re
import shutil
import struct
import subprocess
import sys
import tempfile
import unittest
import warnings
import wave

PROGRAM = os.environ["TATTLETONE"]
ROOT = pathlib.Path(__file__).resolve().parents[2]
SAMPLES = ROOT / "samples"
FORMATS = ROOT / "src" / "report" / "json" / "FORMATS.md"
sys.path.insert(0, str(ROOT / "tests" / "virtual_mic"))
sys.path.insert(0, str(ROOT / "tests" / "support"))
from toggled import read_plan, write_toggled  # noqa: E402
import virtual_mic  # noqa: E402

# What the unit column may say, and what JSON then holds.
KINDS = {"text": str, "list": list, "object": dict, "true/false": bool, "count": int, "index": int}
NUMBERS = {"Hz", "s", "dB", "dBFS", "dB SPL", "ppm", "V", "mA", "mW", "°C", "°C/W", "µs", "µF", "mΩ", "%", "share", "bit", "bit/min",
           "min", "years", "cm", "factor", "p", "unit of the column"}
SUFFIXES = {"hz": "Hz", "sd_hz": "Hz", "dbfs": "dBFS", "db": "dB", "ppm": "ppm", "seconds": "s", "ma": "mA", "mw": "mW", "v": "V", "c": "°C",
            "us": "µs", "uf": "µF", "mohm": "mΩ", "percent": "%", "c_per_w": "°C/W", "spl": "dB SPL", "cm": "cm"}


def documented():
    """{format: {path: (unit, meaning)}} of the tables of FORMATS.md."""
    formats, rows = {}, None
    for line in FORMATS.read_text("utf-8").splitlines():
        if title := re.match(r"## `(tattletone [a-z]+ \d+)`$", line):
            rows = formats.setdefault(title.group(1), {})
        elif row := re.match(r"\| `([^`]+)` \| ([^|]+) \|(.*)\|$", line):
            rows[row.group(1)] = (row.group(2).strip(), row.group(3).strip())
    return formats


def walk(value, path, seen):
    """Notes every key of an object below `path` with the values it had. Keys that are the user's words are named in capitals."""
    if isinstance(value, dict):
        for key, inner in value.items():
            own = "KEY" if path in ("tried", "a", "b") and key not in ("whined", "of") else key
            name = f"{path}.{own}" if path else own
            seen.setdefault(name, []).append(inner)
            walk(inner, name, seen)
    elif isinstance(value, list):
        for inner in value:
            if isinstance(inner, dict):
                walk(inner, path + "[]", seen)
            elif isinstance(inner, list):
                raise AssertionError(f"{path}: a list in a list")


class Runs:
    """Command lines that together print every key, in a folder of their own."""

    def __init__(self):
        self.folder = pathlib.Path(tempfile.mkdtemp(prefix="tattletone-formats-"))
        self.book = self.folder / "book"
        self.seen = {}
        self.commands = set()

    def run(self, *words, form="--json", status=(0,)):
        done = subprocess.run([PROGRAM, *map(str, words), *([form] if form else [])], capture_output=True, timeout=300, cwd=SAMPLES,
                              env={**os.environ, "TATTLETONE_LOGBOOK": str(self.book), "XDG_DATA_HOME": str(self.folder)})
        assert done.returncode in status, (words, done.returncode, done.stderr.decode())
        return done.stdout.decode("utf-8")

    def note(self, line, verb):
        value = json.loads(line)
        assert next(iter(value)) == "format", line[:200]
        self.commands.add(verb)
        walk(value, "", self.seen.setdefault(value["format"], {}))
        return value

    def take(self, *words, **more):
        text = self.run(*words, **more)
        assert text.count("\n") == 1, text[:200]
        verb = " ".join(words[:2]) if words[0] in ("unit", "batch", "complaint", "report", "logbook") else words[0]
        return self.note(text, verb)

    def everything(self):
        board = ("--board", "limpet.toml")
        self.take("predict", "limpet.toml", "--state", "sounding")
        self.take("predict", "limpet.toml")
        two = self.folder / "two.toml"  # rates that could pass for one another, and no states
        two.write_text('[board]\nname = "Two"\n[[rail]]\nid = "5V"\n[[rail]]\nid = "1V8"\nfed_by = "5V"\nregulator = "linear"\nv_in = 5\n'
                       'v_out = 1.8\nmax_current_ma = 10\ndropout_v = 3.3\n[[part]]\nid = "a"\nrail = "1V8"\ntypical_ma = 20\npeak_ma = 30\n'
                       '[[part.rate]]\nid = "x"\nhz = 3200\ntolerance_percent = 2\n[[part]]\nid = "b"\n[[part.rate]]\nid = "y"\nhz = 9600\n'
                       'shape = "square"\n[[part]]\nid = "c"\n[[part.rate]]\nid = "z"\nhz_min = 2000\nhz_max = 40000\n')
        self.take("predict", two)
        self.take("headroom", "limpet.toml", "--try", "v_in=4.5", "--rail", "3V3")
        self.take("headroom", two)
        self.take("trace", "rail.csv")
        self.take("trace", "rail.csv", *board)
        self.take("trace", "rail.csv", *board, "--rail", "1V2")  # a column that is named after another rail
        still = self.folder / "still.csv"
        still.write_text("t,v\n" + "".join(f"{i * 1e-5:.6f},3.0\n" for i in range(6)))
        self.take("trace", still)
        self.take("devices", status=(0, 1))
        states = ("--state", "sounding=sounding.flac", "--state", "reading=reading.flac", "--room", "room.flac")
        self.take("examine", "clear.flac")
        self.take("examine", "quiet.flac", *board)
        self.take("examine", "clear.flac", *board, "--trace", "rail.csv", "--hearing", "30", "--hearing", "65:man", "--calibration", "94=-20dBFS")
        self.take("examine", *states, *board, "--spot", "lamp=reading.flac", "--spot", "horn=sounding.flac",
                  "--off", "lamp:sounding.flac", "--changed", "sounder.frame=3000:reading.flac")
        self.take("examine", "clear.flac", "--spot", "horn=clear.flac", "--spot", "far=quiet.flac", *board)
        self.take("next", "wandering.flac", *board)
        self.take("next", "clear.flac", "--board", two)
        self.take("examine", "clear.flac", "--board", two)
        self.take("next", "clear.flac", *board, "--trace", "rail.csv")
        self.take("examine", self.faint_comb(), *board)
        self.take("examine", self.faint_comb(1013.7, 2.5, "undeclared.wav"), *board)
        self.pulses()
        self.toggled(board)
        self.logbook(board)

    def faint_comb(self, hz=1000.0, louder=1.0, name="comb.wav"):
        """Seven lines (of link.frame) in white noise, each of the power of the noise in 1 Hz: only together do they stand out."""
        rate, seconds, rms = 16000, 10, 0.01
        draw = random.Random(4)
        amplitude = louder * math.sqrt(2 * rms * rms / (rate / 2))
        lines = [(2 * math.pi * hz * k / rate, draw.uniform(0, 6.28)) for k in range(1, 8)]
        samples = [draw.gauss(0, rms) + amplitude * sum(math.cos(step * i + phase) for step, phase in lines)
                   for i in range(rate * seconds)]
        return self.sound_file(name, rate, samples)

    def sound_file(self, name, rate, samples):
        path = self.folder / name
        with wave.open(str(path), "wb") as out:
            out.setnchannels(1), out.setsampwidth(2), out.setframerate(rate)
            out.writeframes(struct.pack(f"<{len(samples)}h", *(round(32767 * sample) for sample in samples)))
        return path

    def pulses(self):
        """Noise that is louder for a third of each turn of a declared rate."""
        rate, draw = 16000, random.Random(5)
        samples = [draw.gauss(0, 0.01 if at * 31.25 / rate % 1 > 0.33 else 0.03) for at in range(rate * 6)]
        sheet = self.folder / "slow.toml"
        sheet.write_text('[board]\nname = "Slow"\n[[part]]\nid = "screen"\n[[part.rate]]\nid = "refresh"\n'
                         'hz = 31.25\ntolerance_ppm = 100\n')
        self.take("examine", self.sound_file("pulses.wav", rate, samples), "--board", sheet)

    def toggled(self, board):
        plan, take = self.folder / "plan.csv", self.folder / "toggled.wav"
        self.run("toggle", "limpet.toml", "--parts", "sounder,lamp", "--seconds", "25", "--seed", "3", "--csv", plan, form=None)
        _, steps, step = read_plan(plan)
        write_toggled(take, steps, step, [(0, 3200.0, 0.004)], 26)
        for verb in ("examine", "next"):
            self.take(verb, take, *board, "--toggle", plan)

    def logbook(self, board):
        for serial in ("7", "8", "9"):
            self.run("unit", "add", serial, *board, "--batch", "B1", "--firmware", "1.2", "--note", "n", form=None)
        self.take("unit", "list")
        self.take("unit", "show", "7")
        self.run("examine", "clear.flac", *board, "--log", "--unit", "7", "--microphone", "bench", "--distance-cm", "3", "--label", "before",
                 "--note", "n", form=None)
        self.run("examine", "faint.flac", *board, "--log", "--unit", "8", "--label", "before", form=None)
        self.run("examine", "quiet.flac", *board, "--log", "--unit", "7", "--label", "after", form=None)
        self.run("examine", "--state", "reading=reading.flac", "--spot", "lamp=reading.flac", "--room", "room.flac", *board, "--log",
                 "--unit", "9", "--label", "after", form=None)
        self.run("unit", "confirm", "7", "sounder.frame", "--cause", "starved", "--fix", "R2", "--by", "me", form=None)
        self.run("unit", "reject", "8", "lamp.dimming", form=None)
        self.take("examine", "clear.flac", *board)
        self.run("unit", "retire", "9", form=None)
        self.take("unit", "list", "--retired")
        self.take("unit", "show", "9")
        self.take("report", "unit", "7")
        self.run("unit", "retire", "9", "--undo", form=None)
        self.take("batch", "show", "B1")
        self.take("report", "batch", "B1")
        self.take("compare", "label=before", "label=after", "--rate", "sounder.frame")
        self.take("compare", "label=before", "label=after", "--tone", "1234")
        self.take("report", "compare", "label=before", "label=after")
        self.run("complaint", "add", "clear.flac", "--text", "it whines", "--unit", "7", form=None)
        self.run("complaint", "add", "quiet.flac", *board, "--keep", "no", form=None)
        one = self.take("complaint", "list")["complaints"][0]["id"]
        self.take("complaint", "show", one)
        self.take("report", "complaint", one)
        self.run("complaint", "close", one, "--outcome", "done", form=None)
        self.take("complaint", "list", "--closed")
        self.take("logbook", "check")
        self.run("logbook", "backup", self.folder / "copy", form=None)
        self.take("logbook", "merge", self.folder / "copy")


def listen(runs):
    """Some lines of `listen --json`, the first ones before there is an answer; False without a virtual microphone."""
    if virtual_mic.missing_tools():
        return False
    warnings.simplefilter("ignore", ResourceWarning)
    with virtual_mic.VirtualMic() as mic:
        mic.play(virtual_mic.tone_wav(os.path.join(mic.folder, "tone.wav"), [3200.0], 20.0))
        done = subprocess.run([PROGRAM, "listen", "--json", "--seconds", "3", "--board", str(SAMPLES / "limpet.toml")], capture_output=True,
                              timeout=120, env=mic.environment, check=True)
        listed = subprocess.run([PROGRAM, "devices", "--json"], capture_output=True, timeout=120, env=mic.environment, check=True)
        runs.note(listed.stdout.decode("utf-8"), "devices")
    for line in done.stdout.decode("utf-8").splitlines():
        runs.note(line, "listen")
    return True


if __name__ == "__main__" and sys.argv[1:2] == ["--show"]:
    shown = Runs()
    shown.everything()
    print("listening:", listen(shown), file=sys.stderr)
    for form, keys in sorted(shown.seen.items()):
        print(form)
        for key, values in keys.items():
            kinds = sorted({type(v).__name__ for v in values})
            print(f"  {key}: {' '.join(kinds)}   e.g. {json.dumps(next((v for v in values if v not in (None, [])), None), ensure_ascii=False)[:70]}")
    shutil.rmtree(shown.folder)
    sys.exit()


def kind_of(unit):
    """(types that JSON may hold, whether null may stand there) of the middle column."""
    bare, null = (unit[:-len(" or null")], True) if unit.endswith(" or null") else (unit, False)
    if bare in KINDS:
        return (KINDS[bare],), null
    if bare in NUMBERS:
        return (int, float), null
    raise AssertionError(f"FORMATS.md: '{unit}' is no unit that this test knows")


def fits(value, kinds, null):
    if value is None:
        return null
    return type(value) in kinds


class Formats(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.page = documented()
        cls.runs = Runs()
        cls.runs.everything()
        cls.listened = listen(cls.runs)

    @classmethod
    def tearDownClass(cls):
        shutil.rmtree(cls.runs.folder)

    def test_every_key_is_named_and_is_what_the_page_says(self):
        keys = 0
        for form, seen in self.runs.seen.items():
            self.assertIn(form, self.page, "FORMATS.md has no section of this format")
            for path, values in seen.items():
                with self.subTest(format=form, key=path):
                    keys += 1
                    self.assertIn(path, self.page[form], "FORMATS.md does not name this key")
                    kinds, null = kind_of(self.page[form][path][0])
                    wrong = [value for value in values if not fits(value, kinds, null)]
                    self.assertEqual(wrong, [], f"the page says {self.page[form][path][0]}")
        self.assertGreater(keys, 250)

    def test_every_named_key_comes_out(self):
        # Without a microphone nothing is listened to, and no device is listed.
        without = () if self.listened else ("live", "devices[]")
        missing = [f"{form}: {path}" for form, rows in self.page.items() for path in rows
                   if path not in self.runs.seen.get(form, {}) and not path.startswith(without or ("\0",))]
        self.assertEqual(missing, [])
        if not self.listened:
            self.skipTest("SKIPPED: no PulseAudio, so 'listen --json' and the list of devices were not looked at")

    def test_names_and_units_agree(self):
        for form, rows in self.page.items():
            for path, (unit, meaning) in rows.items():
                with self.subTest(format=form, key=path):
                    kinds, _ = kind_of(unit)
                    name = path.split(".")[-1].replace("[]", "")
                    # The longest suffix that names a unit: theta_ja_c_per_w is no temperature.
                    for suffix in sorted(SUFFIXES, key=len, reverse=True):
                        if name == suffix or name.endswith("_" + suffix):
                            if list not in kinds and name != "spl_at_0_dbfs":
                                self.assertTrue(unit.startswith(SUFFIXES[suffix]), f"{name} in {unit}")
                            break
                    self.assertNotEqual(meaning, "")

    def test_every_verb_that_takes_json_was_run(self):
        def help_of(*words):
            return subprocess.run([PROGRAM, *words, "--help"], capture_output=True, check=True).stdout.decode()

        def listed(text, title):
            block = text.split(title + ":\n", 1)[1].split("\n\n", 1)[0] if title + ":\n" in text else ""
            return re.findall(r"^  (\S+) ", block, re.M)

        with_json = set()
        for verb in listed(help_of(), "Verbs"):
            for command in [f"{verb} {action}" for action in listed(help_of(verb), "Actions")] or [verb]:
                if re.search(r"^  --json ", help_of(*command.split()), re.M):
                    with_json.add(command)
        self.assertGreater(len(with_json), 15)
        self.assertEqual(with_json - self.runs.commands - (set() if self.listened else {"listen"}), set())

    def test_titles_of_csv(self):
        def titles(*words):
            return self.runs.run(*words, form="--csv").split("\r\n")[0].split(",")

        for words, form, key in ((("unit", "list"), "tattletone units 1", "units"), (("batch", "show", "B1"), "tattletone batch 1", "tones"),
                                 (("complaint", "list", "--closed"), "tattletone complaints 1", "complaints")):
            rows = [path.split("[].")[1] for path in self.page[form] if path.startswith(key + "[].")]
            self.assertEqual(titles(*words), rows)
        text = FORMATS.read_text("utf-8")
        for words, form in ((("unit", "show", "7"), "tattletone measurements 1"), (("compare", "label=before", "label=after"), "tattletone comparison 1")):
            section = text.split(f"## `{form}`")[1].split("\n## ")[0]
            told = re.findall(r"`([a-z_]+)`", section.split("Titles:")[1].split("|")[0])
            self.assertEqual(titles(*words), told)


if __name__ == "__main__":
    unittest.main()
