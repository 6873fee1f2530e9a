"""The monthly review: everything that the scrap meeting looks at, worked out of one ledger. Values in, a value out."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Literal

from defectlog.records.ledgers import Charge, MonthLedger, OutOfBalance, PatternMonth, RemedyTally
from defectlog.review.clusters import design_effect, mould_sums
from defectlog.review.cost import Amount, ShopRates, cost_of, method, weight_of
from defectlog.review.did_it_work import Outcome, did_it_work
from defectlog.review.exact import still_stand_out
from defectlog.review.expected import Job, JobMix, job_mix
from defectlog.review.found import By, charges_of, found_counts, found_late, month_rows
from defectlog.review.intervals import Interval, rate_interval
from defectlog.review.pareto import DefectRow, Order, pareto
from defectlog.review.places import Concentration, concentrations
from defectlog.review.signals import TOO_FEW, ChartKind, Judged, Signal, Usual, false_alarms_expected, judge, usual
from defectlog.review.usual import Past, ShopSpread, by_pattern, past_of, rho_of, spread_of_shop
from defectlog.review.wording import Facts, notes
from defectlog.review.years import YearOnYear, year_on_year

Sort = Literal["cost", "castings"]


@dataclass(frozen=True, slots=True)
class PatternReview:
    """One pattern's month. Rates are 0 to 1; None is "cannot be told", never zero.

    `expected` is castings scrapped, from the pattern's own past (`past_*` counts). `limits` belong to `chart`: scrap
    rates (p) or moulds in a row without scrap (g). `firm`: stands out even though so many patterns were looked at. By
    month found there is no judging: `signal`, `chart`, `limits`, `interval` and `expected` are None.
    """

    pattern: str
    counts: PatternMonth
    scrap_rate: float | None
    interval: Interval | None
    expected: float | None
    past_moulds: int
    past_castings: int
    past_scrapped: int
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


@dataclass(frozen=True, slots=True)
class RemedyReview:
    """A remedy as it stands at the month's end. `due`: an answer can be given and none is on record."""

    tally: RemedyTally
    outcome: Outcome
    due: bool


@dataclass(frozen=True, slots=True)
class MonthReview:
    """The whole review. `counts` adds all patterns up under the pattern name ""."""

    month: date
    by: By
    counts: PatternMonth
    scrap_rate: float | None
    interval: Interval | None
    mix: JobMix | None
    cost: Amount
    kg: Amount
    currency: str
    cost_method: tuple[str, ...]
    patterns: tuple[PatternReview, ...]
    defects: tuple[DefectRow, ...]
    found: Mapping[str, int]
    places: tuple[Concentration, ...]
    remedies: tuple[RemedyReview, ...]
    out_of_balance: tuple[OutOfBalance, ...]
    years: YearOnYear | None
    false_alarms_expected: float
    trials: int
    lost_before_pouring: int
    undated: int
    notes: tuple[str, ...]


def review_month(
    ledger: MonthLedger, *, by: By = "cast", rates: ShopRates | None = None, order: Order = "castings"
) -> MonthReview:
    """Review one month by month `cast` or by month `found`; `order` is that of the defects."""
    rows, charges = month_rows(ledger, by), charges_of(ledger, by)
    pasts = pasts_of(ledger, rows)
    shop = spread_of_shop(pasts)
    patterns = tuple(reviewed(row, pasts[row.pattern], shop, charges, ledger, rates, by) for row in rows)
    patterns = with_firmness(patterns)
    counts = added_up(rows, ledger.month)
    judged = [Judged(row.signal) for row in patterns if row.signal is not None]
    scrap = [charge for charge in charges if charge.disposition == "scrap"]
    effect = design_effect(mould_sums(rows), shop.mould_rho)
    review = MonthReview(
        month=ledger.month,
        by=by,
        counts=counts,
        scrap_rate=rate(counts),
        interval=rate_interval(counts.scrapped, counts.castings, effect) if by == "cast" else None,
        mix=job_mix(jobs(rows, pasts, shop)) if by == "cast" else None,
        cost=cost_of(scrap, rates),
        kg=weight_of(scrap),
        currency=rates.currency if rates else "",
        cost_method=method(rates),
        patterns=tuple(sorted(patterns, key=worst_first)),
        defects=pareto(charges, rates, order),
        found=found_counts(charges),
        places=concentrations(charges),
        remedies=tuple(reviewed_remedy(tally) for tally in ledger.remedies),
        out_of_balance=ledger.out_of_balance,
        years=year_on_year(ledger.months, ledger.month) if by == "cast" else None,
        false_alarms_expected=false_alarms_expected(judged),
        trials=ledger.trials,
        lost_before_pouring=ledger.lost_before_pouring,
        undated=ledger.undated,
        notes=(),
    )
    return replace(review, notes=notes(facts(review, ledger)))


def pasts_of(ledger: MonthLedger, rows: Sequence[PatternMonth]) -> dict[str, Past]:
    """Every pattern's frozen past; those not poured this month help to tell how scrap clumps in this shop."""
    months = by_pattern(ledger.months)
    names = {row.pattern for row in rows} | set(months)
    return {
        name: past_of(
            months.get(name, []), ledger.month, [change for change in ledger.changes if change.pattern == name]
        )
        for name in sorted(names)
    }


def rate(row: PatternMonth) -> float | None:
    return row.scrapped / row.castings if row.castings else None


def reviewed(
    row: PatternMonth,
    past: Past,
    shop: ShopSpread,
    charges: Sequence[Charge],
    ledger: MonthLedger,
    rates: ShopRates | None,
    by: By,
) -> PatternReview:
    mine = [c for c in charges if c.pattern == row.pattern and c.disposition == "scrap"]
    by_cast = by == "cast"
    judged = judge(row, past, shop) if by_cast else TOO_FEW
    effect = design_effect(mould_sums([row]), rho_of(past, shop))
    defects = pareto(mine)
    named = [item.defect for item in defects if item.defect]
    return PatternReview(
        pattern=row.pattern,
        counts=row,
        scrap_rate=rate(row),
        interval=rate_interval(row.scrapped, row.castings, effect) if by_cast else None,
        expected=past.rate * row.castings if by_cast and past.rate is not None else None,
        past_moulds=past.moulds,
        past_castings=past.castings,
        past_scrapped=past.scrapped,
        chart=judged.chart if by_cast else None,
        limits=judged.limits if by_cast else None,
        signal=judged.signal if by_cast else None,
        odds_of_luck=judged.odds_of_luck if by_cast else None,
        firm=False,
        creeping=judged.creeping,
        cost=cost_of(mine, rates),
        kg=weight_of(mine),
        yield_pct=box_yield(ledger, row.pattern),
        main_defect=named[0] if named else None,
    )


def box_yield(ledger: MonthLedger, pattern: str) -> float | None:
    """Weight of the month's castings in % of the metal poured for them, from the pattern cards."""
    for metal in ledger.metal:
        if metal.pattern == pattern and metal.casting_kg is not None and metal.poured_kg:
            return metal.casting_kg / metal.poured_kg * 100
    return None


def with_firmness(patterns: tuple[PatternReview, ...]) -> tuple[PatternReview, ...]:
    """Of the patterns marked, which still stand out after so many were looked at."""
    told = [row for row in patterns if row.odds_of_luck is not None]
    kept = still_stand_out([row.odds_of_luck or 0.0 for row in told])
    firm = {row.pattern for row, keep in zip(told, kept, strict=True) if keep and row.signal in ("above", "below")}
    return tuple(replace(row, firm=row.pattern in firm) for row in patterns)


def jobs(rows: Sequence[PatternMonth], pasts: Mapping[str, Past], shop: ShopSpread) -> list[Job]:
    found = []
    for row in rows:
        own: Usual | None = usual(row, pasts[row.pattern], shop)
        if row.castings:
            rate, variance = (own.rate, own.variance) if own else (None, None)
            found.append(Job(row.pattern, row.castings, row.scrapped, rate, variance))
    return found


def added_up(rows: Sequence[PatternMonth], month: date) -> PatternMonth:
    sums = mould_sums(rows)
    return PatternMonth(
        pattern="",
        month=month,
        moulds=sums.clusters,
        moulds_with_scrap=sums.with_bad,
        castings=sum(row.castings for row in rows),
        scrapped=sum(row.scrapped for row in rows),
        reworked=sum(row.reworked for row in rows),
        used_as_is=sum(row.used_as_is for row in rows),
        undecided=sum(row.undecided for row in rows),
        castings_squared=sum(row.castings_squared for row in rows),
        scrapped_squared=sum(row.scrapped_squared for row in rows),
        scrapped_by_castings=sum(row.scrapped_by_castings for row in rows),
    )


def worst_first(row: PatternReview) -> tuple[float, int, str]:
    """By cost, then by castings scrapped, then by name; people are in no order at all."""
    return (-(row.cost.total or 0.0), -row.counts.scrapped, row.pattern)


def reviewed_remedy(tally: RemedyTally) -> RemedyReview:
    outcome = did_it_work(tally.before, tally.after, tally.remedy.check_castings)
    open_still = tally.remedy.verdict in (None, "too soon")
    return RemedyReview(tally, outcome, due=open_still and outcome.answer != "too soon")


def facts(review: MonthReview, ledger: MonthLedger) -> Facts:
    earlier, later = found_late(ledger)
    poured = {row.pattern for row in review.patterns}
    return Facts(
        by=review.by,
        judged=sum(row.signal in ("none", "above", "below") for row in review.patterns),
        too_few=sum(row.signal == "too few" for row in review.patterns),
        false_alarms=review.false_alarms_expected,
        without_past=len(review.mix.without_past) if review.mix else 0,
        no_weight=review.kg.left_out,
        not_costed=review.cost.left_out if review.cost.total is not None else 0,
        trials=review.trials,
        lost=review.lost_before_pouring,
        undated=review.undated,
        found_from_earlier=earlier,
        found_after=later,
        day_unknown=sum(c.castings for c in charges_of(ledger, review.by) if not c.found_on_known),
        undecided=review.counts.undecided,
        out_of_balance=len(review.out_of_balance),
        marked=tuple(
            f"{change.pattern} from {change.started.isoformat()}"
            for change in ledger.changes
            if change.pattern in poured and change.started < review.month
        ),
    )
