"""Moulds with what was found on them, counted; and what about them is worth a second look."""

from collections.abc import Sequence
from typing import Any

from defectlog.book.open import Book
from defectlog.book.records import castings_of, find, get
from defectlog.errors import Problem
from defectlog.jobs.revisions import card_of
from defectlog.records.checks import MouldCase, check_mould
from defectlog.records.counts import count_mould
from defectlog.records.kinds import Finding, Heat, Mould, Sand
from defectlog.report.moulds import MouldSeen

AT_ONCE = 500  # names in one question to the book


def seen(book: Book, moulds: Sequence[Mould]) -> tuple[MouldSeen, ...]:
    """Each mould with its findings and its count, in the order given."""
    names = [mould.mould for mould in moulds]
    castings = castings_of(book, names)
    found: dict[str, list[Finding]] = {}
    for start in range(0, len(names), AT_ONCE):
        for stored in find(book, Finding, mould=names[start : start + AT_ONCE]):
            found.setdefault(stored.record.mould, []).append(stored.record)
    return tuple(
        MouldSeen(
            mould, tuple(found.get(mould.mould, ())), count_mould(castings[mould.mould], found.get(mould.mould, ()))
        )
        for mould in moulds
    )


def look_at(book: Book, names: Sequence[str]) -> list[Problem]:
    """What is odd about moulds just written, by the checks of the whole book. Nothing of it is refused."""
    known: dict[Any, Any] = {}
    found: list[Problem] = []
    for item in seen(book, [get(book, Mould, name).record for name in names]):
        mould = item.mould
        card = card_of(book, mould)
        if card is not None:
            sand, heat = one(book, Sand, mould.sand, known), one(book, Heat, mould.heat, known)
            found += check_mould(MouldCase(mould=mould, castings=item.count.castings, pattern=card,
                                           findings=item.findings, sand=sand, heat=heat))  # fmt: skip
    return found


def one(book: Book, kind: Any, name: str | None, known: dict[Any, Any]) -> Any:
    """A record by its name, asked for once; None for none."""
    if name is not None and (kind, name) not in known:
        known[kind, name] = get(book, kind, name).record
    return known.get((kind, name))
