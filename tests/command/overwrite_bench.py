"""The bench of overwrite_test.py: which options write, how they are run, and what a folder holds before and after."""
import json
import os
import pathlib
import shutil
import sqlite3
import stat
import subprocess
import sys
import tempfile

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "support"))
from materials import sheet_text, write_sound  # noqa: E402

PROGRAM = os.environ["TATTLETONE"]
SHEET = sheet_text("heron_one_rate")
OTHER_SHEET = SHEET.replace("Heron", "Egret")
LETTER = b"Dear Ada,\nthe board whines again.\n"

# Command and option: the command line, the ending that it wants, what a file that it wrote holds, and what it reads.
PAGE = 'content="tattletone {version}, %s">'
WRITERS = {
    ("examine", "--report"): (["examine", "take.wav", "--board", "heron.toml", "--calibration", "94=cal.wav", "--logbook",
                               "bench.logbook", "--report", "TARGET"], ".html", PAGE % "findings page",
                              ("take.wav", "heron.toml", "cal.wav", "bench.logbook")),
    ("trace", "--picture"): (["trace", "rail.csv", "--board", "heron.toml", "--picture", "TARGET"], ".svg",
                             "<!-- tattletone {version}, trace picture -->", ("rail.csv", "heron.toml")),
    ("trace", "--report"): (["trace", "rail.csv", "--board", "heron.toml", "--report", "TARGET"], ".html",
                            PAGE % "trace page", ("rail.csv", "heron.toml")),
    ("toggle", "--csv"): (["toggle", "heron.toml", "--parts", "ranger", "--csv", "TARGET"], ".csv", None, ("heron.toml",)),
    ("toggle", "--c"): (["toggle", "heron.toml", "--parts", "ranger", "--c", "TARGET"], ".h",
                        "/* tattletone {version}, toggle header */", ("heron.toml",)),
    ("report unit", "-o"): (["report", "unit", "7", "-o", "TARGET"], ".html", PAGE % "unit page", ("bench.logbook",)),
    ("report batch", "-o"): (["report", "batch", "B1", "-o", "TARGET"], ".html", PAGE % "batch page", ("bench.logbook",)),
    ("report complaint", "-o"): (["report", "complaint", "COMPLAINT", "-o", "TARGET"], ".html", PAGE % "complaint page",
                                 ("bench.logbook",)),
    ("report compare", "-o"): (["report", "compare", "before", "after", "-o", "TARGET"], ".html",
                               PAGE % "comparison page", ("bench.logbook",)),
    ("logbook backup", "FILE"): (["logbook", "backup", "TARGET"], ".logbook", None, ("bench.logbook",)),
    ("listen", "--keep"): (["listen", "--board", "heron.toml", "--seconds", "0.6", "--device", "testmic", "--keep",
                            "TARGET"], ".flac", None, ("heron.toml",)),
}
COPY, KEEP, PLAN = ("logbook backup", "FILE"), ("listen", "--keep"), ("toggle", "--csv")


def run(folder, *arguments, environment=None, **more):
    env = {**os.environ, "TATTLETONE_LOGBOOK": "bench.logbook", "HOME": str(folder), **(environment or {})}
    result = subprocess.run([PROGRAM, *map(str, arguments)], cwd=folder, env=env, capture_output=True, timeout=60,
                            stdin=more.pop("stdin", subprocess.DEVNULL), **more)
    result.out, result.err = result.stdout.decode(), result.stderr.decode()
    return result


def done(folder, *arguments):
    result = run(folder, *arguments)
    if result.returncode != 0:
        raise AssertionError(f"{arguments}: {result.returncode}\n{result.err}")
    return result.out


def records(book):
    """What a logbook holds, apart from the list of its copies; read from a copy so that it is not touched."""
    with tempfile.TemporaryDirectory() as away:
        for ending in ("", "-wal"):
            if os.path.exists(str(book) + ending):
                shutil.copy(str(book) + ending, os.path.join(away, "book" + ending))
        with sqlite3.connect(os.path.join(away, "book")) as database:
            return [line for line in database.iterdump() if "copy_made" not in line]


def snapshot(folder):
    """Everything under the folder: type, permissions, identity, links, bytes. Of the logbook in use: its records."""
    seen = {}
    for path in sorted(folder.rglob("*")):
        name, status = str(path.relative_to(folder)), path.lstat()
        if name in ("bench.logbook-wal", "bench.logbook-shm", "bench.logbook.clips/lock"):
            continue
        what = (stat.S_IFMT(status.st_mode), stat.S_IMODE(status.st_mode), status.st_ino)
        if path.is_symlink():
            what += (os.readlink(path),)
        elif name == "bench.logbook":
            what += (records(path),)
        elif path.is_file():
            what += (path.read_bytes(), status.st_mtime_ns)
        seen[name] = what
    return seen


class Fixture:
    """A bench with everything that the commands read, made once and copied for each case."""
    home = None

    @classmethod
    def make(cls):
        if cls.home:
            return
        cls.keep = tempfile.TemporaryDirectory(prefix="tattletone overwrite ")
        cls.home = home = pathlib.Path(cls.keep.name) / "bench"
        home.mkdir()
        (home / "heron.toml").write_text(SHEET)
        write_sound(home / "take.wav", [(9600.1, 0.02)], seconds=1.0)
        write_sound(home / "cal.wav", [(1000.0, 0.2)], seconds=1.0, seed=2)
        (home / "rail.csv").write_text("Time,3V0\n" + "".join(f"{i * 1e-6:.6f},{3.0 - 0.3 * (i % 104 < 20):.3f}\n" for i in range(3000)))
        cls.version = done(home, "--version").split()[1]
        for serial in ("7", "8"):
            done(home, "unit", "add", serial, "--board", "heron.toml", "--batch", "B1")
            for label in ("before", "after"):
                done(home, "examine", "take.wav", "--log", "--unit", serial, "--label", label)
        done(home, "complaint", "add", "take.wav", "--board", "heron.toml", "--text", "it whines")
        listed = json.loads(done(home, "complaint", "list", "--json"))
        cls.complaint = next(value for value in listed.values() if isinstance(value, list))[0]["id"]
        # What stands in places, made beside the bench.
        away = pathlib.Path(cls.keep.name) / "away"
        shutil.copytree(home, away)
        cls.own = {}
        for writer, (words, ending, _, _) in WRITERS.items():
            if writer == KEEP:
                continue
            name = "made by " + writer[0].replace(" ", "-") + writer[1] + ending
            done(away, *cls.line(words, name))
            cls.own[writer] = away / name
        # The bench knows of that copy as if it had made it itself.
        for ending in ("", "-wal", "-shm"):
            if (away / ("bench.logbook" + ending)).exists():
                shutil.copy(away / ("bench.logbook" + ending), home / ("bench.logbook" + ending))
        done(away, "unit", "add", "other", "--board", "heron.toml", "--logbook", "foreign.logbook")
        done(away, "logbook", "backup", "foreign-copy.logbook", "--logbook", "foreign.logbook")
        shutil.copytree(cls.own[COPY].parent / (cls.own[COPY].name + ".clips"), away / "store")
        cls.away = away

    @classmethod
    def line(cls, words, target):
        return [str(target) if word == "TARGET" else getattr(cls, "complaint", "") if word == "COMPLAINT" else word for word in words]


def whole(writer, path):
    """That a whole file of the option's kind stands at the path."""
    content = path.read_bytes()
    if writer == COPY:
        with sqlite3.connect(f"file:{str(path).replace('?', '%3f').replace('#', '%23')}?immutable=1", uri=True) as book:
            return book.execute("PRAGMA integrity_check").fetchone() == ("ok",) and \
                book.execute("SELECT count(*) FROM unit WHERE serial = '8'").fetchone() == (1,)
    if writer == KEEP:
        return content.startswith(b"fLaC")
    if writer == PLAN:
        return content.startswith(b"seconds,ranger\n0,") and content.count(b"\n") == 121
    mark = WRITERS[writer][2].format(version=Fixture.version)
    return mark in content.decode() and content.rstrip().endswith((b"</html>", b"</svg>", b"#endif"))
