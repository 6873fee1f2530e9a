"""Sums of metal and money: yield, what a scrapped casting costs, how many to pour. Money in the shop's currency."""

import math
from dataclasses import dataclass


def casting_yield_pct(castings: float, casting_kg: float, poured_kg: float) -> float:
    """Weight of a mould's castings in % of the metal poured into it: the box yield."""
    if poured_kg <= 0:
        raise ValueError("the metal poured must be more than nothing")
    return castings * casting_kg / poured_kg * 100


def shop_yield_pct(good_kg: float, melted_kg: float) -> float:
    """Weight of good castings in % of all metal melted: scrap, pigged metal and melt loss included."""
    if melted_kg <= 0:
        raise ValueError("the metal melted must be more than nothing")
    return good_kg / melted_kg * 100


def good_yield_pct(yield_pct: float, scrap_rate: float) -> float:
    """Box yield after scrap, Y·(1 − scrap)."""
    return yield_pct * (1 - scrap_rate)


def poured_from_yield(casting_kg: float, yield_pct: float) -> float:
    """Metal in kg to pour for a casting at a yield."""
    if yield_pct <= 0:
        raise ValueError("the yield must be more than nothing")
    return casting_kg / yield_pct * 100


@dataclass(frozen=True, slots=True)
class Rates:
    """What the shop pays. None of these has a default that could be right for anyone; unknown ones count as nothing."""

    metal_per_kg: float = 0.0
    remelt_per_kg: float = 0.0
    energy_per_kg: float = 0.0
    melting_labour_per_kg: float = 0.0
    labour_per_hour: float = 0.0
    melt_loss_pct: float = 0.0


@dataclass(frozen=True, slots=True)
class ScrapCost:
    """What one casting scrapped at shakeout costs, part by part; `remelt_credit` is taken off."""

    metal: float
    remelt_credit: float
    melt_loss: float
    melting: float
    moulding: float
    other: float

    @property
    def total(self) -> float:
        return self.metal - self.remelt_credit + self.melt_loss + self.melting + self.moulding + self.other


def scrap_cost(
    rates: Rates,
    *,
    casting_kg: float,
    poured_kg_each: float,
    moulding_minutes_each: float = 0.0,
    other_each: float = 0.0,
) -> ScrapCost:
    """Cost of one scrapped casting. `poured_kg_each` is its share of the metal poured, gates and feeders with it.

    The casting's metal is lost at the price paid and comes back at what remelt is worth; the loss in melting and
    the melting itself are paid on everything that was poured; the hours do not come back. `other_each`: sand, cores,
    fettling, machining spent before the fault was found. Common practice, no source.
    """
    return ScrapCost(
        metal=casting_kg * rates.metal_per_kg,
        remelt_credit=casting_kg * rates.remelt_per_kg,
        melt_loss=poured_kg_each * rates.melt_loss_pct / 100 * rates.metal_per_kg,
        melting=poured_kg_each * (rates.energy_per_kg + rates.melting_labour_per_kg),
        moulding=moulding_minutes_each / 60 * rates.labour_per_hour,
        other=other_each,
    )


@dataclass(frozen=True, slots=True)
class PourPlan:
    """How many castings to pour for a number of good ones.

    `expected` on average; `enough` suffices with the asked chance; `low` and `high` hold the middle 90 %.
    """

    expected: float
    enough: int
    low: int
    high: int


def pieces_to_pour(good: int, scrap_rate: float, chance: float = 0.9) -> PourPlan:
    """Castings to pour until `good` are good: negative binomial, exact, castings taken as independent.

    Castings of one mould or one heat fail together, so the true range is wider.
    Raises ValueError for good < 1, a scrap rate outside [0, 1) or a chance outside (0, 0.9999].
    """
    if good < 1 or not 0 <= scrap_rate < 1 or not 0 < chance <= 0.9999:
        raise ValueError("at least one good casting, a scrap rate under 100 % and a chance of at most 99.99 %")
    low, high, enough = poured_quantiles(good, scrap_rate, (0.05, 0.95, chance))
    return PourPlan(good / (1 - scrap_rate), enough, low, high)


def poured_quantiles(good: int, scrap_rate: float, chances: tuple[float, ...]) -> list[int]:
    """The least numbers n with P(at least `good` of n are good) ≥ each chance."""
    if scrap_rate == 0:
        return [good for _ in chances]
    found: dict[float, int] = {}
    log_term = good * math.log1p(-scrap_rate)  # P(the last good one is piece n), n = good
    log_scrap = math.log(scrap_rate)
    total, poured = math.exp(log_term), good
    for chance in sorted(set(chances)):
        while total < chance - 1e-12:
            log_term += math.log(poured / (poured + 1 - good)) + log_scrap
            poured += 1
            total += math.exp(log_term)
        found[chance] = poured
    return [found[chance] for chance in chances]
