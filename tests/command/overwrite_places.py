"""What can stand in the place of a file that is to be written: the rows of overwrite_test.py."""
import os
import pathlib
import shutil
import sqlite3

from overwrite_bench import COPY, Fixture, KEEP, LETTER, OTHER_SHEET, PLAN, WRITERS, done, write_sound


def standing(writer, folder, ending, away):
    """Yields what can stand in the place: a name of the case, how to make it (gives the target), and whether the
    option may write there without and with --overwrite."""
    target = folder / ("out" + ending)
    copy, keep = writer == COPY, writer == KEEP
    reads = WRITERS[writer][3]
    page = not (copy or keep or writer == PLAN)  # what carries a mark
    no, sure, yes = (False, False), (False, True), (True, True)

    def put(content):
        return lambda test: target.write_bytes(content) and None

    def bring(source):
        return lambda test: test.copy_to(source, target)

    yield "nothing", lambda test: None, yes
    yield "an empty file", put(b"") , sure
    yield "a letter", put(LETTER), sure
    yield "a board sheet", put(OTHER_SHEET.encode()), sure
    yield "a recording (wav)", lambda test: write_sound(target, seconds=0.05, seed=3), sure
    for name, first in (("flac", b"fLaC"), ("ogg", b"OggS"), ("m4a", b"\0\0\0\x1cftypM4A "), ("mp3", b"ID3\4\0")):
        yield f"a recording ({name})", put(first + bytes(200)), sure
    for other in Fixture.own:
        if other == COPY:
            yield "a copy of this logbook", bring(Fixture.own[other]), yes if copy else no
        else:
            same = page and (other == writer or WRITERS[other][2] == WRITERS[writer][2])
            yield f"what {' '.join(other)} wrote", bring(Fixture.own[other]), yes if same else sure
    if page:
        own = Fixture.own[writer].read_bytes()
        mark = WRITERS[writer][2].format(version=Fixture.version).encode()
        yield "a page without its mark", put(own.replace(mark, b"")), sure
        yield "what another version wrote", put(own.replace(mark, mark.replace(Fixture.version.encode(), b"7.12.3"))), yes
        yield "a letter that holds the mark", put(LETTER + mark), sure

        def protect(test):
            target.write_bytes(own)
            target.chmod(0o444)
        yield "its own, write-protected", protect, no

        def link_to_own(test):
            (folder / "behind").write_bytes(own)
            target.symlink_to("behind")
        yield "a link to its own", link_to_own, yes
    if copy:
        def worked_in(test):
            test.copy_to(Fixture.own[COPY], target)
            done(folder, "unit", "add", "9", "--board", "heron.toml", "--logbook", target.name)
        yield "a copy with a record that the logbook lacks", worked_in, no

        def looked_into(test):
            test.copy_to(Fixture.own[COPY], target)
            done(folder, "unit", "list", "--logbook", target.name)
        yield "a copy that was looked into", looked_into, yes

        def corrected(test):
            test.copy_to(Fixture.own[COPY], target)
            done(folder, "unit", "rename", "7", "seven", "--logbook", target.name)
        yield "a copy in which something was corrected", corrected, sure

        def of_version_2(test):
            test.copy_to(Fixture.own[COPY], target)
            with sqlite3.connect(target) as book:
                book.executescript("DROP TABLE copy_made; ALTER TABLE take DROP COLUMN is_far; PRAGMA user_version = 2;")
            with sqlite3.connect(folder / "bench.logbook") as book:
                book.execute("DELETE FROM copy_made")
        yield "a copy of an earlier version", of_version_2, sure

        def open_elsewhere(test):
            test.copy_to(Fixture.own[COPY], target)
            pathlib.Path(str(target) + "-wal").write_bytes(b"7\x7f\6\x82" + bytes(60))
        yield "a copy that is in use", open_elsewhere, no

        def foreign_folder(test):
            pathlib.Path(str(target) + ".clips").mkdir()
            (pathlib.Path(str(target) + ".clips") / "holiday.jpg").write_bytes(b"sea")
        yield "nothing, beside a foreign folder", foreign_folder, no

        def foreign_store(test):
            pathlib.Path(str(target) + ".clips", "ab").mkdir(parents=True)
            pathlib.Path(str(target) + ".clips", "ab", "ab" + "0" * 62 + ".flac").write_bytes(b"fLaC")
        yield "nothing, beside recordings of another logbook", foreign_store, no
        yield "nothing, beside its own recordings", lambda test: shutil.copytree(away / "store", str(target) + ".clips") and None, yes
        yield "nothing, beside a file named as the folder", lambda test: pathlib.Path(str(target) + ".clips").write_bytes(LETTER) and None, no
        yield "nothing, beside a link to the logbook's recordings", lambda test: pathlib.Path(str(target) + ".clips").symlink_to("bench.logbook.clips"), no

        def link_to_copy(test):
            test.copy_to(Fixture.own[COPY], folder / "behind")
            target.symlink_to("behind")
        yield "a link to its own", link_to_copy, no
    yield "another logbook", bring(away / "foreign.logbook"), no
    yield "a copy of another logbook", bring(away / "foreign-copy.logbook"), no

    def other_database(test):
        with sqlite3.connect(target) as book:
            book.execute("CREATE TABLE bird (name TEXT)")
    yield "another program's database", other_database, no
    for read in reads:
        yield f"{read}, which it reads", lambda test, read=read: folder / read, no
        yield f"{read} in other words", lambda test, read=read: folder / "." / ".." / folder.name / read, no
        yield f"a hard link to {read}", lambda test, read=read: os.link(folder / read, target), no
        yield f"a link to {read}", lambda test, read=read: target.symlink_to(read), no
    yield "a file beside the logbook", lambda test: folder / "bench.logbook-journal", no
    yield "a place among the logbook's recordings", lambda test: folder / "bench.logbook.clips" / ("new" + ending), no
    yield "a folder", lambda test: target.mkdir(), no
    yield "a name that ends in a slash", lambda test: str(folder) + "/new/", no

    def link_to_folder(test):
        (folder / "behind").mkdir()
        target.symlink_to("behind")
    yield "a link to a folder", link_to_folder, no
    yield "a link that leads nowhere", lambda test: target.symlink_to("nowhere"), no
    yield "a link to itself", lambda test: target.symlink_to(target.name), no

    def link_to_letter(test):
        (folder / "behind").write_bytes(LETTER)
        target.symlink_to("behind")
    yield "a link to a letter", link_to_letter, (False, not copy)
    yield "a folder that is not there", lambda test: folder / "none" / ("out" + ending), no
    yield "a device", lambda test: target.symlink_to("/dev/null"), no if copy or keep else yes
    yield "a pipe", lambda test: os.mkfifo(target), no if copy or keep else yes
