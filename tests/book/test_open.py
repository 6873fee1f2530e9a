"""Opening: our own whole file of this version, or one message – and a foreign file is never touched."""

import sqlite3
import subprocess
import sys

import pytest

from defectlog.book.acts import writing
from defectlog.book.marks import APPLICATION_ID, SCHEMA_VERSION
from defectlog.book.migrations import migrations
from defectlog.book.open import open_book
from defectlog.errors import BookUnusable
from defectlog.records.kinds import Pattern


def refusal(path, **how):
    """The one problem that opening ends with."""
    with pytest.raises(BookUnusable) as caught:
        open_book(path, **how)
    assert caught.value.exit_code == 3
    [problem] = caught.value.problems
    assert problem.where == str(path)
    assert problem.found
    return problem


def test_a_new_book_is_ours_and_safe_against_power_cuts(book):
    assert book.value("PRAGMA application_id") == APPLICATION_ID
    assert book.value("PRAGMA user_version") == SCHEMA_VERSION
    assert book.value("PRAGMA journal_mode") == "wal"
    assert book.value("PRAGMA synchronous") == 2  # FULL
    assert book.value("PRAGMA foreign_keys") == 1


def test_every_step_is_counted(book):
    """The version in the file is the number of migrations, so that being behind is seen without importing them."""
    assert len(migrations._migrations) == SCHEMA_VERSION
    assert book.value("SELECT count(*) FROM _sqlite_migrations") == SCHEMA_VERSION


def test_an_empty_file_becomes_a_book(tmp_path):
    (tmp_path / "book.db").touch()
    with open_book(tmp_path / "book.db") as book:
        assert book.value("SELECT count(*) FROM mould") == 0


@pytest.mark.parametrize("content", [b"pattern,impressions\nP-1,4\n", b"\x00" * 200, b"SQLite format 2"])
def test_a_file_that_is_no_database_is_left_alone(tmp_path, content):
    path = tmp_path / "notes.csv"
    path.write_bytes(content)
    assert refusal(path).code == "book-foreign"
    assert path.read_bytes() == content


def test_another_programs_database_is_left_alone(tmp_path):
    path = tmp_path / "other.db"
    with sqlite3.connect(path) as other:
        other.execute("CREATE TABLE mould (id INTEGER)")
    other.close()
    before = path.read_bytes()
    assert refusal(path).code == "book-foreign"
    assert path.read_bytes() == before
    assert [item.name for item in tmp_path.iterdir()] == ["other.db"]


def test_a_book_from_a_newer_version_is_left_alone(tmp_path):
    path = tmp_path / "book.db"
    open_book(path).close()
    with sqlite3.connect(path) as later:
        later.execute(f"PRAGMA user_version = {SCHEMA_VERSION + 1}")
    later.close()
    assert refusal(path).code == "book-newer"


@pytest.mark.parametrize("name", ["50% sand?.db", "a#b.db", "ä b'c.db", "file:x?mode=ro.db"])
def test_a_name_with_signs_in_it_is_that_very_file(tmp_path, name):
    open_book(tmp_path / name).close()
    assert [item.name for item in tmp_path.iterdir()] == [name]
    open_book(tmp_path / name, read_only=True).close()


def test_a_folder_that_is_not_there(tmp_path):
    assert refusal(tmp_path / "away" / "book.db").code == "book-folder"


def test_a_folder_in_place_of_a_book(tmp_path):
    assert refusal(tmp_path).code == "book-foreign"


def test_a_book_that_is_not_there_is_not_made_by_reading(tmp_path):
    assert refusal(tmp_path / "book.db", create=False).code == "book-missing"
    assert refusal(tmp_path / "book.db", read_only=True).code == "book-missing"
    assert list(tmp_path.iterdir()) == []


def test_a_torn_book_is_said_to_be_torn(tmp_path):
    path = tmp_path / "book.db"
    open_book(path).close()
    whole = path.read_bytes()
    path.write_bytes(whole[:100] + b"\xff" * (len(whole) - 100))
    with pytest.raises(BookUnusable) as caught, open_book(path) as book:
        book.value("SELECT count(*) FROM mould")
    assert caught.value.problems[0].code == "book-torn"


def test_a_locked_book_is_waited_for_and_then_said(book):
    with writing(book, "held open") as act:
        act.add(Pattern(pattern="P-1", impressions=4))
        with (
            open_book(book.path, wait_seconds=0.05) as other,
            pytest.raises(BookUnusable) as caught,
            writing(other, "second"),
        ):
            pass
    assert caught.value.problems[0].code == "book-locked"


def test_reading_goes_on_while_another_writes(book):
    with writing(book, "held open") as act:
        act.add(Pattern(pattern="P-1", impressions=4))
        with open_book(book.path, read_only=True, wait_seconds=0.05) as other:
            assert other.value("SELECT count(*) FROM pattern") == 0


def test_a_book_opened_for_reading_is_not_written(book):
    with open_book(book.path, read_only=True) as reader, pytest.raises(BookUnusable) as caught, writing(reader, "x"):
        pass
    assert caught.value.problems[0].code == "book-read-only"


def test_an_older_book_is_copied_and_then_brought_up_to_date(book):
    """As before its first step: the version in the file says so. Everything in it is kept, and so is the old file."""
    with writing(book, "pattern add") as act:
        act.add(Pattern(pattern="P-1", impressions=4))
    book.connection.execute("PRAGMA user_version = 0")
    book.close()
    with open_book(book.path) as again:
        assert again.value("PRAGMA user_version") == SCHEMA_VERSION
        assert again.rows("SELECT pattern, impressions FROM pattern") == [("P-1", 4)]
    [copy] = book.path.parent.glob("book.db.shape-0-*.bak")
    with sqlite3.connect(copy) as old:
        assert old.execute("SELECT pattern FROM pattern").fetchall() == [("P-1",)]
    old.close()


def test_a_step_that_fails_leaves_the_book_as_it_was(tmp_path, monkeypatch):
    path = tmp_path / "book.db"
    monkeypatch.setattr("defectlog.book.migrations.statements", lambda _: ["CREATE TABLE half (id)", "CREATE nonsense"])
    with pytest.raises(sqlite3.OperationalError):
        open_book(path)
    monkeypatch.undo()
    with open_book(path) as book:
        assert book.rows("SELECT name FROM sqlite_master WHERE name = 'half'") == []


def test_the_hot_path_imports_no_migrations_and_no_tables(tmp_path):
    open_book(tmp_path / "book.db").close()
    script = (
        "import sys\n"
        "from defectlog.book import acts, histories, learned, names, open, records\n"
        f"open.open_book({str(tmp_path / 'book.db')!r}).close()\n"
        "heavy = {'sqlite_utils', 'pandas', 'numpy', 'rapidfuzz', 'rich', 'pydantic'} & set(sys.modules)\n"
        "sys.exit(f'imported: {heavy}' if heavy else 0)\n"
    )
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
