"""Discs that are full, cannot be written, or are copied from while the book is in use."""

import os
import shutil
import sqlite3
import subprocess
import sys

import pytest

from defectlog.book import open as opening
from defectlog.book.acts import writing
from defectlog.book.backup import backup
from defectlog.book.checking import check_book
from defectlog.book.open import open_book
from defectlog.book.restoring import restore
from defectlog.book.soundness import file_problems
from defectlog.errors import BookUnusable
from defectlog.records.kinds import Mould, Pattern

# The program with a largest size of any file it writes, as a quota or a full disc sets one.
LIMITED = (
    "import resource, sys; from defectlog.cli.main import main;"
    "resource.setrlimit(resource.RLIMIT_FSIZE, (int(sys.argv[1]), int(sys.argv[1]))); main(sys.argv[2:])"
)


def add(book, name, note=None):
    with writing(book, f"pattern add {name}") as act:
        act.add(Pattern(pattern=name, impressions=1, note=note))


def test_a_full_disc_is_said_and_nothing_is_written(book):
    """SQLite is told that there are no more pages: it then says what it says of a full disc."""
    add(book, "P-1")
    pages = book.value("PRAGMA page_count")
    book.value(f"PRAGMA max_page_count = {pages}")
    with pytest.raises(BookUnusable) as caught:
        add(book, "P-2", note="x" * 30_000)
    assert caught.value.problems[0].code == "book-full"
    assert "nothing was written" in caught.value.problems[0].next_step
    book.value("PRAGMA max_page_count = 1000000")
    assert book.rows("SELECT pattern FROM pattern") == [("P-1",)]
    assert file_problems(book) == []
    add(book, "P-2")


@pytest.mark.parametrize(("limit", "code"), [(40_000, 3), (64_000, 3), (250_000, 0)])
def test_a_write_that_fails_half_way_is_one_message_and_leaves_the_book_sound(book, limit, code):
    """The third limit lets the act into the log and not into the file behind it: it is in all the same."""
    add(book, "P-1")
    book.close()
    assert book.path.stat().st_size < 250_000
    long = [word for name in ("--note", "--name", "--alloy") for word in (name, "x" * 30_000)]
    words = ["--book", str(book.path), "pattern", "add", "P-2", "--impressions", "4", *long]
    done = subprocess.run(
        [sys.executable, "-c", LIMITED, str(limit), *words], capture_output=True, text=True, check=False,
        env={**os.environ, "PYTHONDONTWRITEBYTECODE": "1"},
    )  # fmt: skip
    assert done.returncode == code, done.stderr
    assert "Traceback" not in done.stderr
    assert (str(book.path) in done.stderr, done.stdout == "") == (code == 3, code == 3)
    with open_book(book.path) as again:
        assert again.value("SELECT count(*) FROM pattern") == (1 if code else 2)
        assert file_problems(again) == []


def test_a_book_that_may_only_be_read_is_read_and_not_written(book, monkeypatch):
    """Whoever runs the tests may be allowed everything: SQLite is told to open the file for reading."""
    add(book, "P-1")
    real = opening.address_of
    monkeypatch.setattr(opening, "address_of", lambda path, _mode: real(path, "ro"))
    with open_book(book.path) as locked:
        assert locked.value("SELECT count(*) FROM pattern") == 1
        with pytest.raises(BookUnusable) as caught:
            add(locked, "P-2")
    assert caught.value.problems[0].code == "book-read-only"


def test_a_book_in_a_folder_that_may_not_be_written_is_read(book, monkeypatch):
    """There SQLite cannot lay its index beside the book: as on a disc that is read only."""
    add(book, "P-1")
    book.close()
    real = sqlite3.connect

    class Locked(sqlite3.Connection):
        def execute(self, sql, *values):
            if sql == "PRAGMA user_version" and "immutable" not in self.address:
                raise failure
            return super().execute(sql, *values)

    failure = sqlite3.OperationalError("attempt to write a readonly database")
    failure.sqlite_errorname = "SQLITE_READONLY_DIRECTORY"

    def connect(address, **how):
        connection = real(address, factory=Locked, **how)
        connection.address = address
        return connection

    monkeypatch.setattr(opening.os, "access", lambda *_: False)
    monkeypatch.setattr(opening.sqlite3, "connect", connect)
    with open_book(book.path, create=False) as locked:
        assert locked.read_only
        assert locked.value("SELECT count(*) FROM pattern") == 1
        assert check_book(locked) == []
        with pytest.raises(BookUnusable) as caught:
            add(locked, "P-2")
    assert caught.value.problems[0].code == "book-read-only"
    book.path.with_name("book.db-wal").write_bytes(b"somebody has it open")
    with pytest.raises(BookUnusable):
        open_book(book.path, create=False)


def test_a_disc_that_is_full_leaves_no_half_backup(book, tmp_path, monkeypatch):
    add(book, "P-1")

    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("defectlog.book.backup.looked_over", full)
    with pytest.raises(BookUnusable) as caught:
        backup(book, tmp_path / "copy.db")
    assert caught.value.problems[0].code == "book-full"
    assert [path.name for path in tmp_path.iterdir() if path.name.startswith("copy")] == []


def test_files_copied_while_an_act_is_under_way_are_the_book_before_it(book, tmp_path):
    """The book and its log copied by hand, as a backup program of the machine does it."""
    add(book, "P-1")
    with writing(book, "under way") as act:
        for number in range(200):
            act.add(Pattern(pattern=f"Q-{number}", impressions=1, note="x" * 2000))
        for ending in ("", "-wal"):
            shutil.copy(f"{book.path}{ending}", f"{tmp_path / 'copied.db'}{ending}")
    with open_book(tmp_path / "copied.db") as copied:
        assert copied.rows("SELECT pattern FROM pattern") == [("P-1",)]
        assert file_problems(copied) == []
    restored = restore(tmp_path / "copied.db", tmp_path / "again.db")
    assert restored.rows["pattern"] == 1


def test_a_book_cut_off_is_refused_and_left_as_it_is(book, tmp_path):
    with writing(book, "start") as act:
        act.add(Pattern(pattern="P-1", impressions=1))
        for number in range(2000):
            act.add(Mould(mould=f"M-{number}", pattern="P-1"))
    backup(book, tmp_path / "copy.db")
    book.close()
    whole = book.path.read_bytes()
    for part in (200, 5000, len(whole) // 2):
        book.path.write_bytes(whole[:part])
        with pytest.raises(BookUnusable) as caught, open_book(book.path) as torn:
            torn.rows("SELECT * FROM mould")
        assert caught.value.problems[0].code == "book-torn"
        assert f"defectlog restore {tmp_path / 'copy.db'}" in caught.value.problems[0].next_step
        assert book.path.read_bytes() == whole[:part]
