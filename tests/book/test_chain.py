"""The seals: what was written by the program agrees with them, what was changed behind its back does not."""

import hashlib
import json
import sqlite3
from datetime import datetime

import pytest

from defectlog.book.acts import writing
from defectlog.book.checking import check_book
from defectlog.book.records import find
from defectlog.book.soundness import file_problems, sealed_from
from defectlog.book.undo import undo
from defectlog.records.kinds import Finding, Heat, Mould, Pattern


@pytest.fixture
def shop(book):
    """Added, amended twice, moved by its card, withdrawn, undone and had back."""
    with writing(book, "start", who="Ann") as act:
        act.add(Pattern(pattern="P-1", impressions=4, name="größe"))
        act.add(Heat(heat="H-1", melted_at=datetime(2026, 3, 2, 9)))
        act.add(Mould(mould="M-1", pattern="P-1", heat="H-1", pour_c=720.0))
        act.add(Finding(mould="M-1", seen="holes"))
        act.amend(Mould, "M-1", {"pour_c": 721.5})
    for value in (730.0, 712.0):
        with writing(book, "mould amend M-1") as act:
            act.amend(Mould, "M-1", {"pour_c": value})
    with writing(book, "pattern amend P-1") as act:
        act.amend(Pattern, "P-1", {"impressions": 6})
    with writing(book, "withdraw") as act:
        act.withdraw(Finding, find(book, Finding)[0].row)
    undo(book)
    undo(book, 6)
    return book


def by_hand(path, *statements):
    """As somebody would with a database tool: the triggers taken out first."""
    with sqlite3.connect(path, isolation_level=None) as stranger:
        stranger.execute("PRAGMA foreign_keys = off")
        for (name,) in stranger.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'").fetchall():
            stranger.execute(f"DROP TRIGGER {name}")
        for sql in statements:
            stranger.execute(sql)
    stranger.close()


def broken(book):
    return [(problem.code, problem.where) for problem in check_book(book)]


def test_what_the_program_wrote_agrees_with_its_seals(shop):
    assert file_problems(shop) == []
    acts, late, last = sealed_from(shop)
    assert (acts, late, len(last)) == (7, 0, 64)


def test_the_seal_is_the_published_digest_of_lines_anybody_can_make(book):
    """SHA-256 as in FIPS 180-4 by hashlib; the lines written out by hand from the description in chain.py."""
    with writing(book, "heat add H-1", who="Ann", token="t1") as act:
        act.add(Heat(heat="H-1", melted_at=datetime(2026, 3, 2, 9), returns_pct=40.0))
    at = book.value("SELECT at FROM act")
    lines = [
        "",
        json.dumps([1, "t1", "Ann", at, "heat add H-1", None, None], separators=(",", ":")),
        '["heat",1,1]',
        '{"added_by":1,"heat":"H-1","id":1,"melted_at":"2026-03-02T09:00","returns_pct":40.0}',
        "",
    ]
    whole = "".join(f"{line}\n" for line in lines)
    assert book.value("SELECT digest FROM chain") == hashlib.sha256(whole.encode("ascii")).hexdigest()


@pytest.mark.parametrize(
    ("statement", "where"),
    [
        ("UPDATE heat SET returns_pct = 50", "act 1"),
        ("UPDATE mould SET made_at = '2026-03-01', cast_at = '2026-03-01' WHERE id = 1", "act 1"),
        ("UPDATE act SET who = 'Bo' WHERE id = 1", "act 1"),
        ("UPDATE act SET at = '2020-01-01T00:00:00Z' WHERE id = 3", "act 3"),
        ("UPDATE change SET was = 700.0 WHERE act = 3", "act 3"),
        ("UPDATE chain SET digest = 'f00' WHERE act = 2", "act 2"),
        ("DELETE FROM change WHERE act = 4", "act 4"),
        ("DELETE FROM chain WHERE act = 7", "act 7"),
        ("UPDATE mould SET pour_c = 690", "mould M-1"),
        ("UPDATE finding SET withdrawn_by = 5", "finding on M-1 (no. 1)"),
        ("INSERT INTO heat (heat, melted_at, added_by) VALUES ('H-2', '2026-03-02', 1)", "table heat"),
        ("DELETE FROM finding", "act 1"),
    ],
)
def test_a_hand_edit_is_found_and_placed(shop, statement, where):
    by_hand(shop.path, statement)
    assert ("journal-broken", where) in broken(shop)


def test_an_act_that_was_taken_out_is_missed(shop):
    by_hand(shop.path, *(f"DELETE FROM {table} WHERE act = 3" for table in ("change", "chain")))
    by_hand(shop.path, "DELETE FROM act WHERE id = 3")
    assert any("the acts from 3 to 3 are not in the journal" in problem.found for problem in check_book(shop))


def test_the_last_seal_tells_a_book_whose_end_was_cut_off(shop):
    """Cutting off the last acts breaks nothing inside; the seal that a backup printed is no longer there."""
    _, _, last = sealed_from(shop)
    by_hand(shop.path, "DELETE FROM change WHERE act = 7", "UPDATE finding SET withdrawn_by = NULL")
    by_hand(shop.path, "DELETE FROM chain WHERE act = 7", "DELETE FROM act WHERE id = 7")
    by_hand(shop.path, "DELETE FROM added WHERE act = 7")
    assert file_problems(shop) == []
    assert sealed_from(shop)[2] != last


def test_an_act_without_its_seal_is_refused_by_the_file_itself(shop):
    with sqlite3.connect(shop.path, isolation_level=None) as stranger:
        stranger.execute("BEGIN")
        stranger.execute("INSERT INTO act (token, at, command) VALUES ('x', '2026-03-02T09:00:00Z', 'by hand')")
        stranger.execute("INSERT INTO acting (only, act) SELECT 1, max(id) FROM act")
        with pytest.raises(sqlite3.IntegrityError, match="an act ends with its seal"):
            stranger.execute("DELETE FROM acting")
        stranger.execute("ROLLBACK")
    stranger.close()


def test_the_seals_are_only_added_to(shop):
    for sql in ("UPDATE chain SET late = 1", "DELETE FROM chain"):
        with pytest.raises(sqlite3.IntegrityError, match="only added to"):
            shop.connection.execute(sql)


def test_numbers_are_sealed_as_the_book_gives_them_back(book):
    """A whole number in a column of numbers comes back with its point; a minus nought as nought."""
    with writing(book, "start") as act:
        act.add(Pattern(pattern="P-1", impressions=4, casting_kg=2, draft_deg=-0.0, min_section_mm=1e-17))
        act.add(Pattern(pattern="P-\U0001f525\ud7ff", impressions=4, note="\u202e[31m\n\tx"))
    assert file_problems(book) == []
