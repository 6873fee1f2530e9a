"""One pattern's months in a row, for its own chart: the frozen past, then every month judged as it was judged then."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from defectlog.records.ledgers import MarkedChange, PatternMonth
from defectlog.review.clusters import month_effect, mould_sums
from defectlog.review.intervals import Interval, rate_interval
from defectlog.review.run_rules import RUN_NELSON, run_rule, signals
from defectlog.review.signals import Judged, judge
from defectlog.review.usual import Past, ShopSpread, month_before, past_of, rho_of


@dataclass(frozen=True, slots=True)
class SeriesPoint:
    """One month. `judged` is None for the months that make the past; `long_run` ends nine in a row on one side."""

    counts: PatternMonth
    rate: float | None
    interval: Interval | None
    judged: Judged | None
    long_run: bool


@dataclass(frozen=True, slots=True)
class PatternSeries:
    """`usual` is the scrap rate of the frozen past, None without one; `changed` is what it starts from, if anything."""

    pattern: str
    usual: float | None
    changed: MarkedChange | None
    points: tuple[SeriesPoint, ...]


def pattern_series(
    months: Sequence[PatternMonth], month: date, shop: ShopSpread, changes: Iterable[MarkedChange] = ()
) -> PatternSeries:
    """`months` of one pattern in order, up to and including `month`.

    A long run alone is luck once in 256 months: it is shown on the chart and is no signal of the review.
    """
    past = past_of(months, month, changes)
    now = [row for row in months if row.month == month]
    later = [*past.since, *now]
    runs = set(signals([side(row, past.rate) for row in later], run_rule(RUN_NELSON)))
    rho = rho_of(past, shop)
    points = [point(row, rho, None, long_run=False) for row in past.baseline]
    for at, row in enumerate(later):
        as_then = Past(past.baseline, past.since[:at], past.changed)
        points.append(point(row, rho, judge(row, as_then, shop), long_run=at + 1 in runs))
    name = months[0].pattern if months else ""
    return PatternSeries(name, past.rate, past.changed, tuple(points))


def side(row: PatternMonth, usual: float | None) -> float:
    """Above or below the usual rate, or 0 on it."""
    return row.scrapped / row.castings - usual if row.castings and usual is not None else 0.0


def point(row: PatternMonth, rho: float, judged: Judged | None, *, long_run: bool) -> SeriesPoint:
    effect = month_effect(row, rho)
    rate = row.scrapped / row.castings if row.castings else None
    return SeriesPoint(row, rate, rate_interval(row.scrapped, row.castings, effect), judged, long_run)


def shop_series(months: Iterable[PatternMonth], month: date, rho: float, back: int = 12) -> tuple[SeriesPoint, ...]:
    """All patterns together, `month` and `back` months before it. Never judged: the job mix moves it as much as the
    work does."""
    earliest = month_before(month, back)
    by_month: dict[date, list[PatternMonth]] = {}
    for row in months:
        if earliest <= row.month <= month and row.moulds:
            by_month.setdefault(row.month, []).append(row)
    points = []
    for first, rows in sorted(by_month.items()):
        sums = mould_sums(rows)
        counts = PatternMonth(
            "",
            first,
            sums.clusters,
            sums.with_bad,
            int(sums.units),
            int(sums.bad),
            castings_squared=int(sums.units_squared),
        )
        points.append(point(counts, rho, None, long_run=False))
    return tuple(points)
