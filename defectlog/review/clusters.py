"""How much castings of one mould fail together, and what that costs in certainty.

ρ is 0 when castings fail each on its own and 1 when a mould is all good or all bad. With ρ known, C castings tell as
much as C / (1 + ρ (Σc²/C − 1)) castings on their own (c castings to a mould): Kish's design effect, with moulds
as clusters (L. Kish, Survey Sampling, 1965, section 5.4; from memory). ρ is a pattern's own when it has FEWEST moulds
with scrap, else the shop's over all its patterns, else 1: until the book says otherwise a mould counts once.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from defectlog.records.ledgers import PatternMonth

# Fewer moulds with scrap say nothing steady about clustering. Judgement.
FEWEST = 10


@dataclass(frozen=True, slots=True)
class Sums:
    """Sums over clusters of units: how many of each, Σunits², Σbad², Σbad·units, and how many clusters have any bad."""

    clusters: int
    units: float
    bad: float
    units_squared: float
    bad_squared: float
    bad_by_units: float
    with_bad: int


def mould_sums(months: "Iterable[PatternMonth]") -> Sums:
    """Moulds as clusters of castings."""
    clusters = units = bad = units_squared = bad_squared = bad_by_units = with_bad = 0
    for row in months:  # one pass: a big book asks for this thousands of times
        clusters += row.moulds
        units += row.castings
        bad += row.scrapped
        units_squared += row.castings_squared
        bad_squared += row.scrapped_squared
        bad_by_units += row.scrapped_by_castings
        with_bad += row.moulds_with_scrap
    return Sums(clusters, units, bad, units_squared, bad_squared, bad_by_units, with_bad)


def month_sums(months: "Iterable[PatternMonth]") -> Sums:
    """Months as clusters of moulds: a mould is bad when it has scrap."""
    rows = [row for row in months if row.moulds]
    return Sums(
        clusters=len(rows),
        units=sum(row.moulds for row in rows),
        bad=sum(row.moulds_with_scrap for row in rows),
        units_squared=sum(row.moulds**2 for row in rows),
        bad_squared=sum(row.moulds_with_scrap**2 for row in rows),
        bad_by_units=sum(row.moulds_with_scrap * row.moulds for row in rows),
        with_bad=sum(row.moulds_with_scrap > 0 for row in rows),
    )


def intraclass(groups: Iterable[Sums]) -> float | None:
    """ρ by moments, each group about its own rate: Σ(bad − p·units)² = p(1−p)(U + ρ(Σunits² − U)) on average.

    Between 0 and 1; None when no group can tell (nothing bad, all bad, or one unit to a cluster).
    """
    extra = room = 0.0
    for group in groups:
        if group.units <= 0 or group.clusters < 2:
            continue
        rate = min(group.bad / group.units, 1.0)
        spread = group.bad_squared - 2 * rate * group.bad_by_units + rate**2 * group.units_squared
        spread *= group.clusters / (group.clusters - 1)
        extra += spread - rate * (1 - rate) * group.units
        room += rate * (1 - rate) * (group.units_squared - group.units)
    return min(max(extra / room, 0.0), 1.0) if room > 0 else None


def shop_rho(by_pattern: "Mapping[str, Sequence[PatternMonth]]") -> float:
    """ρ of castings within a mould over all the shop's patterns; 1 while there is too little to tell."""
    groups = [mould_sums(months) for months in by_pattern.values()]
    if sum(group.with_bad for group in groups) < FEWEST:
        return 1.0
    rho = intraclass(groups)
    return 1.0 if rho is None else rho


def pattern_rho(months: "Sequence[PatternMonth]", of_shop: float) -> float:
    """The pattern's own ρ when it has enough moulds with scrap, else the shop's."""
    sums = mould_sums(months)
    rho = intraclass([sums]) if sums.with_bad >= FEWEST else None
    return of_shop if rho is None else rho


def design_effect(sums: Sums, rho: float) -> float:
    """How many castings count as one; 1 at least."""
    if sums.units <= 0:
        return 1.0
    return max(1.0, 1 + rho * (sums.units_squared / sums.units - 1))


def month_effect(row: "PatternMonth", rho: float) -> float:
    """The design effect of one month's castings: `design_effect` of its `mould_sums`."""
    return max(1.0, 1 + rho * (row.castings_squared / row.castings - 1)) if row.castings > 0 else 1.0
