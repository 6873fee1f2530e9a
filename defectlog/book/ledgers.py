"""What the monthly review is given, counted by the book: the past by pattern and month, the month under review in full.

Moulds are counted by the sums that the book keeps a day, what became of them by those it keeps a month; one by one only
the findings of the month itself are read. Days are local, as the shop wrote them. A mould's month is that of pouring,
or of making when no pouring is on record.
"""

from datetime import date, datetime
from typing import Any

from defectlog.book.open import Book
from defectlog.book.remedy_tallies import DefectOf, marked_changes, remedies_until, remedy_tallies, settled
from defectlog.dates import month_after
from defectlog.records.ledgers import Charge, MonthLedger, MouldTally, OutOfBalance, PatternMetal, PatternMonth
from defectlog.review.usual import LOOK_BACK_MONTHS, month_before

# The sums by day (book/days.py): the same counts as from the moulds themselves, at a tenth of the time.
MOULDS = """
SELECT pattern, substr(day, 1, 7) AS month, sum(moulds), sum(castings), sum(castings_squared)
FROM day_cast WHERE day >= ? AND day < ? GROUP BY pattern, month
"""
# A casting is charged to its primary defect alone; an empty count is one casting, an empty disposition undecided.
BECAME = """
SELECT pattern, month, moulds_with_scrap, scrapped, reworked, used_as_is, undecided, scrapped_squared,
    scrapped_by_castings
FROM month_became WHERE month >= substr(?, 1, 7) AND month < substr(?, 1, 7)
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
FROM (
    SELECT f.id FROM mould m CROSS JOIN finding f ON f.mould_id = m.id
    WHERE m.counted = 1 AND m.cast_at >= ?1 AND m.cast_at < ?2
    UNION SELECT id FROM finding WHERE coalesce(found_at, recorded_at) >= ?1 AND coalesce(found_at, recorded_at) < ?2
) here CROSS JOIN finding f ON f.id = here.id CROSS JOIN mould m ON m.id = f.mould_id
    JOIN pattern p ON p.id = m.pattern_id
WHERE f.withdrawn_by IS NULL AND coalesce(f."primary", 1) = 1 AND m.counted = 1 AND m.cast_at IS NOT NULL
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
FROM mould WHERE counted = 0 AND withdrawn_by IS NULL AND cast_at >= ?1 AND cast_at < ?2 AND (?3 = '' OR pattern = ?3)
"""
UNDATED = "SELECT count(*) FROM mould WHERE counted = 1 AND cast_at IS NULL AND (?1 = '' OR pattern = ?1)"
TALLIES = """
SELECT m.mould, m.cast_at, m.castings_in_it, coalesce((
    SELECT sum(coalesce(f.castings, 1)) FROM finding f
    WHERE f.mould_id = m.id AND f.withdrawn_by IS NULL AND coalesce(f."primary", 1) = 1 AND f.disposition = 'scrap'
), 0)
FROM mould m WHERE m.pattern = ? AND m.cast_at >= ? AND m.cast_at < ? AND m.counted = 1 ORDER BY m.cast_at, m.id
"""


def month_ledger(
    book: Book, month: date, *, defect_of: DefectOf = str, look_back: int = LOOK_BACK_MONTHS, pattern: str = ""
) -> MonthLedger:
    """All that the review of `month` (its first day) needs, with `look_back` months of past. Raises BookUnusable.

    `defect_of` turns a defect as written into an id of the rule base, or "" when it is not settled: the shop's own
    word then stands. `pattern` narrows what is kept out of the rates; everything else is of the whole shop.
    """
    return month_ledgers(book, month, month, defect_of=defect_of, look_back=look_back, pattern=pattern)[0]


def month_ledgers(
    book: Book,
    first: date,
    last: date,
    *,
    defect_of: DefectOf = str,
    look_back: int = LOOK_BACK_MONTHS,
    pattern: str = "",
) -> tuple[MonthLedger, ...]:
    """A ledger for every month from `first` to `last`; the remedies stand in the last one, as they are at its end."""
    counted = pattern_months(book, month_before(first, look_back), month_after(last))
    found = []
    month = first
    while month <= last:
        end = month_after(month)
        remedies = remedies_until(book, end)
        earliest = month_before(month, look_back)
        trials, lost = book.row(KEPT_OUT, (*window(month, end), pattern)) or (0, 0)
        found.append(
            MonthLedger(
                month=month,
                months=tuple(row for row in counted if earliest <= row.month < end),
                metal=tuple(PatternMetal(*row) for row in book.rows(METAL, window(month, end))),
                charges=charges(book, month, end, defect_of),
                out_of_balance=out_of_balance(book, month, end),
                remedies=remedy_tallies(book, remedies, end, defect_of) if month == last else (),
                changes=marked_changes(remedies),
                trials=trials,
                lost_before_pouring=lost,
                undated=int(book.value(UNDATED, (pattern,))),
            )
        )
        month = end
    return tuple(found)


def out_of_balance(book: Book, start: date, end: date) -> tuple[OutOfBalance, ...]:
    return tuple(
        OutOfBalance(mould, pattern, date.fromisoformat(day), castings, charged)
        for mould, pattern, day, castings, charged in book.rows(OUT_OF_BALANCE, window(start, end))
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


def mould_tallies(book: Book, pattern: str, start: date, end: date) -> tuple[MouldTally, ...]:
    """One pattern's moulds in the order of casting, from `start` until before `end`. Raises BookUnusable."""
    return tuple(
        MouldTally(mould, datetime.fromisoformat(cast_at), castings, scrapped)
        for mould, cast_at, castings, scrapped in book.rows(TALLIES, (pattern, *window(start, end)))
    )
