"""Small ledgers for the tests of the review; every shop in them is invented."""

from collections.abc import Sequence
from datetime import date

from defectlog.records.ledgers import Charge, MonthLedger, PatternMonth
from defectlog.review.usual import month_before

MARCH = date(2026, 3, 1)


def month_of(
    scrap: Sequence[int], castings: int = 4, pattern: str = "P-104", month: date = MARCH, **more: int
) -> PatternMonth:
    """One number of scrapped castings a mould, all moulds with `castings` in them."""
    return PatternMonth(
        pattern=pattern,
        month=month,
        moulds=len(scrap),
        moulds_with_scrap=sum(number > 0 for number in scrap),
        castings=len(scrap) * castings,
        scrapped=sum(scrap),
        castings_squared=len(scrap) * castings**2,
        scrapped_squared=sum(number**2 for number in scrap),
        scrapped_by_castings=sum(number * castings for number in scrap),
        **more,
    )


def months_before(
    scrap: Sequence[int], count: int = 12, castings: int = 4, pattern: str = "P-104"
) -> list[PatternMonth]:
    """`count` months alike, the last of them February 2026."""
    return [month_of(scrap, castings, pattern, month_before(MARCH, back)) for back in range(count, 0, -1)]


def charge(mould: str = "M-1", defect: str = "gas-holes", castings: int = 1, **more: object) -> Charge:
    values: dict[str, object] = {
        "mould": mould,
        "pattern": "P-104",
        "defect": defect,
        "castings": castings,
        "disposition": "scrap",
        "cast_on": date(2026, 3, 9),
        "found_on": date(2026, 3, 9),
        "found": "shakeout",
    }
    return Charge(**(values | more))  # type: ignore[arg-type]  # the fields are spelt out by name above


def ledger(months: Sequence[PatternMonth], charges: Sequence[Charge] = (), **more: object) -> MonthLedger:
    return MonthLedger(month=MARCH, months=tuple(months), charges=tuple(charges), **more)  # type: ignore[arg-type]  # by name
