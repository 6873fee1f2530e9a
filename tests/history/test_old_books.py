"""Books of every shape there ever was, kept as files: brought up to date they count as a fresh book of the same sheets.

m001.db was written by the program when the first shape was its only one, by an import, amendments, shakeouts and
undoings; m001/ is its export, made then. m002.db holds the same and more that came after, written when acts had seals
and days their sums.
"""

import csv
import shutil
import sqlite3
from datetime import date
from pathlib import Path

import pytest

from defectlog.book.checking import check_book
from defectlog.book.days import SUMS
from defectlog.book.histories import pattern_history, shop_usual
from defectlog.book.journal import history, last_acts
from defectlog.book.marks import SCHEMA_VERSION
from defectlog.book.open import open_book
from defectlog.book.soundness import sealed_from
from defectlog.book.undo import undo
from defectlog.errors import BookUnusable
from defectlog.records.kinds import Mould
from defectlog.sheets.load import import_folder
from defectlog.sheets.write import export_folder

HERE = Path(__file__).parent
WINDOW = date(2026, 1, 1), date(2026, 12, 31)


def rows_of(folder):
    """Sheet → its filled cells, row by row, so that a column that came later makes no difference while it is empty."""
    found = {}
    for path in sorted(folder.glob("*.csv")):
        with path.open(encoding="utf-8-sig", newline="") as file:
            found[path.name] = [{name: text for name, text in row.items() if text} for row in csv.DictReader(file)]
    return found


@pytest.fixture(params=["m001", "m002"])
def old(request, tmp_path):
    path = tmp_path / "book.db"
    shutil.copy(HERE / f"{request.param}.db", path)
    return path, HERE / request.param


def test_an_old_book_gives_the_sheets_it_gave_then(old, tmp_path):
    path, sheets = old
    with open_book(path) as book:
        assert book.value("PRAGMA user_version") == SCHEMA_VERSION
        export_folder(book, tmp_path / "now")
    assert rows_of(tmp_path / "now") == rows_of(sheets)


def test_an_old_book_counts_as_a_fresh_one_of_its_sheets(old, tmp_path):
    path, sheets = old
    with open_book(path) as book, open_book(tmp_path / "fresh.db") as fresh:
        import_folder(fresh, sheets)
        for name in SUMS:
            assert sorted(book.rows(f"SELECT * FROM {name}")) == sorted(fresh.rows(f"SELECT * FROM {name}"))
        for pattern in ("P-104", "P-7"):
            one, other = (pattern_history(item, pattern, *WINDOW) for item in (book, fresh))
            assert one.moulds == other.moulds
            assert [seen.defect for seen in one.findings] == [seen.defect for seen in other.findings]
        one, other = (shop_usual(item, *WINDOW) for item in (book, fresh))
        assert (one.bad, dict(one.days), one.readings) == (other.bad, dict(other.days), other.readings)


def test_an_old_book_has_the_same_shape_as_a_fresh_one(old, tmp_path):
    path, _ = old

    def shape(book):
        return sorted(book.rows("SELECT type, name, sql FROM sqlite_master WHERE name NOT LIKE 'sqlite_%'"))

    with open_book(path) as book, open_book(tmp_path / "fresh.db") as fresh:
        assert shape(book) == shape(fresh)


def test_its_journal_is_whole_and_says_from_where_it_is_sealed(old):
    """Acts that are older than the seals were sealed when the book was brought up to date."""
    path, sheets = old
    with open_book(path) as book:
        acts = len(last_acts(book, 1000))
        late = {"m001": acts, "m002": 0}[sheets.name]
        assert sealed_from(book)[:2] == (acts, late)
        assert [problem.code for problem in check_book(book)] == ["off-scale", "off-scale"]
        entries = [(entry.field, entry.was, entry.became) for entry in history(book, Mould, "M-228")]
        assert entries[1:3] == [("pour_c", 718.0, 731.0), ("pour_c", 731.0, 729.0)]
        last = last_acts(book, 1)[0]
        undo(book)
        assert sealed_from(book)[:2] == (acts + 1, late)
        table = {"m001": "word", "m002": "mould"}[sheets.name]
        assert book.value(f"SELECT added_by FROM {table} WHERE withdrawn_by IS NOT NULL ORDER BY id DESC") == last.id


def test_the_old_book_is_kept_beside_the_new_one(old):
    path, _ = old
    before = sqlite3.connect(path)
    dump = list(before.iterdump())
    before.close()
    open_book(path).close()
    [kept] = path.parent.glob("book.db.shape-*.bak")
    copy = sqlite3.connect(kept)
    assert list(copy.iterdump()) == dump
    copy.close()


def test_a_hand_edit_before_the_seals_is_not_sealed_as_if_it_were_right(old):
    """The trail of changes tells it all the same: the last change and the cell must agree."""
    path, _ = old
    with sqlite3.connect(path) as stranger:
        stranger.execute("DROP TRIGGER mould_changed")
        stranger.execute("UPDATE mould SET pour_c = 650 WHERE mould = 'M-228'")
    stranger.close()
    with open_book(path) as book:
        assert ("journal-broken", "mould M-228") in {(item.code, item.where) for item in check_book(book)}


def test_a_book_of_a_later_program_is_refused_and_left_as_it_is(old):
    path, _ = old
    with sqlite3.connect(path) as later:
        later.execute(f"PRAGMA user_version = {SCHEMA_VERSION + 1}")
    later.close()
    before = path.read_bytes()
    with pytest.raises(BookUnusable) as caught:
        open_book(path)
    [problem] = caught.value.problems
    assert problem.code == "book-newer"
    assert "install a newer defectlog" in problem.next_step
    assert path.read_bytes() == before


def test_every_shape_before_this_one_is_kept_here():
    """With the next migration a book of today's shape is to be put in this folder."""
    kept = {path.stem for path in HERE.glob("m*.db")}
    assert kept == {f"m{number:03d}" for number in range(1, SCHEMA_VERSION)}
