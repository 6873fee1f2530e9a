"""The tables hold what the kinds say, and the file itself refuses whatever would leave no trace."""

import sqlite3

import pytest

from defectlog.book.acts import writing
from defectlog.book.tables import TABLES, WORKED_OUT
from defectlog.records.kinds import KINDS, Finding, Mould, Pattern

WINDOW = "counted = 1 AND cast_at >= '2026' AND cast_at < '2027'"
AFFINITY = {"number": "REAL", "count": "INTEGER", "yes_no": "INTEGER"}


def test_every_kind_has_its_table():
    assert {table.kind for table in TABLES} >= set(KINDS)


@pytest.mark.parametrize("table", TABLES, ids=lambda table: table.name)
def test_a_table_has_a_column_for_each_field_and_no_other(book, table):
    columns = {row[1]: (row[2], bool(row[3])) for row in book.rows(f"PRAGMA table_info({table.name})")}
    kept = {"id", "added_by", "withdrawn_by", *WORKED_OUT.get(table.name, ())}
    assert set(columns) == {table.column(spec.name) for spec in table.specs} | kept
    for spec in table.specs:
        kind = "INTEGER" if spec.name in table.links else AFFINITY.get(spec.holds, "TEXT")
        assert columns[table.column(spec.name)] == (kind, spec.required), spec.name


@pytest.mark.parametrize("table", TABLES, ids=lambda table: table.name)
def test_every_cell_of_a_row_is_watched(book, table):
    """The trigger that writes the journal names each column: one that it forgot could change unseen."""
    [(sql,)] = book.rows("SELECT sql FROM sqlite_master WHERE name = ?", (f"{table.name}_changed",))
    watched = {row[1] for row in book.rows(f"PRAGMA table_info({table.name})")} - {
        "id",
        "added_by",
        "cast_at",
        "counted",
    }
    assert all(f"'{column}'" in sql for column in watched)


@pytest.fixture
def shop(book):
    with writing(book, "start") as act:
        act.add(Pattern(pattern="P-1", impressions=4))
        act.add(Mould(mould="M-1", pattern="P-1"))
        act.add(Finding(mould="M-1", seen="holes"))
    return book


@pytest.mark.parametrize(
    "sql",
    [
        "UPDATE mould SET pour_c = 700",
        "INSERT INTO pattern (pattern, impressions, added_by) VALUES ('P-2', 4, 1)",
        "DELETE FROM finding",
        "DELETE FROM act",
        "DELETE FROM added",
        "UPDATE act SET who = 'another'",
        "UPDATE added SET last_row = 9",
        "UPDATE mould SET id = 9",
    ],
)
def test_another_program_cannot_change_it_without_a_trace(shop, sql):
    """Straight SQL, as any tool may send it, is refused by the file."""
    with sqlite3.connect(shop.path) as stranger, pytest.raises(sqlite3.IntegrityError):
        stranger.execute(sql)
    stranger.close()


def test_the_journal_itself_is_only_added_to(shop):
    with writing(shop, "amend") as act:
        act.amend(Mould, "M-1", {"pour_c": 700.0})
    for sql in ("UPDATE change SET was = 1", "DELETE FROM change"):
        with pytest.raises(sqlite3.IntegrityError, match="only added to"):
            shop.connection.execute(sql)


@pytest.mark.parametrize(
    ("sql", "index"),
    [
        (f"SELECT count(*), sum(castings_in_it) FROM mould WHERE {WINDOW}", "COVERING INDEX mould_by_day"),
        (f"SELECT sum(castings_in_it) FROM mould WHERE pattern = 'P' AND {WINDOW}", "COVERING INDEX mould_by_pattern"),
        (f"SELECT * FROM mould WHERE pattern = 'P' AND {WINDOW} ORDER BY cast_at", "INDEX mould_by_pattern"),
        ("SELECT * FROM finding WHERE mould_id = 7", "INDEX finding_by_mould"),
        ("SELECT * FROM mould WHERE mould = 'M-1' AND withdrawn_by IS NULL", "INDEX mould_key"),
        ("SELECT * FROM change WHERE kind = 'mould' AND row = 7", "INDEX change_by_row"),
    ],
)
def test_one_window_is_read_from_an_index(book, sql, index):
    [plan, *more] = book.rows(f"EXPLAIN QUERY PLAN {sql}")
    assert index in plan[3]
    assert more == []
