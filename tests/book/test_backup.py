"""A copy is only a backup when it was looked over; restoring never loses acts unsaid."""

import pytest

from defectlog.book.acts import writing
from defectlog.book.backup import backup, restore
from defectlog.book.open import open_book
from defectlog.errors import BadInput, BookUnusable
from defectlog.records.kinds import Pattern


def add(book, name):
    with writing(book, f"pattern add {name}") as act:
        act.add(Pattern(pattern=name, impressions=4))


def names(path):
    with open_book(path, read_only=True) as book:
        return [name for (name,) in book.rows("SELECT pattern FROM pattern ORDER BY id")]


def test_a_backup_is_whole_and_one_file(book, tmp_path):
    add(book, "P-1")
    copied = backup(book, tmp_path / "copy.db")
    assert copied.rows["pattern"] == 1
    assert copied.acts == 1
    assert names(copied.path) == ["P-1"]
    assert sorted(item.name for item in tmp_path.glob("copy*")) == ["copy.db"]


def test_a_backup_is_taken_while_the_book_is_being_written(book, tmp_path):
    """The copy shows the book as it stood before the act under way."""
    add(book, "P-1")
    with open_book(book.path) as other, writing(other, "under way") as act:
        act.add(Pattern(pattern="P-2", impressions=1))
        backup(book, tmp_path / "copy.db")
    assert names(tmp_path / "copy.db") == ["P-1"]


def test_a_file_that_is_there_is_not_replaced_unsaid(book, tmp_path):
    target = tmp_path / "copy.db"
    target.write_text("mine")
    with pytest.raises(BadInput) as caught:
        backup(book, target)
    assert caught.value.problems[0].code == "backup-there"
    assert target.read_text() == "mine"
    backup(book, target, replace=True)
    assert names(target) == []


def test_no_folder_for_the_backup(book, tmp_path):
    with pytest.raises(BadInput) as caught:
        backup(book, tmp_path / "away" / "copy.db")
    assert caught.value.problems[0].code == "folder-missing"


def test_restoring_to_a_new_place(book, tmp_path):
    add(book, "P-1")
    backup(book, tmp_path / "copy.db")
    restored = restore(tmp_path / "copy.db", tmp_path / "again.db")
    assert restored.rows["pattern"] == 1
    add_to = open_book(tmp_path / "again.db")
    add(add_to, "P-2")
    add_to.close()
    assert names(tmp_path / "again.db") == ["P-1", "P-2"]


def test_restoring_says_what_would_be_lost_and_keeps_it_when_forced(book, tmp_path):
    add(book, "P-1")
    backup(book, tmp_path / "copy.db")
    add(book, "P-2")
    book.close()
    with pytest.raises(BadInput) as caught:
        restore(tmp_path / "copy.db", book.path)
    assert caught.value.problems[0].code == "restore-would-lose"
    assert "1 acts" in caught.value.problems[0].found
    assert "pattern add P-2" in caught.value.problems[0].found
    restore(tmp_path / "copy.db", book.path, force=True)
    assert names(book.path) == ["P-1"]
    assert names(book.path.with_name("book.db.before-restore")) == ["P-1", "P-2"]


def test_a_file_that_is_no_backup_is_not_restored(book, tmp_path):
    other = tmp_path / "notes.txt"
    other.write_text("not a book")
    with pytest.raises(BookUnusable) as caught:
        restore(other, book.path)
    assert caught.value.problems[0].code == "book-foreign"
