"""What the book hands to the monthly review: counts by pattern and month, and the month's charges one by one.

A million moulds cost little this way: the past comes as one row a pattern and month, and only the month under
review comes finding by finding. Castings are charged once, to their primary defect. A weight that is not on the
pattern card is None and never zero.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime

from defectlog.records.kinds import Remedy


@dataclass(frozen=True, slots=True)
class PatternMonth:
    """One pattern's poured moulds of one month cast (`month` is its first day); trials and lost moulds left out.

    The three sums over moulds – castings², scrapped², scrapped × castings – say how scrap clusters by mould. What is
    good first time is not counted but follows: castings less all that is charged.
    """

    pattern: str
    month: date
    moulds: int
    moulds_with_scrap: int
    castings: int
    scrapped: int
    reworked: int = 0
    used_as_is: int = 0
    undecided: int = 0
    castings_squared: int = 0
    scrapped_squared: int = 0
    scrapped_by_castings: int = 0


@dataclass(frozen=True, slots=True)
class PatternMetal:
    """Metal of one pattern in the month under review; None when a mould's pattern card has no weight."""

    pattern: str
    casting_kg: float | None
    poured_kg: float | None


@dataclass(frozen=True, slots=True)
class Charge:
    """Castings of one mould charged to one primary defect, cast or found in the month under review.

    `defect` is as the book has it, "" when it is not named. A disposition not on record is "undecided". `found_on`
    falls back to the day of writing, then to the day cast: `found_on_known` tells. `kg_each` is the casting's weight,
    `poured_kg_each` its share of the metal poured into the mould.
    """

    mould: str
    pattern: str
    defect: str
    castings: int
    disposition: str
    cast_on: date
    found_on: date
    found: str = ""
    found_on_known: bool = True
    impression: int | None = None
    impressions: int | None = None
    place: str = ""
    kg_each: float | None = None
    poured_kg_each: float | None = None


@dataclass(frozen=True, slots=True)
class MouldTally:
    """One mould of one pattern, in the order of casting, for that pattern's own charts."""

    mould: str
    cast_at: datetime
    castings: int
    scrapped: int


@dataclass(frozen=True, slots=True)
class OutOfBalance:
    """A mould with more castings charged than it held: counted as written, reported, never mended."""

    mould: str
    pattern: str
    cast_on: date
    castings: int
    charged: int


@dataclass(frozen=True, slots=True)
class Tally:
    """Moulds and castings of one pattern in a window, and how many of each had one defect."""

    moulds: int
    bad_moulds: int
    castings: int
    bad_castings: int


@dataclass(frozen=True, slots=True)
class RemedyTally:
    """A remedy with the counts before it and since. `started` is None when neither day nor mould says so.

    `by_month` is `after` by the month cast (its first day), months without a mould left out.
    """

    number: int
    remedy: Remedy
    started: date | None
    before: Tally
    after: Tally
    by_month: tuple[tuple[date, Tally], ...] = ()


@dataclass(frozen=True, slots=True)
class MarkedChange:
    """From `started` on a pattern is held against its own record since then: a remedy that the shop judged to work."""

    pattern: str
    started: date
    what: str


@dataclass(frozen=True, slots=True)
class ScrapDay:
    """What was poured on one day, and how much of it was scrapped."""

    day: date
    moulds: int
    moulds_with_scrap: int
    castings: int
    scrapped: int


@dataclass(frozen=True, slots=True)
class ReadingDay:
    """One reading on one day: the `values` on record, of so many `units` (sand batches, heats or moulds)."""

    reading: str
    day: date
    units: int
    values: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class StripLedger:
    """A month day by day. `unit_of` is reading → "sand", "heat" or "mould", in the order in which they are shown."""

    scrap: tuple[ScrapDay, ...]
    readings: tuple[ReadingDay, ...]
    unit_of: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class MonthLedger:
    """All that a review of one month needs. `months` holds the month under review and the past that was asked for.

    `trials` and `lost_before_pouring` are moulds of that month kept out of the rates; `undated` are poured moulds of
    the whole book that can stand in no month because no day is on record.
    """

    month: date
    months: tuple[PatternMonth, ...]
    metal: tuple[PatternMetal, ...] = ()
    charges: tuple[Charge, ...] = ()
    out_of_balance: tuple[OutOfBalance, ...] = ()
    remedies: tuple[RemedyTally, ...] = ()
    changes: tuple[MarkedChange, ...] = ()
    trials: int = 0
    lost_before_pouring: int = 0
    undated: int = 0
