"""Does this month of a pattern stand out from its own past, or is it luck, or are there too few to tell?

Busy patterns get a p chart of castings scrapped, widened for moulds that fail whole and for months that differ by
themselves (Laney's p′). Where scrap is rare the chart counts moulds between moulds with scrap (g), worked as exact
odds. Both allow for a short past. Either way an unchanged pattern is marked about once in a hundred months, LEVEL on
each side; a month that could not even show three times the usual rate, or a third of it, is called "too few", not
"none".

Measured on 6000 months of invented shops with nothing changed: 13 marks in 1000 months judged; 40 in 1000 on the p
chart where days differ wildly, 33 where the past is only four months. Tests hold a smaller such measurement.

How soon a lasting change is marked, usual rates of 2 to 12 %, moulds of four (invented shops, four patterns of five):
doubled, within 3 months at 80 moulds a month and a usual rate of 6 % or more, within 2 at 200 moulds; tripled, within 1
month from 80 moulds on, within 5 at 30 moulds. Half as much again is seen in months, or never at 30 moulds.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from defectlog.records.ledgers import PatternMonth
from defectlog.review.charts import gap_limits
from defectlog.review.clusters import design_effect, month_effect, mould_sums
from defectlog.review.distributions import beta_cdf, beta_quantile
from defectlog.review.drift import creeping
from defectlog.review.exact import Floats, beta_binomial
from defectlog.review.usual import Past, ShopSpread, rho_of, sigma_of

Signal = Literal["none", "above", "below", "too few"]
ChartKind = Literal["p", "g"]
LEVEL = 0.005
FALSE_ALARMS = 2 * LEVEL
# A month that would show neither so many times the usual rate nor so small a part of it is too small to say "nothing
# stands out". Judgement.
WORTH_SEEING = 3


@dataclass(frozen=True, slots=True)
class Judged:
    """How one pattern's month was judged.

    `limits` are scrap rates for a p chart; for a g chart they are moulds in a row without scrap: a run shorter than the
    first (often 0: none is) or as long as the second would be news. `odds_of_luck` is the chance that an unchanged
    pattern lies as far out or farther, both sides. `variance` is that of the month's scrap rate, were nothing changed.
    """

    signal: Signal
    chart: ChartKind | None = None
    limits: tuple[float, float] | None = None
    odds_of_luck: float | None = None
    creeping: str = ""
    variance: float | None = None


TOO_FEW = Judged("too few")


@dataclass(frozen=True, slots=True)
class Usual:
    """A pattern's usual scrap rate with the variance of one month's rate about it, and how its castings clump."""

    rate: float
    variance: float
    rho: float
    sigma: float


def usual(month: PatternMonth, past: Past, shop: ShopSpread) -> Usual | None:
    """None without a past or without castings in the month.

    The rate in the variance is held half a casting off nothing and off everything (Jeffreys's prior), so that a past
    with no scrap does not make the first scrapped casting impossible.
    """
    if not month.castings or not past.castings:
        return None
    rho = rho_of(past, shop)
    sigma = sigma_of(past, rho, shop)
    held = (min(past.scrapped, past.castings) + 0.5) / (past.castings + 1)
    worth_month = month.castings / month_effect(month, rho)
    worth_past = past.castings / design_effect(mould_sums(past.baseline), rho)
    variance = held * (1 - held) * sigma**2 * (1 / worth_month + 1 / worth_past)
    return Usual(min(past.scrapped / past.castings, 1.0), variance, rho, sigma)


def judge(month: PatternMonth, past: Past, shop: ShopSpread) -> Judged:
    """`month` against its pattern's frozen past."""
    own = usual(month, past, shop)
    if own is None:
        return TOO_FEW
    worth = month.castings / (month_effect(month, own.rho) * own.sigma**2)
    # With more than this expected, three sigma below the usual rate is still above nothing: n > 9 (1 − p) / p.
    if own.rate < 1 and worth * own.rate > 9 * (1 - own.rate):
        return judge_rate(month, past, own)
    return judge_gaps(month, past, shop, own.variance)


def judge_rate(month: PatternMonth, past: Past, own: Usual) -> Judged:
    """p chart. The limits are those of a beta distribution of the same mean and variance: never outside 0 to 1."""
    together = own.rate * (1 - own.rate) / own.variance - 1
    a, b = own.rate * max(together, 1e-6), (1 - own.rate) * max(together, 1e-6)
    low, high = beta_quantile(LEVEL, a, b), beta_quantile(1 - LEVEL, a, b)
    seen = min(month.scrapped / month.castings, 1.0)
    below = beta_cdf(seen, a, b)
    signal: Signal = "above" if seen > high else "below" if seen < low else "none"
    odds = min(1.0, 2 * min(below, 1 - below))
    return Judged(signal, "p", (low, high), odds, creeping(scores(month, past, own)), own.variance)


def scores(month: PatternMonth, past: Past, own: Usual) -> list[float]:
    """Standard scores of the months since the past was frozen, the one under review last."""
    found = []
    for row in (*past.since, month):
        if row.castings:
            worth = row.castings / month_effect(row, own.rho)
            sigma = own.sigma * math.sqrt(own.rate * (1 - own.rate) / worth)
            found.append((row.scrapped / row.castings - own.rate) / sigma)
    return found


def judge_gaps(month: PatternMonth, past: Past, shop: ShopSpread, variance: float) -> Judged:
    """g chart on moulds: too many moulds with scrap too soon after each other, or a clean run too long for the past."""
    rate = (past.moulds_with_scrap + 0.5) / (past.moulds + 1)
    firmness = 1 / (1 / (past.moulds + 1) + shop.month_rho)
    a, b = rate * firmness, (1 - rate) * firmness
    chances = beta_binomial(month.moulds, a, b)
    more = float(chances[month.moulds_with_scrap :].sum())
    run = clean_run(month, past)
    fewer = float(chances[: month.moulds_with_scrap + 1].sum()) if not run else none_in(run, a, b)
    signal: Signal = "above" if more <= LEVEL else "below" if fewer <= LEVEL else "none"
    if signal == "none" and not would_show(chances, month.moulds, rate):
        signal = "too few"
    limits = gap_limits(rate, LEVEL)
    return Judged(signal, "g", limits, min(1.0, 2 * min(more, fewer)), "", variance)


def clean_run(month: PatternMonth, past: Past) -> int:
    """Moulds without scrap up to the month's end, over whole months; 0 when the month has any."""
    run = 0
    for row in (month, *reversed((*past.baseline, *past.since))):
        if row.moulds_with_scrap:
            break
        run += row.moulds
    return run


def none_in(run: int, a: float, b: float) -> float:
    """Chance of a clean run when the rate is Beta(a, b)."""
    return float(beta_binomial(run, a, b)[0])


def would_show(chances: Floats, moulds: int, rate: float) -> bool:
    """Whether three times the usual rate, or a third of it, would be marked more often than not."""
    enough = np.nonzero(np.cumsum(chances[::-1])[::-1] <= LEVEL)[0]
    few = np.nonzero(np.cumsum(chances) <= LEVEL)[0]
    more = len(enough) > 0 and enough[0] <= min(1.0, WORTH_SEEING * rate) * moulds
    fewer = len(few) > 0 and few[-1] >= rate / WORTH_SEEING * moulds
    return bool(more or fewer)


def false_alarms_expected(judged: Sequence[Judged]) -> float:
    """Marks to expect from luck alone over all patterns that were judged."""
    return FALSE_ALARMS * sum(item.signal != "too few" for item in judged)
