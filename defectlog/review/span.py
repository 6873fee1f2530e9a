"""Many months at once: each reviewed by itself as it was judged then, and their sum, in which nothing is judged anew.

Months are held against their own frozen past one by one; a sum over months has no chart, only how often each pattern
was marked. Adding months up loses no casting: counts, defects, weight and cost are those of the months together.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from defectlog.records.ledgers import Charge, MonthLedger, OutOfBalance, PatternMonth
from defectlog.review.clusters import Sums, design_effect, mould_sums, pattern_rho
from defectlog.review.cost import Amount, ShopRates, cost_of, method, weight_of
from defectlog.review.found import By, charges_of, found_counts, month_rows
from defectlog.review.intervals import Interval, rate_interval
from defectlog.review.month import MonthReview, added_up, pasts_of, review_month
from defectlog.review.not_enough import Gap, gaps_of
from defectlog.review.pareto import SCRAP, DefectRow, Order, pareto
from defectlog.review.pattern_month import PatternReview, first_pass, rate, returned
from defectlog.review.place_map import PlaceMap, place_maps
from defectlog.review.remedy_month import RemedyReview
from defectlog.review.usual import spread_of_shop


@dataclass(frozen=True, slots=True)
class SpanPattern:
    """One pattern over the months: `above` and `below` are how often it was marked, of `judged` months.

    `expected` is the sum of the months' that had a past; the other fields as in PatternReview.
    """

    pattern: str
    counts: PatternMonth
    first_pass: int | None
    returned: int
    excess: int
    scrap_rate: float | None
    interval: Interval | None
    expected: float | None
    judged: int
    above: int
    below: int
    cost: Amount
    kg: Amount
    main_defect: str | None


@dataclass(frozen=True, slots=True)
class SpanReview:
    """`months` in order; everything else is their sum. `expected` castings scrapped stand against `expected_of`, the
    scrap of the patterns that had a past. Remedies are as they stand at the end of the last month."""

    first: date
    last: date
    by: By
    months: tuple[MonthReview, ...]
    counts: PatternMonth
    first_pass: int | None
    returned: int
    excess: int
    scrap_rate: float | None
    interval: Interval | None
    expected: float | None
    expected_of: int | None
    cost: Amount
    kg: Amount
    currency: str
    cost_method: tuple[str, ...]
    patterns: tuple[SpanPattern, ...]
    defects: tuple[DefectRow, ...]
    found: Mapping[str, int]
    maps: tuple[PlaceMap, ...]
    gaps: tuple[Gap, ...]
    remedies: tuple[RemedyReview, ...]
    out_of_balance: tuple[OutOfBalance, ...]
    false_alarms_expected: float


def review_span(
    ledgers: Sequence[MonthLedger],
    *,
    by: By = "cast",
    rates: ShopRates | None = None,
    order: Order = "castings",
    only: str = "",
) -> SpanReview:
    """One ledger a month, in order. Raises ValueError when there is none."""
    if not ledgers:
        raise ValueError("a span needs at least one month")
    months = tuple(review_month(ledger, by=by, rates=rates, order=order, only=only) for ledger in ledgers)
    charges = [c for ledger in ledgers for c in charges_of(ledger, by) if only in ("", c.pattern)]
    rows = [row for ledger in ledgers for row in month_rows(ledger, by) if only in ("", row.pattern)]
    last = ledgers[-1]
    rho = spread_of_shop(pasts_of(last, rows)).mould_rho
    counts = added_up(rows, last.month)
    excess = sum(month.excess for month in months)
    scrap = [charge for charge in charges if charge.disposition == SCRAP]
    mixes = [month.mix for month in months if month.mix is not None and month.mix.expected is not None]
    return SpanReview(
        first=ledgers[0].month,
        last=last.month,
        by=by,
        months=months,
        counts=counts,
        first_pass=first_pass(counts, excess) if by == "cast" else None,
        returned=returned(charges),
        excess=excess,
        scrap_rate=rate(counts),
        interval=interval_of(counts, mould_sums(rows), rho) if by == "cast" else None,
        expected=sum(mix.expected or 0.0 for mix in mixes) if mixes else None,
        expected_of=sum(mix.scrapped for mix in mixes) if mixes else None,
        cost=cost_of(scrap, rates),
        kg=weight_of(scrap),
        currency=rates.currency if rates else "",
        cost_method=method(rates),
        patterns=span_patterns(months, charges, rates, rho),
        defects=pareto(charges, rates, order),
        found=found_counts(charges),
        maps=place_maps(charges),
        gaps=gaps_of(charges),
        remedies=months[-1].remedies,
        out_of_balance=tuple(row for month in months for row in month.out_of_balance),
        false_alarms_expected=sum(month.false_alarms_expected for month in months),
    )


def interval_of(counts: PatternMonth, sums: Sums, rho: float) -> Interval | None:
    return rate_interval(counts.scrapped, counts.castings, design_effect(sums, rho))


def span_patterns(
    months: Sequence[MonthReview], charges: Sequence[Charge], rates: ShopRates | None, rho: float
) -> tuple[SpanPattern, ...]:
    """Worst first, as in a month."""
    by_name: dict[str, list[PatternReview]] = {}
    mine: dict[str, list[Charge]] = {}
    for month in months:
        for row in month.patterns:
            by_name.setdefault(row.pattern, []).append(row)
    for charge in charges:
        mine.setdefault(charge.pattern, []).append(charge)
    by_cast = months[0].by == "cast"
    rows = [span_pattern(name, parts, mine.get(name, []), rates, rho, by_cast) for name, parts in by_name.items()]
    return tuple(sorted(rows, key=lambda row: (-(row.cost.total or 0.0), -row.counts.scrapped, row.pattern)))


def span_pattern(
    name: str,
    parts: Sequence[PatternReview],
    charges: Sequence[Charge],
    rates: ShopRates | None,
    rho: float,
    by_cast: bool,
) -> SpanPattern:
    rows = [part.counts for part in parts]
    counts = added_up(rows, rows[-1].month, name)
    excess = sum(part.excess for part in parts)
    scrap = [charge for charge in charges if charge.disposition == SCRAP]
    named = [item.defect for item in pareto(scrap) if item.defect]
    expected = [part.expected for part in parts if part.expected is not None]
    return SpanPattern(
        pattern=name,
        counts=counts,
        first_pass=first_pass(counts, excess) if by_cast else None,
        returned=returned(charges),
        excess=excess,
        scrap_rate=rate(counts),
        interval=interval_of(counts, mould_sums(rows), pattern_rho(rows, rho)) if by_cast else None,
        expected=sum(expected) if expected else None,
        judged=sum(part.signal in ("none", "above", "below") for part in parts),
        above=sum(part.signal == "above" for part in parts),
        below=sum(part.signal == "below" for part in parts),
        cost=cost_of(scrap, rates),
        kg=weight_of(scrap),
        main_defect=named[0] if named else None,
    )
