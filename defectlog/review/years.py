"""Are we better than a year ago? Twelve months against the twelve before, pattern by pattern: job mix drops out."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from defectlog.dates import month_after
from defectlog.records.ledgers import PatternMonth
from defectlog.review.intervals import Interval
from defectlog.review.strata import Stratum, common_interval, common_odds_ratio, no_difference, one_figure_for_all
from defectlog.review.usual import by_pattern, month_before

MONTHS = 12


@dataclass(frozen=True, slots=True)
class YearOnYear:
    """Odds of a mould with scrap in the last twelve months over those before: below 1 is better.

    Only patterns poured in both years count: `moulds` and `moulds_with_scrap` are theirs, this year's first. `chance`
    is that of so great a difference by luck; `alike` is small when patterns went different ways, so that one figure
    hides something. None where it cannot be told.
    """

    patterns: int
    moulds: tuple[int, int]
    moulds_with_scrap: tuple[int, int]
    odds_ratio: float | None
    interval: Interval | None
    chance: float | None
    alike: float | None


def year_on_year(months: Iterable[PatternMonth], month: date) -> YearOnYear | None:
    """The twelve months that end with `month`, against the twelve before. None when no pattern was poured in both."""
    middle, start, end = month_before(month, MONTHS - 1), month_before(month, 2 * MONTHS - 1), month_after(month)
    pairs = []
    for rows in by_pattern(months).values():
        now = [row for row in rows if middle <= row.month < end]
        then = [row for row in rows if start <= row.month < middle]
        if moulds_of(now) and moulds_of(then):
            pairs.append((now, then))
    if not pairs:
        return None
    strata = [Stratum(*bad_and_good(now), *bad_and_good(then)) for now, then in pairs]
    test, alike = no_difference(strata), one_figure_for_all(strata)
    return YearOnYear(
        patterns=len(pairs),
        moulds=(sum(moulds_of(now) for now, _ in pairs), sum(moulds_of(then) for _, then in pairs)),
        moulds_with_scrap=(
            sum(bad_and_good(now)[0] for now, _ in pairs),
            sum(bad_and_good(then)[0] for _, then in pairs),
        ),
        odds_ratio=common_odds_ratio(strata),
        interval=common_interval(strata),
        chance=test.chance if test else None,
        alike=alike.chance if alike else None,
    )


def moulds_of(rows: Iterable[PatternMonth]) -> int:
    return sum(row.moulds for row in rows)


def bad_and_good(rows: Iterable[PatternMonth]) -> tuple[int, int]:
    """Moulds with scrap and moulds without."""
    bad = good = 0
    for row in rows:
        bad += row.moulds_with_scrap
        good += row.moulds - row.moulds_with_scrap
    return bad, good
