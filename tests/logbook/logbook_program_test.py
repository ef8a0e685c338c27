#!/usr/bin/python3
"""The logbook as a user meets it: the program from the first unit to the posted page."""
import csv
import io
import json
import math
import os
import pathlib
import re
import shutil
import sqlite3
import subprocess
import sys

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "support"))
import case_runner  # noqa: E402
from logbook_case import PROGRAM, Book  # noqa: E402
from materials import write_sound  # noqa: E402
from pages import Page, pixels_of  # noqa: E402

try:
    import html5lib
except ImportError:
    html5lib = None

FRAME = """<!DOCTYPE html><html lang="en"><head><meta charset="utf-8"><title>frame</title>
<style>body {{ margin: 0 }} iframe {{ border: 0 }}</style></head><body>
<iframe src="{page}" width="{width}" height="2200"></iframe><script>
onload = () => {{
  const inner = document.querySelector("iframe").contentDocument;
  const size = element => element.getBoundingClientRect();
  const most = (list, of) => Math.max(0, ...[...list].map(of));
  document.title = JSON.stringify({{
    page: inner.documentElement.scrollWidth,
    picture: most(inner.querySelectorAll("svg"), e => size(e).width),
    letters: Math.min(...[...inner.querySelectorAll("svg text")].map(e =>
      parseFloat(getComputedStyle(e).fontSize) * size(e.ownerSVGElement).width / e.ownerSVGElement.viewBox.baseVal.width))
  }});
}};
</script></body></html>"""


class Bench(Book):
    @classmethod
    def setUpClass(cls):
        super().setUpClass()
        for unit in range(1, 7):
            write_sound(cls.folder / f"before{unit}.wav", [(9600.0, 0.008 + 0.001 * unit)] if unit < 6 else [],
                        seed=unit)
            write_sound(cls.folder / f"after{unit}.wav", seed=10 + unit)
            cls.done("unit", "add", unit, "--board", "heron.toml", "--batch", "B1", "--firmware", "1.2")
            for label in ("before", "after"):
                cls.done("examine", f"{label}{unit}.wav", "--log", "--unit", unit, "--label", label, "--microphone",
                         "laptop", "--distance-cm", "3")

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
        # Told with its size: (1 + 1) / 1, and never above 4 however many units were confirmed.
        self.assertIn("Its prior odds were taken 2 times as high.", text)
        self.assertIn("'examine --ignore-confirmed' leaves this out", text)
        factor = lambda: {o["prior_odds_factor"] for o in json.loads(
            self.done("examine", "before3.wav", "--board", "heron.toml", "--json"))["confirmed"]}
        self.assertEqual(factor(), {2})
        for unit in (1, 2, 4, 5):
            self.done("unit", "confirm", unit, "ranger.frame")
        self.assertEqual(factor(), {4})
        self.assertIn("4 times as high", " ".join(self.done("examine", "before3.wav", "--board", "heron.toml").split()))
        for unit in (1, 2, 4, 5):
            self.done("unit", "reopen", unit, "ranger.frame")
        self.refused("unit", "confirm", 3, "ranger.fram", says="Did you mean 'ranger.frame'?")
        self.done("unit", "reject", 4, "lamp.dimming")
        self.done("unit", "reopen", 4, "lamp.dimming")
        said = json.loads(self.done("unit", "show", 4, "--json"))["said"]
        self.assertEqual({o["rate"]: o["said"] for o in said}, {"ranger.frame": "open", "lamp.dimming": "open"})

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
        told = [process.communicate(timeout=120) for process in both]
        self.assertEqual([process.returncode for process in both], [0, 0])
        self.assertEqual(sum(int(out.split(" of ")[0]) for out, _ in told), 3, told)
        self.assertEqual(sum("old/broken.wav" in err or "inbox/broken.wav" in err for _, err in told), 1, told)
        listed = self.complaints
        self.assertEqual(len(listed()), 3)
        kinds = {pathlib.Path(c["path"]).name: c["kind"] for c in listed()}
        self.assertEqual(kinds, {"whine.wav": "known cause", "stranger.wav": "undeclared tone",
                                 "narrow.wav": "cannot tell"})
        again = self.done("complaint", "triage", "inbox", "--board", "heron.toml")
        self.assertIn("0 of 4 clips taken in, 3 were there before, 1 cannot be read (1 of them told by an earlier run)", again)
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
                if html5lib is None:
                    case_runner.could_not(self, "no html5lib (Debian: python3-html5lib), so no parser judged the pages")
                else:  # any parse error of the HTML standard raises
                    html5lib.HTMLParser(strict=True).parse(path.read_text("utf-8"))
        self.assertIn("History of the tone", Page((self.folder / "unit.html").read_text("utf-8")).text)
        self.assertEqual(json.loads(self.done("report", "unit", 5, "--json"))["serial"], "5")
        self.assertIn("serial", self.done("report", "compare", "before", "after", "--csv"))
        self.refused("report", "unit", 5, says="-o FILE.html", status=2)
        self.refused("report", "unit", 5, "-o", "no/such/folder.html", says="folder.html")

    def test_8_pages_in_a_browser(self):
        browser = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
        if browser is None:
            self.skipTest("no Chromium here, so the pages were not drawn")
        chromium = [browser, "--headless", "--no-sandbox", "--disable-gpu", "--hide-scrollbars",
                    "--allow-file-access-from-files", f"--user-data-dir={self.folder / 'browser'}"]
        for name, path in self.pages():
            # A frame is as narrow as a phone; a window of this browser is not.
            frame = self.folder / f"frame of {name}.html"
            for width in (390, 1200):
                with self.subTest(name, width=width):
                    frame.write_text(FRAME.format(page=path.name, width=width))
                    dom = subprocess.run([*chromium, "--virtual-time-budget=5000", "--dump-dom", frame.as_uri()],
                                         capture_output=True, text=True, timeout=90).stdout
                    seen = json.loads(re.search(r"<title>(\{.*\})</title>", dom).group(1))
                    self.assertLessEqual(seen["page"], width)  # nothing but tables is wider than the screen
                    self.assertLessEqual(seen["picture"], width)
                    self.assertGreaterEqual(seen["letters"], 8.5, seen)
                    picture = self.folder / f"{name}{width}.png"
                    subprocess.run([*chromium, f"--window-size={max(500, width)},2200", f"--screenshot={picture}",
                                    frame.as_uri()], capture_output=True, timeout=90)
                    if "TATTLETONE_SHOTS" in os.environ:
                        os.makedirs(os.environ["TATTLETONE_SHOTS"], exist_ok=True)
                        shutil.copy(picture, os.environ["TATTLETONE_SHOTS"])
                    # The main picture's red marks stand in it, and not as one blot.
                    rows = pixels_of(picture)
                    red = [(x, y) for y, row in enumerate(rows) for x, (r, g, b) in enumerate(row)
                           if r > 150 and g < 90 and b < 90]
                    ink = sum(pixel != (255, 255, 255) for row in rows for pixel in row)
                    self.assertGreater(ink, 0.01 * width * 2200)
                    self.assertGreater(len(red), 15)
                    # A bar lies and a tone stands: one of both ways they reach beyond a single mark.
                    self.assertGreater(max(max(way) - min(way) for way in zip(*red)), 8)

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
            self.skipTest("the build folder is closed to other users, so root cannot try this")
        finally:
            shut.chmod(0o755)
        self.assertEqual(content, (shut / "bench.logbook").read_bytes())


if __name__ == "__main__":
    case_runner.main()
