"""What the monthly review is given, counted by the book: the past by pattern and month, the month under review in full.

Counting moulds reads the index mould_by_day and nothing else; only moulds with findings are looked up one by one. Days
are local, as the shop wrote them. A mould's month is that of pouring, or of making when no pouring is on record.
"""

from collections.abc import Callable, Iterable
from datetime import date, datetime, timedelta
from typing import Any

from defectlog.book.open import Book
from defectlog.dates import month_after
from defectlog.records.kinds import Remedy
from defectlog.records.ledgers import (
    Charge,
    MarkedChange,
    MonthLedger,
    MouldTally,
    OutOfBalance,
    PatternMetal,
    PatternMonth,
    RemedyTally,
    Tally,
)
from defectlog.review.usual import LOOK_BACK_MONTHS, month_before

DefectOf = Callable[[str], str]
# A remedy is held against the year before it, and looked at again until it is this old, verdict or not.
BEFORE_DAYS = 365
LOOK_AGAIN_DAYS = 183
DECIDED = ("worked", "no effect seen", "made worse")

MOULDS = """
SELECT pattern, substr(cast_at, 1, 7) AS month, count(*), sum(castings_in_it), sum(castings_in_it * castings_in_it)
FROM mould WHERE counted = 1 AND cast_at >= ? AND cast_at < ? GROUP BY pattern, month
"""
# A casting is charged to its primary defect alone; an empty count is one casting, an empty disposition undecided.
BECAME = """
WITH bad AS (
    SELECT mould_id,
        sum(iif(disposition = 'scrap', coalesce(castings, 1), 0)) AS scrapped,
        sum(iif(disposition = 'rework', coalesce(castings, 1), 0)) AS reworked,
        sum(iif(disposition = 'use as is', coalesce(castings, 1), 0)) AS used_as_is,
        sum(iif(coalesce(disposition, 'undecided') = 'undecided', coalesce(castings, 1), 0)) AS undecided
    FROM finding WHERE withdrawn_by IS NULL AND coalesce("primary", 1) = 1 GROUP BY mould_id
)
SELECT pattern, substr(cast_at, 1, 7) AS month, sum(scrapped > 0), sum(scrapped), sum(reworked), sum(used_as_is),
    sum(undecided), sum(scrapped * scrapped), sum(scrapped * castings_in_it)
FROM bad CROSS JOIN mould ON mould.id = bad.mould_id
WHERE counted = 1 AND cast_at >= ? AND cast_at < ? GROUP BY pattern, month
"""
METAL = """
SELECT m.pattern,
    iif(count(p.casting_kg) = count(*), sum(m.castings_in_it * p.casting_kg), NULL),
    iif(count(p.poured_kg) = count(*), sum(p.poured_kg), NULL)
FROM mould m JOIN pattern p ON p.id = m.pattern_id
WHERE m.counted = 1 AND m.cast_at >= ? AND m.cast_at < ? GROUP BY m.pattern
"""
FOUND_AT = "coalesce(f.found_at, f.recorded_at, m.cast_at)"
CHARGES = f"""
SELECT m.mould, m.pattern, f.defect, coalesce(f.castings, 1), coalesce(f.disposition, 'undecided'),
    substr(m.cast_at, 1, 10), substr({FOUND_AT}, 1, 10), coalesce(f.found, ''), f.found_at IS NOT NULL,
    f.impression, p.impressions, coalesce(f.place, ''), p.casting_kg, p.poured_kg / nullif(m.castings_in_it, 0)
FROM finding f CROSS JOIN mould m ON m.id = f.mould_id JOIN pattern p ON p.id = m.pattern_id
WHERE f.withdrawn_by IS NULL AND coalesce(f."primary", 1) = 1 AND m.counted = 1 AND m.cast_at IS NOT NULL
    AND (m.cast_at >= ?1 AND m.cast_at < ?2 OR {FOUND_AT} >= ?1 AND {FOUND_AT} < ?2)
ORDER BY m.cast_at, m.id, f.id
"""
OUT_OF_BALANCE = """
SELECT m.mould, m.pattern, substr(m.cast_at, 1, 10), m.castings_in_it, sum(coalesce(f.castings, 1)) AS charged
FROM mould m CROSS JOIN finding f ON f.mould_id = m.id
WHERE m.counted = 1 AND m.cast_at >= ? AND m.cast_at < ? AND f.withdrawn_by IS NULL AND coalesce(f."primary", 1) = 1
GROUP BY m.id HAVING charged > m.castings_in_it ORDER BY m.cast_at, m.id
"""
KEPT_OUT = """
SELECT coalesce(sum(coalesce(trial, 0) = 1), 0),
    coalesce(sum(coalesce(trial, 0) = 0 AND outcome = 'lost before pouring'), 0)
FROM mould WHERE counted = 0 AND withdrawn_by IS NULL AND cast_at >= ? AND cast_at < ?
"""
UNDATED = "SELECT count(*) FROM mould WHERE counted = 1 AND cast_at IS NULL"
TALLIES = """
SELECT m.mould, m.cast_at, m.castings_in_it, coalesce((
    SELECT sum(coalesce(f.castings, 1)) FROM finding f
    WHERE f.mould_id = m.id AND f.withdrawn_by IS NULL AND coalesce(f."primary", 1) = 1 AND f.disposition = 'scrap'
), 0)
FROM mould m WHERE m.pattern = ? AND m.cast_at >= ? AND m.cast_at < ? AND m.counted = 1 ORDER BY m.cast_at, m.id
"""
REMEDIES = """
SELECT r.id, r.pattern, r.defect, r.cause, r.change, r.from_date, m.mould, r.check_castings, r.owner, r.verdict, r.note,
    coalesce(r.from_date, m.cast_at), iif(r.from_date IS NULL, m.id, 0)
FROM remedy r LEFT JOIN mould m ON m.id = r.from_mould_id WHERE r.withdrawn_by IS NULL ORDER BY r.id
"""
# A change can begin in the middle of a day: with a certain mould. Row values compare by time, then by row.
SIDE = "m.pattern = ? AND m.counted = 1 AND (m.cast_at, m.id) >= (?, ?) AND (m.cast_at, m.id) < (?, ?)"
POURED = f"SELECT count(*), coalesce(sum(m.castings_in_it), 0) FROM mould m WHERE {SIDE}"
BAD = f"""
SELECT m.id, m.castings_in_it, f.defect, sum(coalesce(f.castings, 1))
FROM mould m CROSS JOIN finding f ON f.mould_id = m.id WHERE {SIDE} AND f.withdrawn_by IS NULL AND f.defect IS NOT NULL
GROUP BY m.id, f.defect
"""
Moment = tuple[str, int]


def month_ledger(
    book: Book, month: date, *, defect_of: DefectOf = str, look_back: int = LOOK_BACK_MONTHS
) -> MonthLedger:
    """All that the review of `month` (its first day) needs, with `look_back` months of past. Raises BookUnusable.

    `defect_of` turns a defect as written into an id of the rule base, or "" when it is not settled: the shop's own
    word then stands.
    """
    start, end = month, month_after(month)
    remedies = remedies_until(book, end)
    trials, lost = book.row(KEPT_OUT, window(start, end)) or (0, 0)
    return MonthLedger(
        month=month,
        months=pattern_months(book, month_before(month, look_back), end),
        metal=tuple(PatternMetal(*row) for row in book.rows(METAL, window(start, end))),
        charges=charges(book, start, end, defect_of),
        out_of_balance=tuple(
            OutOfBalance(mould, pattern, date.fromisoformat(day), castings, charged)
            for mould, pattern, day, castings, charged in book.rows(OUT_OF_BALANCE, window(start, end))
        ),
        remedies=tuple(
            remedy_tally(book, *item, end, defect_of) for item in remedies if to_look_at(item[1], item[2], end)
        ),
        changes=marked_changes(remedies),
        trials=trials,
        lost_before_pouring=lost,
        undated=int(book.value(UNDATED)),
    )


def window(start: date, end: date) -> tuple[str, str]:
    return start.isoformat(), end.isoformat()


def pattern_months(book: Book, start: date, end: date) -> tuple[PatternMonth, ...]:
    """Counts by pattern and month cast, from `start` until before `end`. Raises BookUnusable."""
    bad = {(row[0], row[1]): row[2:] for row in book.rows(BECAME, window(start, end))}
    found = []
    for pattern, month, moulds, castings, squares in book.rows(MOULDS, window(start, end)):
        with_scrap, scrapped, reworked, used, undecided, scrapped_squares, by_castings = bad.get(
            (pattern, month), (0,) * 7
        )
        found.append(
            PatternMonth(
                pattern=pattern,
                month=date.fromisoformat(f"{month}-01"),
                moulds=moulds,
                moulds_with_scrap=with_scrap,
                castings=castings,
                scrapped=scrapped,
                reworked=reworked,
                used_as_is=used,
                undecided=undecided,
                castings_squared=squares,
                scrapped_squared=scrapped_squares,
                scrapped_by_castings=by_castings,
            )
        )
    return tuple(found)


def charges(book: Book, start: date, end: date, defect_of: DefectOf = str) -> tuple[Charge, ...]:
    """Primary charges on moulds cast, or found, from `start` until before `end`. Raises BookUnusable."""
    return tuple(charge_from(row, defect_of) for row in book.rows(CHARGES, window(start, end)))


def charge_from(row: tuple[Any, ...], defect_of: DefectOf) -> Charge:
    mould, pattern, defect, castings, disposition, cast_on, found_on, found, known, *where = row
    impression, impressions, place, kg, poured_kg = where
    return Charge(
        mould=mould,
        pattern=pattern,
        defect=settled(defect, defect_of),
        castings=castings,
        disposition=disposition,
        cast_on=date.fromisoformat(cast_on),
        found_on=date.fromisoformat(found_on),
        found=found,
        found_on_known=bool(known),
        impression=impression,
        impressions=impressions,
        place=place,
        kg_each=kg,
        poured_kg_each=poured_kg,
    )


def settled(written: str | None, defect_of: DefectOf) -> str:
    return (defect_of(written) or written) if written else ""


def mould_tallies(book: Book, pattern: str, start: date, end: date) -> tuple[MouldTally, ...]:
    """One pattern's moulds in the order of casting, from `start` until before `end`. Raises BookUnusable."""
    return tuple(
        MouldTally(mould, datetime.fromisoformat(cast_at), castings, scrapped)
        for mould, cast_at, castings, scrapped in book.rows(TALLIES, (pattern, *window(start, end)))
    )


def remedies_until(book: Book, end: date) -> list[tuple[int, Remedy, Moment | None]]:
    """Number, remedy and the moment it began (None when neither day nor mould says), those begun before `end`."""
    found: list[tuple[int, Remedy, Moment | None]] = []
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


def to_look_at(remedy: Remedy, began: Moment | None, end: date) -> bool:
    """Open ones always; decided ones for half a year, because remedies slip back."""
    if remedy.verdict not in DECIDED or began is None:
        return True
    return day_of(began) >= end - timedelta(days=LOOK_AGAIN_DAYS)


def marked_changes(remedies: Iterable[tuple[int, Remedy, Moment | None]]) -> tuple[MarkedChange, ...]:
    return tuple(
        MarkedChange(remedy.pattern, day_of(began), remedy.change)
        for _, remedy, began in remedies
        if remedy.verdict == "worked" and began is not None
    )


def remedy_tally(
    book: Book, number: int, remedy: Remedy, began: Moment | None, end: date, defect_of: DefectOf
) -> RemedyTally:
    """A year before against all since, until before `end`."""
    if began is None:
        return RemedyTally(number, remedy, None, Tally(0, 0, 0, 0), Tally(0, 0, 0, 0))
    earliest = ((day_of(began) - timedelta(days=BEFORE_DAYS)).isoformat(), 0)
    before = side(book, remedy, earliest, began, defect_of)
    after = side(book, remedy, began, (end.isoformat(), 0), defect_of)
    return RemedyTally(number, remedy, day_of(began), before, after)


def side(book: Book, remedy: Remedy, start: Moment, end: Moment, defect_of: DefectOf) -> Tally:
    """Moulds of the remedy's pattern from `start` until before `end`, and those with its defect, primary or not."""
    values = (remedy.pattern, *start, *end)
    moulds, castings = book.row(POURED, values) or (0, 0)
    wanted = settled(remedy.defect, defect_of)
    bad: dict[int, int] = {}
    for mould, held, defect, number in book.rows(BAD, values):
        if settled(defect, defect_of) == wanted:
            bad[mould] = min(held, bad.get(mould, 0) + number)
    return Tally(moulds, len(bad), castings, sum(bad.values()))
