"""The monthly review: everything that the scrap meeting looks at, worked out of one ledger. Values in, a value out."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from defectlog.records.ledgers import MonthLedger, OutOfBalance, PatternMonth
from defectlog.review.clusters import design_effect, mould_sums
from defectlog.review.cost import Amount, ShopRates, cost_of, method, weight_of
from defectlog.review.expected import Job, JobMix, job_mix
from defectlog.review.found import By, charges_of, found_counts, found_late, month_rows
from defectlog.review.intervals import Interval, rate_interval
from defectlog.review.not_enough import Gap, gaps_of
from defectlog.review.pareto import SCRAP, DefectRow, Order, crossed, pareto
from defectlog.review.pattern_month import PatternReview, first_pass, pattern_reviews, rate, returned
from defectlog.review.place_map import PlaceMap, place_maps
from defectlog.review.places import Concentration, concentrations
from defectlog.review.remedy_month import RemedyReview, remedy_reviews
from defectlog.review.signals import Judged, Usual, false_alarms_expected, usual
from defectlog.review.usual import Past, ShopSpread, by_pattern, past_of, spread_of_shop
from defectlog.review.wording import Facts, notes
from defectlog.review.years import YearOnYear, year_on_year


@dataclass(frozen=True, slots=True)
class MonthReview:
    """The whole review. `counts` adds all patterns up under the pattern name ""; first_pass, returned and excess are as
    in PatternReview, over all patterns. `crossed` is castings scrapped by pattern and defect.
    """

    month: date
    by: By
    counts: PatternMonth
    first_pass: int | None
    returned: int
    excess: int
    scrap_rate: float | None
    interval: Interval | None
    mix: JobMix | None
    cost: Amount
    kg: Amount
    currency: str
    cost_method: tuple[str, ...]
    patterns: tuple[PatternReview, ...]
    defects: tuple[DefectRow, ...]
    crossed: Mapping[tuple[str, str], int]
    found: Mapping[str, int]
    places: tuple[Concentration, ...]
    maps: tuple[PlaceMap, ...]
    gaps: tuple[Gap, ...]
    remedies: tuple[RemedyReview, ...]
    out_of_balance: tuple[OutOfBalance, ...]
    years: YearOnYear | None
    false_alarms_expected: float
    trials: int
    lost_before_pouring: int
    undated: int
    notes: tuple[str, ...]


def review_month(
    ledger: MonthLedger, *, by: By = "cast", rates: ShopRates | None = None, order: Order = "castings", only: str = ""
) -> MonthReview:
    """Review one month by month `cast` or by month `found`; `order` is that of the defects.

    With `only` the answer is of that pattern alone; it is still judged as one of all, so that asking for one changes
    no verdict.
    """
    rows, charges = month_rows(ledger, by), charges_of(ledger, by)
    pasts = pasts_of(ledger, rows)
    shop = spread_of_shop(pasts)
    patterns = pattern_reviews(rows, pasts, shop, charges, ledger, rates, by)
    if only:
        ledger = narrowed(ledger, only)
        rows, charges = month_rows(ledger, by), charges_of(ledger, by)
        patterns = tuple(row for row in patterns if row.pattern == only)
    counts = added_up(rows, ledger.month)
    judged = [Judged(row.signal) for row in patterns if row.signal is not None]
    scrap = [charge for charge in charges if charge.disposition == SCRAP]
    excess = sum(row.excess for row in patterns)
    effect = design_effect(mould_sums(rows), shop.mould_rho)
    review = MonthReview(
        month=ledger.month,
        by=by,
        counts=counts,
        first_pass=first_pass(counts, excess) if by == "cast" else None,
        returned=returned(charges),
        excess=excess,
        scrap_rate=rate(counts),
        interval=rate_interval(counts.scrapped, counts.castings, effect) if by == "cast" else None,
        mix=job_mix(jobs(rows, pasts, shop)) if by == "cast" else None,
        cost=cost_of(scrap, rates),
        kg=weight_of(scrap),
        currency=rates.currency if rates else "",
        cost_method=method(rates),
        patterns=patterns,
        defects=pareto(charges, rates, order),
        crossed=crossed(scrap),
        found=found_counts(charges),
        places=concentrations(charges),
        maps=place_maps(charges),
        gaps=gaps_of(charges),
        remedies=remedy_reviews(ledger.remedies, ledger.month),
        out_of_balance=ledger.out_of_balance,
        years=year_on_year(ledger.months, ledger.month) if by == "cast" else None,
        false_alarms_expected=false_alarms_expected(judged),
        trials=ledger.trials,
        lost_before_pouring=ledger.lost_before_pouring,
        undated=ledger.undated,
        notes=(),
    )
    return replace(review, notes=notes(facts(review, ledger)))


def narrowed(ledger: MonthLedger, pattern: str) -> MonthLedger:
    """What of the ledger is one pattern's; moulds kept out of the rates are the book's to narrow."""
    return replace(
        ledger,
        months=tuple(row for row in ledger.months if row.pattern == pattern),
        metal=tuple(row for row in ledger.metal if row.pattern == pattern),
        charges=tuple(row for row in ledger.charges if row.pattern == pattern),
        out_of_balance=tuple(row for row in ledger.out_of_balance if row.pattern == pattern),
        remedies=tuple(row for row in ledger.remedies if row.remedy.pattern == pattern),
        changes=tuple(row for row in ledger.changes if row.pattern == pattern),
    )


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


def jobs(rows: Sequence[PatternMonth], pasts: Mapping[str, Past], shop: ShopSpread) -> list[Job]:
    found = []
    for row in rows:
        own: Usual | None = usual(row, pasts[row.pattern], shop)
        if row.castings:
            rate, variance = (own.rate, own.variance) if own else (None, None)
            found.append(Job(row.pattern, row.castings, row.scrapped, rate, variance))
    return found


def added_up(rows: Sequence[PatternMonth], month: date, pattern: str = "") -> PatternMonth:
    """The sum of rows, under one name and month."""
    sums = mould_sums(rows)
    return PatternMonth(
        pattern=pattern,
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
