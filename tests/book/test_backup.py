"""A copy is only a backup when it was looked over; restoring never loses acts unsaid."""

import shutil
import sqlite3
from pathlib import Path

import pytest

from defectlog.book.acts import writing
from defectlog.book.backup import backup
from defectlog.book.copies import last_copy, way_back
from defectlog.book.marks import SCHEMA_VERSION
from defectlog.book.open import open_book
from defectlog.book.photos import folder_of, keep, photos_in, read_photo
from defectlog.book.restoring import restore
from defectlog.errors import BadInput, BookUnusable
from defectlog.records.kinds import Pattern
from tests.book.test_pictures import jpeg

OLD = Path(__file__).parents[1] / "history" / "m001.db"


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
    assert "1 act of" in caught.value.problems[0].found
    assert "pattern add P-2" in caught.value.problems[0].allowed
    restored = restore(tmp_path / "copy.db", book.path, force=True)
    assert names(book.path) == ["P-1"]
    assert restored.kept.name.startswith("book.db.before-restore-")
    assert names(restored.kept) == ["P-1", "P-2"]


def test_what_a_restore_would_lose_is_put_in_few_words(book, tmp_path):
    backup(book, tmp_path / "copy.db")
    for number in range(8):
        add(book, f"P-{number}")
    with pytest.raises(BadInput) as caught:
        restore(tmp_path / "copy.db", book.path)
    [problem] = caught.value.problems
    assert "8 acts of this book are not in the backup" in problem.found
    assert "pattern add P-7" in problem.allowed
    assert "and 3 before that" in problem.allowed
    assert len(names(book.path)) == 8


def test_a_backup_of_an_older_shape_is_put_back_and_brought_up_to_date(tmp_path):
    shutil.copy(OLD, tmp_path / "stick.db")
    before = (tmp_path / "stick.db").read_bytes()
    restored = restore(tmp_path / "stick.db", tmp_path / "book.db")
    assert restored.acts == 13
    with open_book(tmp_path / "book.db", read_only=True) as book:
        assert book.value("PRAGMA user_version") == SCHEMA_VERSION
    assert (tmp_path / "stick.db").read_bytes() == before


@pytest.mark.parametrize("content", [b"letter", b"SQLite format 3\x00" + b"\xff" * 5000, "torn"])
def test_a_damaged_book_is_only_put_aside_when_told_to(book, tmp_path, content):
    add(book, "P-1")
    backup(book, tmp_path / "copy.db")
    book.close()
    if content == "torn":
        whole = book.path.read_bytes()
        content = whole[:4096] + b"\xff" * (len(whole) - 4096)
    book.path.write_bytes(content)
    with pytest.raises(BookUnusable) as opened, open_book(book.path) as torn:
        torn.rows("SELECT * FROM pattern")
    assert "defectlog restore" in opened.value.problems[0].next_step
    assert str(tmp_path / "copy.db") in opened.value.problems[0].next_step
    with pytest.raises(BadInput) as caught:
        restore(tmp_path / "copy.db", book.path)
    assert caught.value.problems[0].code == "restore-would-lose"
    assert "the backup has 1 acts" in caught.value.problems[0].allowed
    assert book.path.read_bytes() == content
    restored = restore(tmp_path / "copy.db", book.path, force=True)
    assert restored.kept.read_bytes() == content
    assert names(book.path) == ["P-1"]


def test_a_book_of_a_later_program_is_not_restored_over(book, tmp_path):
    backup(book, tmp_path / "copy.db")
    book.connection.execute(f"PRAGMA user_version = {SCHEMA_VERSION + 1}")
    book.close()
    with pytest.raises(BookUnusable) as caught:
        restore(tmp_path / "copy.db", book.path, force=True)
    assert caught.value.problems[0].code == "book-newer"


def test_the_book_itself_is_neither_its_backup_nor_restored_from_itself(book, tmp_path):
    for how in (lambda: backup(book, book.path, replace=True), lambda: restore(book.path, book.path, force=True)):
        with pytest.raises(BadInput) as caught:
            how()
        assert caught.value.problems[0].code == "backup-onto-itself"
    with pytest.raises(BadInput) as caught:
        backup(book, tmp_path)
    assert caught.value.problems[0].code == "backup-there"


def test_photos_go_with_the_book_both_ways(book, tmp_path):
    picture = tmp_path / "one.jpg"
    picture.write_bytes(jpeg())
    photo = read_photo(picture)
    keep(book.path, photo)
    copied = backup(book, tmp_path / "copy.db")
    assert copied.photos == 1
    (folder_of(book.path) / photo.name).write_bytes(b"damaged")
    restored = restore(tmp_path / "copy.db", book.path)
    assert restored.photos == 1
    assert (folder_of(book.path) / photo.name).read_bytes() == photo.content
    assert restore(tmp_path / "copy.db", tmp_path / "new.db").photos == 1
    assert photos_in(folder_of(tmp_path / "new.db"))


def test_a_backup_is_plain_sqlite_that_needs_no_program_of_ours(book, tmp_path):
    add(book, "P-1")
    backup(book, tmp_path / "copy.db")
    with sqlite3.connect(tmp_path / "copy.db") as anybody:
        assert anybody.execute("PRAGMA journal_mode").fetchone() == ("delete",)
        assert anybody.execute("SELECT pattern, impressions FROM pattern").fetchall() == [("P-1", 4)]
        assert anybody.execute("SELECT command FROM act").fetchall() == [("pattern add P-1",)]
    anybody.close()


def test_many_programs_writing_do_not_hold_up_a_backup(book, tmp_path):
    """A copy in several steps, an act of another program between each two: one snapshot, not begun again."""
    with writing(book, "many") as act:
        for number in range(3000):
            act.add(Pattern(pattern=f"P-{number}", impressions=1, note="x" * 3000))
    steps = []

    def tell(what, done, _of):
        if what == "copying":
            steps.append(done)
            with open_book(book.path) as other:
                add(other, f"Q-{len(steps)}")

    assert backup(book, tmp_path / "copy.db", tell=tell).rows["pattern"] == 3000
    assert len(steps) > 1
    assert steps == sorted(set(steps))


def test_the_last_backups_are_noted_beside_the_book(book, tmp_path):
    assert last_copy(book.path) is None
    assert way_back(book.path) == "keep the file, and restore a backup: defectlog restore FILE"
    backup(book, tmp_path / "on the stick.db")
    when, path = last_copy(book.path)
    assert path == tmp_path / "on the stick.db"
    assert way_back(book.path) == f'keep the file; the last backup is of {when}: defectlog restore "{path}"'
    path.unlink()
    assert last_copy(book.path) is None


def test_a_file_that_is_no_backup_is_not_restored(book, tmp_path):
    other = tmp_path / "notes.txt"
    other.write_text("not a book")
    with pytest.raises(BookUnusable) as caught:
        restore(other, book.path)
    assert caught.value.problems[0].code == "book-foreign"
