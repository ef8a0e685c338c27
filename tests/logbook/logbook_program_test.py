#!/usr/bin/python3
"""The logbook as a user meets it: the program from the first unit to the posted page."""
import csv
import io
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
import wave
import zlib
from html.parser import HTMLParser

PROGRAM = os.environ["TATTLETONE"]
SHEET = """[board]
name = "Heron"
revision = "C"
states = ["idle", "ranging"]
[[part]]
id = "ranger"
name = "Time-of-flight ranger"
  [[part.rate]]
  id = "frame"
  hz = 9600
  tolerance_ppm = 50
[[part]]
id = "lamp"
  [[part.rate]]
  id = "dimming"
  hz = 976.5625
  shape = "square"
"""


def write_sound(path, tones=(), seconds=5.0, rate=48000, seed=1):
    chance = random.Random(seed)
    samples = bytearray()
    for i in range(int(seconds * rate)):
        value = chance.gauss(0.0, 0.002)
        for hz, amplitude in tones:
            value += amplitude * math.sin(2.0 * math.pi * hz * i / rate)
        samples += struct.pack("<h", round(32767.0 * value))
    with wave.open(str(path), "wb") as clip:
        clip.setnchannels(1)
        clip.setsampwidth(2)
        clip.setframerate(rate)
        clip.writeframes(bytes(samples))


class Page(HTMLParser):
    """Every element is closed in order, ids are single, pictures have words for those who cannot see."""
    VOID = {"meta", "br", "link", "img"}

    def __init__(self, text):
        super().__init__()
        self.open, self.ids, self.text, self.svg, self.titled = [], [], "", 0, 0
        self.outside = re.findall(r"(?:src|href)=|url\(|@import", text)
        self.feed(text)
        assert not self.open, self.open

    def handle_starttag(self, tag, attributes):
        if tag == "svg":
            self.svg += 1
            assert dict(attributes).get("role") == "img"
        if tag == "title" and "svg" in self.open:
            self.titled += 1
        self.ids += [value for name, value in attributes if name == "id"]
        if tag not in self.VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag, attributes):
        pass

    def handle_endtag(self, tag):
        assert self.open and self.open[-1] == tag, (tag, self.open)
        self.open.pop()

    def handle_data(self, data):
        if not {"style", "script"} & set(self.open):
            self.text += data


def pixels_of(png):
    """Rows of an 8-bit RGB or RGBA picture (PNG specification, filters 0 to 4)."""
    data, at, packed = png.read_bytes(), 8, b""
    while at < len(data):
        size, kind = struct.unpack(">I4s", data[at:at + 8])
        if kind == b"IHDR":
            width, height, depth, colour = struct.unpack(">IIBB", data[at + 8:at + 18])
            assert depth == 8 and colour in (2, 6)
        if kind == b"IDAT":
            packed += data[at + 8:at + 8 + size]
        at += size + 12
    step = 3 if colour == 2 else 4
    raw, rows, before = zlib.decompress(packed), [], bytearray(width * step)
    for y in range(height):
        kind = raw[y * (width * step + 1)]
        row = bytearray(raw[y * (width * step + 1) + 1:(y + 1) * (width * step + 1)])
        for i in range(len(row)):
            a = row[i - step] if i >= step else 0
            b, c = before[i], before[i - step] if i >= step else 0
            if kind == 1:
                row[i] = row[i] + a & 255
            elif kind == 2:
                row[i] = row[i] + b & 255
            elif kind == 3:
                row[i] = row[i] + (a + b) // 2 & 255
            elif kind == 4:
                p = a + b - c
                near = min((abs(p - a), 0, a), (abs(p - b), 1, b), (abs(p - c), 2, c))[2]
                row[i] = row[i] + near & 255
        rows.append([tuple(row[i:i + 3]) for i in range(0, len(row), step)])
        before = row
    return rows


class Bench(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.keep = tempfile.TemporaryDirectory(prefix="tattletone lógbook ")
        cls.folder = pathlib.Path(cls.keep.name)
        cls.environment = {**os.environ, "TATTLETONE_LOGBOOK": str(cls.folder / "bench.logbook"), "USER": "ada"}
        (cls.folder / "heron.toml").write_text(SHEET)
        for unit in range(1, 7):
            write_sound(cls.folder / f"before{unit}.wav", [(9600.0, 0.008 + 0.001 * unit)] if unit < 6 else [],
                        seed=unit)
            write_sound(cls.folder / f"after{unit}.wav", seed=10 + unit)
            cls.done("unit", "add", unit, "--board", "heron.toml", "--batch", "B1", "--firmware", "1.2")
            for label in ("before", "after"):
                cls.done("examine", f"{label}{unit}.wav", "--log", "--unit", unit, "--label", label, "--microphone",
                         "laptop", "--distance-cm", "3")

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

    def refused(self, *arguments, says, status=1, **more):
        result = self.run_program(*arguments, **more)
        self.assertEqual(result.returncode, status, result.stderr)
        self.assertRegex(result.stderr, r"^tattletone: .+: .+\.")
        self.assertIn(says, result.stderr)
        self.assertNotRegex(result.stderr, r"(?i)exception|constraint|std::|errno")

    def test_1_units_and_measurements(self):
        units = json.loads(self.done("unit", "list", "--json"))["units"]
        self.assertEqual([u["serial"] for u in units], list("123456"))
        self.assertEqual({u["measurements"] for u in units}, {2})
        rows = list(csv.DictReader(io.StringIO(self.done("unit", "list", "--csv"))))
        self.assertEqual(rows[4]["serial"], "5")
        unit = json.loads(self.done("unit", "show", 5, "--json"))
        newest, first = unit["measurements"]
        self.assertEqual((newest["label"], first["label"]), ("after", "before"))
        self.assertEqual((first["measured_by"], first["microphone"], first["distance_cm"]), ("ada", "laptop", 3))
        self.assertIn("ranger.frame", first["answer"])
        self.assertTrue(pathlib.Path(first["recordings"][0]["clip"]).is_file())
        self.refused("unit", "show", 77, says="77")
        self.refused("unit", "add", 5, "--board", "heron.toml", says="there is a unit with this serial number")
        self.refused("examine", "after1.wav", "--log", says="--unit", status=2)

    def test_2_rename_and_retire(self):
        self.done("unit", "add", "spare", "--board", "heron.toml")
        self.done("unit", "rename", "spare", "bench spare")
        self.refused("unit", "show", "spare", says="spare")
        self.done("unit", "retire", "bench spare")
        self.assertNotIn("bench spare", self.done("unit", "list"))
        self.assertIn("bench spare", self.done("unit", "list", "--retired"))

    def test_3_what_people_say_shows_and_counts(self):
        write_sound(self.folder / "weak.wav", [(9600.0, 0.00012)], seed=44)
        probability = lambda *more: {s["rate"]: s["probability"] for s in json.loads(
            self.done("examine", "before3.wav", "--board", "heron.toml", "--json", *more))["suspects"]}
        self.assertNotIn("was confirmed", self.done("examine", "before3.wav", "--board", "heron.toml"))
        self.done("unit", "confirm", 3, "ranger.frame", "--cause", "regulator starved", "--fix", "R2")
        text = " ".join(self.done("examine", "before3.wav", "--board", "heron.toml").split())
        self.assertIn("confirmed in unit 3 (regulator starved; fixed by R2)", text)
        self.assertNotIn("regulator starved",
                         self.done("examine", "before3.wav", "--board", "heron.toml", "--ignore-confirmed"))
        self.assertGreaterEqual(probability()["ranger.frame"],
                                probability("--ignore-confirmed")["ranger.frame"])
        self.refused("unit", "confirm", 3, "ranger.fram", says="Did you mean 'ranger.frame'?")
        self.done("unit", "reject", 4, "lamp.dimming")
        self.done("unit", "reopen", 4, "lamp.dimming")
        said = json.loads(self.done("unit", "show", 4, "--json"))["said"]
        self.assertEqual([o["said"] for o in said], ["open"])

    def test_4_before_and_after_a_fix(self):
        # In all five pairs that changed, one way: McNemar's exact p = 2 / 2^5 (binomial).
        result = json.loads(self.done("compare", "before", "after", "--json"))
        self.assertTrue(result["paired"])
        self.assertEqual((result["a"]["whined"], result["b"]["whined"], result["b"]["of"]), (5, 0, 6))
        self.assertAlmostEqual(result["p_whined"], 2 / 2 ** 5, places=6)
        self.assertGreater(result["fell_by_db"], 20.0)
        self.assertIn("5 of 6 whined before, 0 of 6 after", result["sentences"][0])
        self.refused("compare", "before", "nobody", says="nobody")

    def test_5_batch(self):
        for unit in range(1, 7):
            self.done("examine", f"before{unit}.wav", "--log", "--unit", unit, "--label", "again")
        tone = json.loads(self.done("batch", "show", "B1", "--json"))["tones"][0]
        self.assertEqual((tone["rate"], tone["units"], tone["of"]), ("ranger.frame", 5, 6))
        # Wilson's interval of 5 in 6, by the formula in A. Agresti, B. A. Coull, Am. Stat. 52 (1998) 119.
        z, n, p = 1.959963984540054, 6, 5 / 6
        half = z * math.sqrt(p * (1 - p) / n + z * z / (4 * n * n))
        self.assertAlmostEqual(tone["share_low"], (p + z * z / (2 * n) - half) / (1 + z * z / n), places=3)
        self.assertAlmostEqual(tone["share_high"], (p + z * z / (2 * n) + half) / (1 + z * z / n), places=3)
        self.refused("batch", "show", "B9", says="B9")

    def test_6_complaints(self):
        inbox = self.folder / "inbox"
        (inbox / "old").mkdir(parents=True)
        write_sound(inbox / "whine.wav", [(9600.0, 0.01)], seed=70)
        write_sound(inbox / "stranger.wav", [(5333.3, 0.01)], seed=71)
        write_sound(inbox / "old" / "narrow.wav", seconds=4.0, rate=8000, seed=72)
        (inbox / "broken.wav").write_bytes(b"RIFF????")
        self.done("unit", "confirm", 3, "ranger.frame", "--cause", "regulator starved", "--fix", "R2")
        command = [PROGRAM, "complaint", "triage", "inbox", "--board", "heron.toml"]
        both = [subprocess.Popen(command, cwd=self.folder, env=self.environment, text=True, stdout=subprocess.PIPE,
                                 stderr=subprocess.PIPE) for _ in range(2)]
        for process in both:
            process.communicate(timeout=120)
            self.assertEqual(process.returncode, 0)
        listed = lambda: json.loads(self.done("complaint", "list", "--json"))["complaints"]
        kinds = {pathlib.Path(c["path"]).name: c["kind"] for c in listed()}
        self.assertEqual(kinds, {"whine.wav": "known cause", "stranger.wav": "undeclared tone",
                                 "narrow.wav": "cannot tell"})
        self.assertIn("0 of 4 clips taken in", self.done("complaint", "triage", "inbox", "--board", "heron.toml"))
        reply = next(c["reply"] for c in listed() if c["path"].endswith("narrow.wav"))
        self.assertRegex(reply, r"Nothing above [34]\.\d kHz survives")
        self.assertIn("record it once more", reply)

        clip = lambda c: self.folder / "bench.logbook.clips" / c["clip_sha256"][:2] / (c["clip_sha256"] + ".flac")
        known = next(c for c in listed() if c["kind"] == "known cause")
        self.done("complaint", "close", known["short_id"], "--outcome", "R2 fitted")
        self.assertNotIn(known["id"], [c["id"] for c in listed()])
        self.assertIn("R2 fitted", self.done("complaint", "show", known["short_id"]))
        self.assertTrue(clip(known).is_file())
        self.refused("complaint", "remove", known["short_id"], says="--yes")
        self.done("complaint", "remove", known["short_id"], "--yes")
        self.assertFalse(clip(known).exists())
        before = sorted((self.folder / "bench.logbook.clips").rglob("*.flac"))
        write_sound(self.folder / "voice.wav", seconds=4.0, seed=90)
        self.done("complaint", "add", "voice.wav", "--keep", "no", "--text", "hm")
        self.assertEqual(before, sorted((self.folder / "bench.logbook.clips").rglob("*.flac")))

    def pages(self):
        complaint = json.loads(self.done("complaint", "list", "--json"))["complaints"]
        complaint = next(c["short_id"] for c in complaint if c["kind"] == "undeclared tone")
        for name, arguments in (("unit", ["unit", 5]), ("batch", ["batch", "B1"]),
                                ("compare", ["compare", "before", "after"]), ("complaint", ["complaint", complaint])):
            self.done("report", *arguments, "-o", name + ".html")
            yield name, self.folder / (name + ".html")

    def test_7_pages(self):
        for name, path in self.pages():
            with self.subTest(name):
                page = Page(path.read_text("utf-8"))
                self.assertEqual(page.outside, [])
                self.assertEqual(len(page.ids), len(set(page.ids)))
                self.assertGreater(page.svg, 0)
                self.assertEqual(page.svg, page.titled)
                for part in ("Limits of the method", "Cautions"):
                    self.assertIn(part, page.text)
                self.assertNotIn(str(self.folder), page.text)
        self.assertIn("History of the tone", Page((self.folder / "unit.html").read_text("utf-8")).text)
        self.assertEqual(json.loads(self.done("report", "unit", 5, "--json"))["serial"], "5")
        self.assertIn("serial", self.done("report", "compare", "before", "after", "--csv"))
        self.refused("report", "unit", 5, says="-o FILE.html", status=2)
        self.refused("report", "unit", 5, "-o", "no/such/folder.html", says="folder.html")

    def test_8_pages_in_a_browser(self):
        browser = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
        if browser is None:
            self.skipTest("SKIPPED: no Chromium here, so the pages were not drawn")
        for name, path in self.pages():
            for width in (500, 1200):
                with self.subTest(name, width=width):
                    picture = self.folder / f"{name}{width}.png"
                    subprocess.run([browser, "--headless", "--no-sandbox", "--disable-gpu", "--hide-scrollbars",
                                    f"--user-data-dir={self.folder / 'browser'}", f"--window-size={width},2200",
                                    f"--screenshot={picture}", path.as_uri()], capture_output=True, timeout=90)
                    # The main picture's red marks stand in it, and not as one blot. On a phone it is wider
                    # than the screen and scrolls, so there only what is drawn at all counts.
                    rows = pixels_of(picture)
                    red = [y for y, row in enumerate(rows) for (r, g, b) in row if r > 150 and g < 90 and b < 90]
                    ink = sum(pixel != (255, 255, 255) for row in rows for pixel in row)
                    self.assertGreater(ink, 0.01 * width * 2200)
                    if width > 1000:
                        self.assertGreater(len(red), 15)
                        self.assertGreater(max(red) - min(red), 8)

    def test_9_check_backup_merge(self):
        self.assertIn("All is well", self.done("logbook", "check"))
        self.done("logbook", "backup", "copy.logbook")
        self.assertTrue(json.loads(self.done("logbook", "check", "--json", "--logbook", "copy.logbook"))["good"])
        self.done("unit", "add", "other-1", "--board", "heron.toml", "--logbook", "other.logbook")
        self.done("examine", "before1.wav", "--log", "--unit", "other-1", "--logbook", "other.logbook")
        first = json.loads(self.done("logbook", "merge", "other.logbook", "--json"))
        self.assertEqual((first["units"], first["measurements"], first["clips"]), (1, 1, 0))
        again = json.loads(self.done("logbook", "merge", "other.logbook", "--json"))
        self.assertEqual((again["units"], again["measurements"], again["conflicts"]), (0, 0, []))
        orphan = self.folder / "bench.logbook.clips" / "incoming-left.flac"
        orphan.write_bytes(b"half a recording")
        self.assertEqual(self.run_program("logbook", "check").returncode, 1)
        self.done("logbook", "check", "--repair")
        self.assertFalse(orphan.exists())

    def test_what_is_no_logbook(self):
        (self.folder / "letter.txt").write_text("Dear Ada, " * 500)
        self.refused("unit", "list", "--logbook", "letter.txt", says="no logbook")
        self.refused("unit", "list", "--logbook", "nowhere.logbook", says="there is no logbook")
        self.refused("unit", "add", 1, "--board", "heron.toml", "--logbook", "no/such/x.logbook", says="folder")
        self.done("unit", "add", 1, "--board", "heron.toml", "--logbook", "newer.logbook")
        import sqlite3
        with sqlite3.connect(self.folder / "newer.logbook") as book:
            book.execute("PRAGMA user_version = 99")
        self.refused("unit", "list", "--logbook", "newer.logbook", says="Use a newer tattletone; nothing was changed")

    def test_where_nobody_may_write(self):
        """Root may write everywhere, so it hands over to nobody."""
        shut = self.folder / "shut"
        shut.mkdir()
        self.done("unit", "add", 1, "--board", "heron.toml", "--logbook", "shut/bench.logbook")
        for path in (shut / "bench.logbook", shut):
            path.chmod(path.stat().st_mode & 0o555 | 0o055)
        self.folder.chmod(0o755)
        other = {"user": 65534, "group": 65534, "extra_groups": []} if os.geteuid() == 0 else {}
        content = (shut / "bench.logbook").read_bytes()
        try:
            for book in ("shut/bench.logbook", "shut/new.logbook"):
                result = subprocess.run([PROGRAM, "unit", "add", "2", "--board", "heron.toml", "--logbook", book],
                                        capture_output=True, text=True, cwd=self.folder, env=self.environment, **other)
                self.assertEqual(result.returncode, 1, result.stderr)
                self.assertRegex(result.stderr, r"^tattletone: shut/.*(may not be written|cannot be opened)\. Check ")
        except PermissionError:
            self.skipTest("SKIPPED: the build folder is closed to other users, so root cannot try this")
        finally:
            shut.chmod(0o755)
        self.assertEqual(content, (shut / "bench.logbook").read_bytes())


if __name__ == "__main__":
    unittest.main()
