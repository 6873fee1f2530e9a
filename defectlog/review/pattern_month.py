"""One pattern's month: its counts, its rate against its own frozen past, its cost and weight."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from defectlog.records.ledgers import Charge, MonthLedger, PatternMonth
from defectlog.review.clusters import month_effect
from defectlog.review.cost import Amount, ShopRates, cost_of, weight_of
from defectlog.review.exact import still_stand_out
from defectlog.review.found import By
from defectlog.review.intervals import Interval, rate_interval
from defectlog.review.pareto import SCRAP, pareto
from defectlog.review.signals import TOO_FEW, ChartKind, Signal, judge
from defectlog.review.usual import Past, ShopSpread, rho_of

CUSTOMER = "customer"


@dataclass(frozen=True, slots=True)
class PatternReview:
    """One pattern's month. Rates are 0 to 1; None is "cannot be told", never zero.

    `first_pass` castings had nothing charged to them; `returned` were found by the customer, whatever became of them;
    `excess` is how many more are charged than were in their moulds. castings = first_pass + scrapped + reworked +
    used as is + undecided − excess. `expected` is castings scrapped, from the pattern's own past (`past_*` counts, of
    the months `past_span`). `limits` belong to `chart`: scrap rates (p) or moulds in a row without scrap (g). `firm`:
    stands out even though so many patterns were looked at. By month found there is no judging: `signal`, `chart`,
    `limits`, `interval`, `expected` and `first_pass` are None.
    """

    pattern: str
    counts: PatternMonth
    first_pass: int | None
    returned: int
    excess: int
    scrap_rate: float | None
    interval: Interval | None
    expected: float | None
    past_moulds: int
    past_castings: int
    past_scrapped: int
    past_span: tuple[date, date] | None
    chart: ChartKind | None
    limits: tuple[float, float] | None
    signal: Signal | None
    odds_of_luck: float | None
    firm: bool
    creeping: str
    cost: Amount
    kg: Amount
    yield_pct: float | None
    main_defect: str | None


def rate(row: PatternMonth) -> float | None:
    return row.scrapped / row.castings if row.castings else None


def not_first_pass(row: PatternMonth) -> int:
    """Castings charged to a defect, whatever became of them."""
    return row.scrapped + row.reworked + row.used_as_is + row.undecided


def first_pass(row: PatternMonth, excess: int) -> int:
    return row.castings - not_first_pass(row) + excess


def returned(charges: Sequence[Charge]) -> int:
    return sum(charge.castings for charge in charges if charge.found == CUSTOMER)


def excess_by_pattern(ledger: MonthLedger) -> dict[str, int]:
    """Castings charged beyond those in their moulds, of moulds poured in the month."""
    found: dict[str, int] = {}
    for item in ledger.out_of_balance:
        found[item.pattern] = found.get(item.pattern, 0) + item.charged - item.castings
    return found


def pattern_reviews(
    rows: Sequence[PatternMonth],
    pasts: Mapping[str, Past],
    shop: ShopSpread,
    charges: Sequence[Charge],
    ledger: MonthLedger,
    rates: ShopRates | None,
    by: By,
) -> tuple[PatternReview, ...]:
    """Every pattern of the month, worst first."""
    mine: dict[str, list[Charge]] = {}
    for charge in charges:
        mine.setdefault(charge.pattern, []).append(charge)
    excess = excess_by_pattern(ledger) if by == "cast" else {}
    yields = box_yields(ledger)
    made = [
        reviewed(row, pasts[row.pattern], shop, mine.get(row.pattern, []), excess.get(row.pattern, 0), rates, by)
        for row in rows
    ]
    with_yields = (replace(row, yield_pct=yields.get(row.pattern)) for row in made)
    return tuple(sorted(with_firmness(tuple(with_yields)), key=worst_first))


def reviewed(
    row: PatternMonth,
    past: Past,
    shop: ShopSpread,
    charges: Sequence[Charge],
    excess: int,
    rates: ShopRates | None,
    by: By,
) -> PatternReview:
    """`charges` are this pattern's alone."""
    scrap = [charge for charge in charges if charge.disposition == SCRAP]
    by_cast = by == "cast"
    judged = judge(row, past, shop) if by_cast else TOO_FEW
    named = [item.defect for item in pareto(scrap) if item.defect]
    return PatternReview(
        pattern=row.pattern,
        counts=row,
        first_pass=first_pass(row, excess) if by_cast else None,
        returned=returned(charges),
        excess=excess,
        scrap_rate=rate(row),
        interval=rate_interval(row.scrapped, row.castings, month_effect(row, rho_of(past, shop))) if by_cast else None,
        expected=past.rate * row.castings if by_cast and past.rate is not None else None,
        past_moulds=past.moulds,
        past_castings=past.castings,
        past_scrapped=past.scrapped,
        past_span=(past.baseline[0].month, past.baseline[-1].month) if past.baseline else None,
        chart=judged.chart if by_cast else None,
        limits=judged.limits if by_cast else None,
        signal=judged.signal if by_cast else None,
        odds_of_luck=judged.odds_of_luck if by_cast else None,
        firm=False,
        creeping=judged.creeping,
        cost=cost_of(scrap, rates),
        kg=weight_of(scrap),
        yield_pct=None,
        main_defect=named[0] if named else None,
    )


def box_yields(ledger: MonthLedger) -> dict[str, float]:
    """Weight of the month's castings in % of the metal poured for them, from the pattern cards."""
    return {
        metal.pattern: metal.casting_kg / metal.poured_kg * 100
        for metal in ledger.metal
        if metal.casting_kg is not None and metal.poured_kg
    }


def with_firmness(patterns: tuple[PatternReview, ...]) -> tuple[PatternReview, ...]:
    """Of the patterns marked, which still stand out after so many were looked at."""
    told = [row for row in patterns if row.odds_of_luck is not None]
    kept = still_stand_out([row.odds_of_luck or 0.0 for row in told])
    firm = {row.pattern for row, keep in zip(told, kept, strict=True) if keep and row.signal in ("above", "below")}
    return tuple(replace(row, firm=row.pattern in firm) for row in patterns)


def worst_first(row: PatternReview) -> tuple[float, int, str]:
    """By cost, then by castings scrapped, then by name; people are in no order at all."""
    return (-(row.cost.total or 0.0), -row.counts.scrapped, row.pattern)
