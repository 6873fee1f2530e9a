"""The counts before a remedy and since, month by month, and the changes that start a pattern's past anew."""

from collections.abc import Callable, Iterable
from datetime import date, timedelta

from defectlog.book.open import Book
from defectlog.records.kinds import Remedy
from defectlog.records.ledgers import MarkedChange, RemedyTally, Tally
from defectlog.review.remedy_month import SHOWN_DAYS
from defectlog.review.usual import LOOK_BACK_MONTHS, month_before
from defectlog.review.watch import NOTHING, summed_up

DefectOf = Callable[[str], str]
Moment = tuple[str, int]
# A remedy's number, the remedy, and the moment it began.
Begun = tuple[int, Remedy, Moment | None]
# A remedy is held against the year before it.
BEFORE_DAYS = 365
WATCHED_MONTHS = LOOK_BACK_MONTHS
DECIDED = ("worked", "no effect seen", "made worse")

REMEDIES = """
SELECT r.id, r.pattern, r.defect, r.cause, r.change, r.from_date, m.mould, r.check_castings, r.owner, r.verdict, r.note,
    coalesce(r.from_date, m.cast_at), iif(r.from_date IS NULL, m.id, 0)
FROM remedy r LEFT JOIN mould m ON m.id = r.from_mould_id WHERE r.withdrawn_by IS NULL ORDER BY r.id
"""
# A change can begin in the middle of a day: with a certain mould. Row values compare by time, then by row.
SIDE = "m.pattern = ? AND m.counted = 1 AND (m.cast_at, m.id) >= (?, ?) AND (m.cast_at, m.id) < (?, ?)"
POURED = f"""
SELECT substr(m.cast_at, 1, 7) AS month, count(*), sum(m.castings_in_it) FROM mould m WHERE {SIDE} GROUP BY month
ORDER BY month
"""
BAD = f"""
SELECT m.id, substr(m.cast_at, 1, 7), m.castings_in_it, f.defect, sum(coalesce(f.castings, 1))
FROM mould m CROSS JOIN finding f ON f.mould_id = m.id WHERE {SIDE} AND f.withdrawn_by IS NULL AND f.defect IS NOT NULL
GROUP BY m.id, f.defect
"""


def settled(written: str | None, defect_of: DefectOf) -> str:
    return (defect_of(written) or written) if written else ""


def remedies_until(book: Book, end: date) -> list[Begun]:
    """Number, remedy and the moment it began (None when neither day nor mould says), those begun before `end`."""
    found: list[Begun] = []
    for number, pattern, defect, cause, change, day, mould, check, owner, verdict, note, began, row in book.rows(
        REMEDIES
    ):
        if began is not None and began >= end.isoformat():
            continue
        remedy = Remedy(
            pattern=pattern,
            defect=defect,
            cause=cause,
            change=change,
            from_date=date.fromisoformat(day) if day else None,
            from_mould=mould,
            check_castings=check,
            owner=owner,
            verdict=verdict,
            note=note,
        )
        found.append((number, remedy, None if began is None else (began, row)))
    return found


def day_of(began: Moment) -> date:
    return date.fromisoformat(began[0][:10])


def marked_changes(remedies: Iterable[Begun]) -> tuple[MarkedChange, ...]:
    return tuple(
        MarkedChange(remedy.pattern, day_of(began), remedy.change)
        for _, remedy, began in remedies
        if remedy.verdict == "worked" and began is not None
    )


def remedy_tallies(book: Book, remedies: Iterable[Begun], end: date, defect_of: DefectOf) -> tuple[RemedyTally, ...]:
    """Of open remedies always, of decided ones for half a year, of those that worked as long as they are watched."""
    return tuple(
        remedy_tally(book, number, remedy, began, end, defect_of)
        for number, remedy, began in remedies
        if to_look_at(remedy, began, end)
    )


def to_look_at(remedy: Remedy, began: Moment | None, end: date) -> bool:
    if remedy.verdict not in DECIDED or began is None:
        return True
    if remedy.verdict == "worked":
        return day_of(began) >= month_before(end, WATCHED_MONTHS)
    return day_of(began) >= end - timedelta(days=SHOWN_DAYS)


def remedy_tally(
    book: Book, number: int, remedy: Remedy, began: Moment | None, end: date, defect_of: DefectOf
) -> RemedyTally:
    """A year before against all since, until before `end`."""
    if began is None:
        return RemedyTally(number, remedy, None, NOTHING, NOTHING)
    earliest = ((day_of(began) - timedelta(days=BEFORE_DAYS)).isoformat(), 0)
    before = by_month(book, remedy, earliest, began, defect_of)
    after = by_month(book, remedy, began, (end.isoformat(), 0), defect_of)
    return RemedyTally(number, remedy, day_of(began), summed_up(before), summed_up(after), after)


def by_month(
    book: Book, remedy: Remedy, start: Moment, end: Moment, defect_of: DefectOf
) -> tuple[tuple[date, Tally], ...]:
    """Moulds of the remedy's pattern from `start` until before `end`, and those with its defect, primary or not."""
    values = (remedy.pattern, *start, *end)
    wanted = settled(remedy.defect, defect_of)
    bad: dict[str, dict[int, int]] = {}
    for mould, month, held, defect, number in book.rows(BAD, values):
        if settled(defect, defect_of) == wanted:
            of_month = bad.setdefault(month, {})
            of_month[mould] = min(held, of_month.get(mould, 0) + number)
    return tuple(
        (
            date.fromisoformat(f"{month}-01"),
            Tally(moulds, len(bad.get(month, {})), castings, sum(bad.get(month, {}).values())),
        )
        for month, moulds, castings in book.rows(POURED, values)
    )
