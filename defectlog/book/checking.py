"""The whole book through the checks of records/checks.py: every problem, by mould."""

from collections import defaultdict
from collections.abc import Iterator
from datetime import date
from typing import Any, TypeVar

from defectlog.book.open import Book
from defectlog.book.records import window
from defectlog.book.rows import label
from defectlog.book.tables import record_from, select, table_of
from defectlog.errors import Problem
from defectlog.records.checks import MouldCase, check_mould, off_scale, range_reversed
from defectlog.records.kinds import Finding, Heat, Mould, Pattern, Sand

R = TypeVar("R")


def check_book(book: Book, since: date | None = None, until: date | None = None) -> list[Problem]:
    """Problems of all cards, sand, heats and moulds; with a window only of the moulds cast in it."""
    problems = [problem for _, card in stored(book, Pattern) for problem in range_reversed(card)]
    kinds: tuple[type[Any], ...] = (Sand, Heat)
    for kind in kinds:
        table = table_of(kind)
        problems += [problem for _, item in stored(book, kind) for problem in off_scale(item, label(table, item))]
    for case in cases(book, since, until):
        problems += check_mould(case)
    return problems


def cases(book: Book, since: date | None, until: date | None) -> Iterator[MouldCase]:
    """Every live mould with what it rests on."""
    cards, sands, heats = dict(stored(book, Pattern)), dict(stored(book, Sand)), dict(stored(book, Heat))
    findings: dict[str, list[Finding]] = defaultdict(list)
    for _, finding in stored(book, Finding):
        findings[finding.mould].append(finding)
    table = table_of(Mould)
    dated = since is not None or until is not None
    span = window(since, until) if dated else ()
    sql = (
        f"{select(table, 't.pattern_id, t.sand_id, t.heat_id, t.castings_in_it')} WHERE t.withdrawn_by IS NULL"
        f"{' AND t.cast_at >= ? AND t.cast_at < ?' if dated else ''} ORDER BY t.id"
    )
    for _row, *values, card, sand, heat, castings in book.rows(sql, span):
        yield MouldCase(
            mould=record_from(table, values),
            castings=castings,
            pattern=cards[card],
            findings=tuple(findings.get(values[0], ())),
            sand=sands.get(sand),
            heat=heats.get(heat),
        )


def stored(book: Book, kind: type[R]) -> Iterator[tuple[int, R]]:
    """(row id, record) of every live record of a kind."""
    table = table_of(kind)
    for row in book.rows(f"{select(table)} WHERE t.withdrawn_by IS NULL ORDER BY t.id"):
        yield row[0], record_from(table, row[1:])
