"""The strip: sand, melt and pour readings day by day beside the day's scrap, with how many are on record.

A day is told by its middle reading and its lowest and highest. It shows and proves nothing: whether a reading has to do
with the scrap is for `why` to weigh, mould by mould.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from statistics import median

from defectlog.records.ledgers import ReadingDay, ScrapDay, StripLedger


@dataclass(frozen=True, slots=True)
class StripDay:
    """`on_record` readings of so many `units`; the three values are None when there is none on record."""

    day: date
    on_record: int
    units: int
    low: float | None
    middle: float | None
    high: float | None


@dataclass(frozen=True, slots=True)
class StripRow:
    """One reading over the month; `low`, `middle` and `high` are over all its values."""

    reading: str
    unit: str
    on_record: int
    units: int
    low: float
    middle: float
    high: float
    days: tuple[StripDay, ...]


@dataclass(frozen=True, slots=True)
class Strip:
    """`rows` are the readings with any value on record; `missing` those with none at all."""

    scrap: tuple[ScrapDay, ...]
    rows: tuple[StripRow, ...]
    missing: tuple[str, ...]

    @property
    def bad_days(self) -> frozenset[date]:
        """Days whose share of castings scrapped lies above the middle day's; none where all days are alike."""
        rates = {item.day: item.scrapped / item.castings for item in self.scrap if item.castings}
        usual = median(rates.values()) if rates else 0.0
        return frozenset(day for day, rate in rates.items() if rate > usual)

    def middles(self, row: StripRow) -> tuple[float | None, float | None]:
        """The middle of the days' middles: of bad days, and of the other days with scrap counts."""
        known = {item.day: item.middle for item in row.days if item.middle is not None}
        bad = self.bad_days
        counted = {item.day for item in self.scrap}
        on_bad = [value for day, value in known.items() if day in bad]
        on_others = [value for day, value in known.items() if day in counted - bad]
        return (median(on_bad) if on_bad else None), (median(on_others) if on_others else None)


def strip_of(ledger: StripLedger) -> Strip:
    by_reading: dict[str, list[ReadingDay]] = {name: [] for name in ledger.unit_of}
    for item in ledger.readings:
        by_reading[item.reading].append(item)
    rows = [strip_row(name, ledger.unit_of[name], days) for name, days in by_reading.items()]
    missing = tuple(name for name, row in zip(by_reading, rows, strict=True) if row is None)
    return Strip(ledger.scrap, tuple(row for row in rows if row is not None), missing)


def strip_row(reading: str, unit: str, days: Sequence[ReadingDay]) -> StripRow | None:
    values = [value for item in days for value in item.values]
    if not values:
        return None
    return StripRow(
        reading=reading,
        unit=unit,
        on_record=len(values),
        units=sum(item.units for item in days),
        low=min(values),
        middle=median(values),
        high=max(values),
        days=tuple(strip_day(item) for item in sorted(days, key=lambda item: item.day)),
    )


def strip_day(item: ReadingDay) -> StripDay:
    values = item.values
    if not values:
        return StripDay(item.day, 0, item.units, None, None, None)
    return StripDay(item.day, len(values), item.units, min(values), median(values), max(values))
