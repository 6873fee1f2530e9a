"""The whole book through the checks of records/checks.py: every problem, by mould; and the file through its own."""

from collections.abc import Iterator
from datetime import date
from typing import Any, TypeVar

from defectlog.book.open import Book, troubles
from defectlog.book.photos import photo_problems
from defectlog.book.progress import Tell, quietly
from defectlog.book.records import window
from defectlog.book.rows import label
from defectlog.book.soundness import file_problems
from defectlog.book.tables import Table, quoted, record_from, select, table_of
from defectlog.errors import Problem
from defectlog.records.checks import MouldCase, check_mould, off_scale, range_reversed
from defectlog.records.kinds import Finding, Heat, Mould, Pattern, Sand

R = TypeVar("R")
AT_ONCE = 500  # moulds; what they rest on is read for so many at a time


def check_book(
    book: Book, since: date | None = None, until: date | None = None, *, tell: Tell = quietly
) -> list[Problem]:
    """Problems of the file, and of all cards, sand, heats and moulds; with a window only of the moulds cast in it."""
    dated = since is not None or until is not None
    problems = [] if dated else [*file_problems(book, tell), *photo_problems(book)]
    kinds: tuple[type[Any], ...] = (Pattern, Sand, Heat)
    for kind in kinds:
        table = table_of(kind)
        for _, item in stored(book, kind):
            problems += off_scale(item, label(table, item))
            problems += range_reversed(item) if kind is Pattern else []
    for case in cases(book, since, until, tell):
        problems += check_mould(case)
    return problems


def cases(book: Book, since: date | None, until: date | None, tell: Tell = quietly) -> Iterator[MouldCase]:
    """Every live mould with what it rests on, a few hundred at a time, so that a long book needs no more memory."""
    table = table_of(Mould)
    cards = dict(stored(book, Pattern))
    dated = since is not None or until is not None
    span = window(since, until) if dated else ()
    between = " AND t.cast_at >= ? AND t.cast_at < ?" if dated else ""
    sql = (
        f"{select(table, 't.pattern_id, t.sand_id, t.heat_id, t.castings_in_it')}"
        f" WHERE t.id > ? AND t.withdrawn_by IS NULL{between} ORDER BY t.id LIMIT {AT_ONCE}"
    )
    last = 0
    of = book.value("SELECT max(id) FROM mould") or 0
    while rows := book.rows(sql, (last, *span)):
        tell("moulds", last, of)
        last = rows[-1][0]
        sands, heats = (with_ids(book, kind, {row[place] for row in rows}) for kind, place in ((Sand, -3), (Heat, -2)))
        findings = findings_of(book, [row[0] for row in rows])
        for row, *values, card, sand, heat, castings in rows:
            yield MouldCase(
                mould=record_from(table, values),
                castings=castings,
                pattern=cards[card],
                findings=tuple(findings.get(row, ())),
                sand=sands.get(sand),
                heat=heats.get(heat),
            )


def with_ids(book: Book, kind: type[Any], ids: set[int | None]) -> dict[int, Any]:
    table = table_of(kind)
    wanted = [row for row in ids if row is not None]
    marks = ", ".join("?" * len(wanted))
    rows = book.rows(f"{select(table)} WHERE t.withdrawn_by IS NULL AND t.id IN ({marks})", wanted)
    return {row[0]: record_from(table, row[1:]) for row in rows}


def findings_of(book: Book, moulds: list[int]) -> dict[int, list[Finding]]:
    """Row of the mould → its live findings."""
    table = table_of(Finding)
    marks = ", ".join("?" * len(moulds))
    column = quoted(table.column("mould"))
    found: dict[int, list[Finding]] = {}
    sql = f"{select(table, f't.{column}')} WHERE t.{column} IN ({marks}) AND t.withdrawn_by IS NULL ORDER BY t.id"
    for _, *values, mould in book.rows(sql, moulds):
        found.setdefault(mould, []).append(record_from(table, values))
    return found


def stored(book: Book, kind: type[R]) -> Iterator[tuple[int, R]]:
    """(row id, record) of every live record of a kind, read as they are wanted."""
    table: Table = table_of(kind)
    with troubles(book.path):
        for row in book.connection.execute(f"{select(table)} WHERE t.withdrawn_by IS NULL ORDER BY t.id"):
            yield row[0], record_from(table, row[1:])
