"""By month cast or by month found: which charges count, and what a pattern's month then is.

A casting found bad in machining in July from a mould poured in May counts in May by month cast, else a bad May shows in
July. By month found answers what turned up in the month; it has a ratio to the castings poured in it and no interval.
"""

from collections import Counter
from collections.abc import Iterable
from dataclasses import replace
from datetime import date
from typing import Literal

from defectlog.records.kinds import FOUND
from defectlog.records.ledgers import Charge, MonthLedger, PatternMonth

By = Literal["cast", "found"]
NOT_ON_RECORD = "not on record"


def in_month(day: date, month: date) -> bool:
    return (day.year, day.month) == (month.year, month.month)


def charges_of(ledger: MonthLedger, by: By) -> tuple[Charge, ...]:
    """The month's charges, by the month their moulds were poured in or by the month they were found in."""
    return tuple(c for c in ledger.charges if in_month(c.cast_on if by == "cast" else c.found_on, ledger.month))


def month_rows(ledger: MonthLedger, by: By) -> tuple[PatternMonth, ...]:
    """The patterns of the month. By month found, the counts of bad castings are replaced by what was found in it."""
    rows = tuple(row for row in ledger.months if row.month == ledger.month)
    if by == "cast":
        return rows
    return found_rows(rows, charges_of(ledger, "found"), ledger.month)


def found_rows(rows: Iterable[PatternMonth], charges: Iterable[Charge], month: date) -> tuple[PatternMonth, ...]:
    groups: dict[str, list[Charge]] = {}
    for charge in charges:
        groups.setdefault(charge.pattern, []).append(charge)
    poured = {row.pattern: row for row in rows}
    names = sorted(set(poured) | set(groups))
    return tuple(
        with_charges(poured.get(name, PatternMonth(name, month, 0, 0, 0, 0)), groups.get(name, [])) for name in names
    )


def with_charges(row: PatternMonth, charges: list[Charge]) -> PatternMonth:
    counts: Counter[str] = Counter()
    for charge in charges:
        counts[charge.disposition] += charge.castings
    return replace(
        row,
        moulds_with_scrap=len({charge.mould for charge in charges if charge.disposition == "scrap"}),
        scrapped=counts["scrap"],
        reworked=counts["rework"],
        used_as_is=counts["use as is"],
        undecided=counts["undecided"],
    )


def found_counts(charges: Iterable[Charge]) -> dict[str, int]:
    """Scrapped castings by where they were found: every stage listed, what is not on record only when there is any."""
    counts = dict.fromkeys(FOUND, 0)
    for charge in charges:
        if charge.disposition == "scrap":
            stage = charge.found or NOT_ON_RECORD
            counts[stage] = counts.get(stage, 0) + charge.castings
    return counts


def found_late(ledger: MonthLedger) -> tuple[int, int]:
    """Scrapped castings found in the month but poured before it, and poured in it but found after it."""
    scrap = [charge for charge in ledger.charges if charge.disposition == "scrap"]
    earlier = sum(
        c.castings for c in scrap if in_month(c.found_on, ledger.month) and not in_month(c.cast_on, ledger.month)
    )
    later = sum(
        c.castings for c in scrap if in_month(c.cast_on, ledger.month) and not in_month(c.found_on, ledger.month)
    )
    return earlier, later
