#!/usr/bin/python3
"""What strangers write (names, serials, notes, complaints, sheets, logbooks, metadata, arguments, the environment) never
steers a terminal: every verb and action that `--help` names is driven with it, through pipes and on a terminal.
What must not come out is told by Python's Unicode tables, not by the program's own."""
import json
import math
import os
import pty
import random
import re
import shutil
import sqlite3
import struct
import subprocess
import sys
import tempfile
import unicodedata
import unittest

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "support"))
from materials import sheet_text  # noqa: E402
from terminal import shown_on  # noqa: E402

PROGRAM = os.environ["TATTLETONE"]

FORGED = "\x1b[1mFORGED\x1b[0m"
TEXT = ("\x1b]0;title\x07" + FORGED + "\x1b[2J\x1b[3Aup\rover\nnew\ttab\x08\x7f\x85\x9b31m\x90q\x9c\u202egnp\u202c\u2066i\u2069"
        "\u200e\u061c\u2028\u2029\u200b\u2060\ufeff\u00ad\U000e0041\U000e0020end")
RAW = os.fsencode(TEXT) + b"\x9b2J\xff\xc3\xed\xa0\x80\xf5"      # and bytes that are no UTF-8
NAME = RAW.replace(b"/", b"")[:200]                               # of a file
TOML = "".join(c if c.isalnum() else f"\\u{ord(c):04X}" if ord(c) < 0x10000 else f"\\U{ord(c):08X}" for c in TEXT)

# An escape sequence that the program itself may send to a terminal: bold, and back; the live view and progress lines.
OWN = re.compile(rb"\x1b\[1m|\x1b\[0m|\r(?:\x1b\[\d+A)?\x1b\[[JK]|\x1b\[\d+A")
NOTES = ("tattletone: ", "Stored as measurement ", "Unit ", "Kept in ", "Nothing was changed.", "Delete complaint ")

SHEET = sheet_text("hostile").replace("@TEXT@", TOML)
WRONG_SHEET = sheet_text("hostile_and_wrong").replace("@TEXT@", TOML)


def wav(path, hz, seconds=2.0, rate=16000, metadata=b""):
    noise = random.Random(5)
    samples = b"".join(struct.pack("<h", int(3000 * math.sin(2 * math.pi * hz * i / rate) + noise.gauss(0, 30)))
                       for i in range(int(seconds * rate)))
    chunks = b"fmt " + struct.pack("<IHHIIHH", 16, 1, 1, rate, 2 * rate, 2, 16)
    if metadata:
        text = metadata + b"\0" * (2 - len(metadata) % 2)
        info = b"INFO" + b"".join(kind + struct.pack("<I", len(text)) + text for kind in (b"INAM", b"IART", b"ICMT"))
        chunks += b"LIST" + struct.pack("<I", len(info)) + info
        chunks += b"bext" + struct.pack("<I", 602) + (metadata * 4).ljust(602, b"\0")[:602]
    chunks += b"data" + struct.pack("<I", len(samples)) + samples
    with open(path, "wb") as file:
        file.write(b"RIFF" + struct.pack("<I", 4 + len(chunks)) + b"WAVE" + chunks)


def write(path, content):
    with open(path, "wb") as file:
        file.write(content if isinstance(content, bytes) else content.encode())
    return path


class Bench:
    """A folder whose name, files and logbook hold what strangers write."""

    def __init__(self):
        self.top = os.fsencode(tempfile.mkdtemp(prefix="tattletone-hostile-"))
        self.folder = os.path.join(self.top, NAME)
        os.mkdir(self.folder)
        self.sheet = write(self.at(b"s.toml"), SHEET)
        self.wrong_sheet = write(self.at(NAME + b".toml"), WRONG_SHEET)
        self.raw_sheet = write(self.at(b"raw.toml"), b"[board]\nname = " + RAW.replace(b"\n", b"") + b"\nx = \"" + RAW + b"\"\n")
        self.clip = self.at(NAME + b".wav")
        wav(self.clip, 3200.0, metadata=RAW)
        self.later = self.at(b"later.wav")
        wav(self.later, 3200.0, seconds=2.1)
        self.room = self.at(b"room.wav")
        wav(self.room, 111.0, seconds=2.2)
        self.no_clip = write(self.at(b"x" + NAME), RAW * 50)
        self.odd_clip = write(self.at(b"odd.wav"), b"RIFF\x40\0\0\0WAVEfmt " + struct.pack("<IHHIIHH", 16, 0x9B1B, 1, 8000, 8000, 1, 8) + b"data\x10\0\0\0" + b"\x1b" * 16)
        self.inbox = self.at(b"in" + NAME)
        os.mkdir(self.inbox)
        shutil.copy(self.clip, os.path.join(self.inbox, NAME))
        write(os.path.join(self.inbox, b"broken" + NAME), RAW * 9)
        head = RAW.replace(b"\n", b"").replace(b"\r", b"")
        self.trace = write(self.at(b"t" + NAME), b"Time (s),v" + head + b"\n" + b"".join(
            b"%.6f,%.3f\n" % (1e-5 * i, 2.8 if i % 31 < 4 else 3.0) for i in range(3000)))
        self.bad_trace = write(self.at(b"bad.csv"), b"t,v\n0.1,1\n0.2,1\n" + head + b"," + head + b"\n0.3,1\n0.4,2\n")
        self.book = self.at(b"book" + NAME)
        self.serial = RAW.replace(b"\n", b" ").replace(b"\r", b"")

    def at(self, name):
        return os.path.join(self.folder, name)

    def spoil(self, book):
        """What a foreign logbook may hold: every text that is no key and no stored form gets the hostile one."""
        with sqlite3.connect(os.fsdecode(book)) as base:
            for table, columns in (("unit", ("serial", "batch", "firmware", "note")),
                                   ("measurement", ("measured_by", "firmware", "microphone", "note", "answer", "label", "verdict")),
                                   ("take", ("path", "state", "spot")), ("opinion", ("cause", "fix", "said_by")),
                                   ("complaint", ("added_by", "text", "path", "kind", "rate", "answer", "reply", "outcome"))):
                for column in columns:
                    base.execute(f"UPDATE {table} SET {column} = substr({column}, 1, 20) || ?", (TEXT,))
        base.close()


def actions():
    """Every verb, and every action of a verb that has some, as the program's own help names them."""
    def listed(text, title):
        block = text.split(title + ":\n", 1)[1].split("\n\n", 1)[0] if title + ":\n" in text else ""
        return re.findall(r"^  (\S+) ", block, re.M)

    def help_of(*words):
        return subprocess.run([PROGRAM, *words, "--help"], capture_output=True, check=True).stdout.decode()

    found = []
    for verb in listed(help_of(), "Verbs"):
        found += [f"{verb} {action}" for action in listed(help_of(verb), "Actions")] or [verb]
    return found


def cases(b):
    """Command lines of each verb and action. The logbook is filled by the first ones."""
    t, s, none = RAW, b.serial, b.at(b"none" + NAME)
    log = [b"--logbook", b.book]
    spoilt = [b"--logbook", b.book + b"2"]
    forms = ([], ["--json"], ["--csv"])
    look = [b"--board", b.sheet]
    unit = [b"--unit", s]
    return {
        "window": [[b"--board", none], [t], [b"--" + t], [b"--board", b.wrong_sheet]],
        "devices": [[], ["--json"], [t]],
        "help": [[], [b"sheet"], [b"keys"], [b"listen"], ["--man"], [t], [b"--man", t], [b"--" + t], [b"sheet", t]],
        "listen": [[b"--device", t, b"--seconds", b"1"], [b"--device", t, "--json"], [b"--board", b.wrong_sheet], [b"--board", none],
                   [b"--seconds", t], [b"--keep", none, b"--device", t], [b"--toggle", none], [b"--toggle", b.bad_trace]],
        "predict": [[b.sheet], [b.sheet, "--json"], [b.sheet, "--all"], [b.sheet, b"--state", t], [b.wrong_sheet], [b.raw_sheet], [none],
                    [b.folder], [b.sheet, t]],
        "toggle": [[b.sheet, b"--parts", b"ranger"], [b.sheet, b"--parts", t], [b.sheet, b"--parts", b"ranger", b"--seed", t], [b.wrong_sheet, b"--parts", t],
                   [b.sheet, b"--parts", b"ranger", b"--c", none + b"/x.h"], [b.sheet, b"--parts", b"ranger", b"--seconds", t]],
        "headroom": [[b.sheet], [b.sheet, "--json"], [b.sheet, b"--rail", t], [b.sheet, b"--try", t], [b.sheet, b"--try", b"v_in=" + t],
                     [b.wrong_sheet]],
        "examine": [[b.clip] + look, [b.clip, "--json"] + look, [b.clip, b"--room", b.room, b"--state", b"ranging=" + b.later] + look,
                    [b.no_clip], [none], [b.odd_clip], [b.folder], [b.clip, b"--room", b.no_clip],
                    [b.clip, b"--far", b.room] + look, [b.clip, b"--far", b.no_clip], [b.clip, b"--state", t + b"=" + b.later] + look,
                    [b.clip, b"--off", t + b":" + b.later] + look, [b.clip, b"--changed", t + b"=1:" + b.later] + look,
                    [b.clip, b"--spot", t + b"=" + b.later] + look, [b.clip, b"--trace", b.trace] + look, [b.clip, b"--trace", b.bad_trace] + look, [b.clip, b"--toggle", b.bad_trace] + look, [b.clip, b"--toggle", none],
                    [b.clip, b"--report", none + b"/x.html"], [b.clip, b"--calibration", t], [b.clip, b"--calibration", b"94=" + b.no_clip],
                    [b.clip, b"--hearing", t], [b.clip, b"--channel", t], [b"--" + t], [b.clip, b"--board", b.wrong_sheet]],
        "next": [[b.clip] + look, [b.clip, "--json"] + look, [b.clip, b.clip] + look, [b.no_clip] + look, [b.clip, b"--board", b.raw_sheet]],
        "trace": [[b.trace], [b.trace, "--json"], [b.trace, b"--column", t], [b.trace, b"--rail", t] + look, [b.trace, b"--rail", b"3V0"] + look,
                  [b.bad_trace], [b.no_clip], [none], [b.trace, b"--below", t], [b.trace, b"--picture", none + b"/x.svg"]],
        "unit add": [[s] + look + [b"--batch", t, b"--firmware", t, b"--note", t] + log, [b"7"] + look + [b"--batch", t] + log, [b"7"] + look + log,
                     [b""] + look + log, [b"8", b"--board", b.wrong_sheet] + log, [s, b"--board", none] + log, [s] + look + [b"--logbook", none + b"/x"],
                     [s] + look + log],
        "examine log": [[b.clip, b"--log"] + unit + [b"--microphone", t, b"--note", t, b"--label", t, b"--firmware", t, b"--by", t] + log,
                        [b.later, b"--log", b"--unit", b"7", b"--label", b"b"] + log, [b.clip, b"--log", b"--unit", t + b"none"] + log],
        "unit confirm": [[s, b"ranger.frame", b"--cause", t, b"--fix", t, b"--by", t] + log, [s, t] + log, [t + b"none", b"ranger.frame"] + log],
        "unit reject": [[b"7", b"lamp.dimming", b"--cause", t, b"--by", t] + log, [b"7", t] + log],
        "unit reopen": [[b"7", b"lamp.dimming", b"--by", t] + log, [t, t] + log],
        "unit list": [[*f] + log for f in forms] + [[b"--batch", t] + log, [b"--logbook", none], [b"--logbook", b.no_clip]],
        "unit show": [[s, *f] + log for f in forms] + [[t + b"none"] + log],
        "unit rename": [[b"7", b"7" + s] + log, [b"7" + s, b"7"] + log, [b"7", s] + log, [t, t] + log],
        "unit retire": [[s] + log, [s, b"--undo"] + log, [t + b"none"] + log],
        "batch show": [[t, *f] + log for f in forms] + [[t + b"none"] + log],
        "compare": [[b"label=" + t, b"label=b", *f] + log for f in forms] + [[t, b"b"] + log, [t + b"=" + t, b"b"] + log, [b"batch=" + t, b"batch=n" + t] + log,
                    [b"label=" + t, b"label=b", b"--rate", t] + log, [b"label=" + t, b"label=b", b"--tone", t] + log],
        "complaint add": [[b.clip, b"--text", t] + look + log, [b.later, b"--text", t, b"--unit", s] + log, [b.no_clip] + log, [none] + log,
                          [b.clip, b"--keep", t] + log, [b.clip, b"--unit", t + b"none"] + log, [b.clip, b"--board", b.wrong_sheet] + log],
        "complaint triage": [[b.inbox] + look + log, [b.inbox] + look + log, [none] + log],
        "complaint list": [[*f] + log for f in forms] + [["--closed"] + log],
        "complaint show": [[b"ID", *f] + log for f in forms] + [[t] + log],
        "complaint close": [[b"ID", b"--outcome", t] + log, [t, b"--outcome", t] + log],
        "complaint remove": [[t] + log, [b"ID"] + log, [b"ID", b"--yes"] + log],
        "report unit": [[s, b"-o", b.at(b"u.html"), "--json"] + log, [s, b"-o", none + b"/x.html"] + log, [t, b"--csv"] + log],
        "report batch": [[t, b"-o", b.at(b"b.html"), "--csv"] + log, [t + b"none", "--json"] + log],
        "report complaint": [[b"ID", b"-o", b.at(b"c.html"), "--json"] + log, [t, "--json"] + log],
        "report compare": [[b"label=" + t, b"label=b", b"-o", b.at(b"d.html"), "--json"] + log, [t, t, "--csv"] + log],
        "logbook check": [[] + log, ["--json"] + log, [b"--logbook", none], [b"--logbook", b.trace]],
        "logbook backup": [[b.book + b"2"] + log, [none + b"/x"] + log, [b.sheet] + log],
        "SPOIL": [],
        "logbook merge": [[b.book + b"2"] + log, [b.book + b"2", "--json"] + log, [none] + log, [b.no_clip] + log],
        "unit list, foreign": [[*f] + spoilt for f in forms],
        "unit show, foreign": [[b"SERIAL", *f] + spoilt for f in forms],
        "complaint list, foreign": [[*f] + spoilt for f in forms],
        "complaint show, foreign": [[b"ID", *f] + spoilt for f in forms],
        "batch show, foreign": [[b"BATCH", *f] + spoilt for f in forms],
        "compare, foreign": [[b"label=LABEL", b"label=b" + os.fsencode(TEXT), *f] + spoilt for f in forms],
        "report unit, foreign": [[b"SERIAL", "--json"] + spoilt],
        "logbook check, foreign": [[] + spoilt, ["--json"] + spoilt],
    }


class HostileText(unittest.TestCase):
    maxDiff = None

    @classmethod
    def setUpClass(cls):
        cls.bench = Bench()
        cls.environment = {**os.environb, b"HOME": cls.bench.folder, b"XDG_DATA_HOME": cls.bench.folder, b"USER": RAW, b"LOGNAME": RAW,
                           b"TERM": b"xterm", b"PULSE_SERVER": b"unix:/none", b"DISPLAY": b"", b"LC_ALL": b"C.UTF-8"}
        cls.environment.pop(b"NO_COLOR", None)
        cls.environment.pop(b"TATTLETONE_LOGBOOK", None)
        cls.environment.pop(b"WAYLAND_DISPLAY", None)

    @classmethod
    def tearDownClass(cls):
        shutil.rmtree(cls.bench.top)

    def check_text(self, text, what):
        """Clean UTF-8 in which nothing but line feeds is invisible or steers."""
        shown = text.decode("utf-8", "strict")
        bad = sorted({f"U+{ord(c):04X}" for c in shown if c != "\n" and unicodedata.category(c) in ("Cc", "Cf", "Zl", "Zp", "Cs")})
        self.assertEqual(bad, [], f"{what}: {text[:600]!r}")

    def check_errors(self, text, what):
        self.check_text(text, what)
        for line in text.decode().splitlines():
            self.assertTrue(line.startswith(NOTES), f"{what}: an error is broken over lines: {text[:600]!r}")

    def in_pipes(self, words, form):
        done = subprocess.run([os.fsencode(PROGRAM), *words], capture_output=True, env=self.environment, stdin=subprocess.DEVNULL, timeout=100)
        what = b" ".join(words)[:300]
        self.assertIn(done.returncode, (0, 1, 2, 3), f"{what}: {done.stderr!r}")
        self.check_errors(done.stderr, what)
        if form == "--csv":
            self.check_text(done.stdout.replace(b"\r\n", b"\n"), what)
        else:
            self.check_text(done.stdout, what)
        if form == "--json" and done.returncode == 0:
            self.assertEqual(done.stdout.count(b"\n"), 1, what)
            self.assertIsInstance(json.loads(done.stdout), dict)
        return done

    def on_terminal(self, words):
        pid, terminal = pty.fork()
        if pid == 0:
            os.execve(os.fsencode(PROGRAM), [os.fsencode(PROGRAM), *words], self.environment)
        if words[1:2] == [b"remove"]:
            os.write(terminal, b"n\n")
        out = shown_on(terminal)
        os.close(terminal)
        os.waitpid(pid, 0)
        for forged in (b"\x1b[1mFORGED", b"FORGED\x1b[0m"):
            self.assertNotIn(forged, out)
        # CSV ends its lines by CR LF, to which the terminal adds a CR.
        self.check_text(OWN.sub(b"", out.replace(b"\r\r\n", b"\n").replace(b"\r\n", b"\n")), b"on a terminal: " + b" ".join(words)[:300])
        return out

    def ask(self, *words):
        done = subprocess.run([os.fsencode(PROGRAM), *words], capture_output=True, env=self.environment, check=True)
        return json.loads(done.stdout)

    def filled(self, word, log):
        """ID, SERIAL and the like, as the logbook has them."""
        if word == b"ID":
            return self.ask(b"complaint", b"list", b"--closed", b"--json", *log)["complaints"][0]["id"].encode()
        if b"SERIAL" in word or b"BATCH" in word or b"LABEL" in word:
            with sqlite3.connect(os.fsdecode(log[1])) as base:
                serial, batch = base.execute("SELECT serial, batch FROM unit ORDER BY serial LIMIT 1").fetchone()
                label = base.execute("SELECT label FROM measurement ORDER BY label LIMIT 1").fetchone()[0]
            base.close()
            for name, value in ((b"SERIAL", serial), (b"BATCH", batch), (b"LABEL", label)):
                word = word.replace(name, os.fsencode(value))
        return word

    def test_every_verb_and_action(self):
        table = cases(self.bench)
        known = {name.split(",")[0] for name in table} - {"examine log", "SPOIL"}
        self.assertEqual(sorted(known), sorted(actions()), "a verb or an action without a case here, or a case without one")
        ends, runs = set(), 0
        for name, lines in table.items():
            if name == "SPOIL":
                self.bench.spoil(self.bench.book + b"2")
                continue
            verb = [os.fsencode(word) for word in name.replace(" log", "").split(",")[0].split()]
            for line in lines:
                line = [os.fsencode(word) for word in line]
                log = line[-2:] if line[-2:-1] == [b"--logbook"] else []
                words = verb + [self.filled(word, log) for word in line]
                form = "--json" if b"--json" in words else "--csv" if b"--csv" in words else ""
                with self.subTest(name=name, line=line):
                    runs += 1
                    if name == "complaint remove" and line[:1] == [b"ID"] and b"--yes" not in line:
                        self.on_terminal(words)
                    done = self.in_pipes(words, form)
                    ends.add((name, done.returncode))
                    # Again where that changes nothing.
                    if name.split()[0] not in ("window", "listen") and name not in ("complaint remove", "complaint add", "examine log"):
                        self.on_terminal(words)
        print(f"{runs} command lines")
        # The cases do what they are meant to: each verb that needs no device did its work at least once.
        for name in table:
            if name not in ("window", "listen", "devices", "SPOIL"):
                self.assertTrue({(name, 0), (name, 1)} & ends and ((name, 0) in ends or name.endswith("foreign")), f"{name}: never succeeded: {ends}")

    def test_unknown_verbs_and_the_environment(self):
        for words in ([RAW], [b"--" + RAW], [b"unit", RAW], [b"complaint", b"--" + RAW], [b"report", RAW, RAW]):
            done = self.in_pipes(words, "")
            self.assertEqual(done.returncode, 2)
            self.assertEqual(done.stderr.count(b"\n"), 1)
            self.on_terminal(words)
        self.environment[b"TATTLETONE_LOGBOOK"] = self.bench.at(RAW.replace(b"/", b""))
        try:
            self.in_pipes([b"unit", b"list"], "")
            self.on_terminal([b"unit", b"list"])
        finally:
            del self.environment[b"TATTLETONE_LOGBOOK"]

    def test_what_was_there_is_shown(self):
        done = self.in_pipes([b"examine", self.bench.at(b"a\x1bb\x9b\nc.wav")], "")
        self.assertIn(rb"a\x1bb\x9b\nc.wav", done.stderr)
        self.assertEqual(done.stderr.count(b"\n"), 1)


if __name__ == "__main__":
    unittest.main()
