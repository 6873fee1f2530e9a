"""When the rate changed, how sure that is, and what else changed about then.

A Bayesian change point (one change or none) on the same day-by-day likelihood as the ranking.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

import numpy as np

from defectlog.diagnosis.arrays import Floats
from defectlog.diagnosis.evidence import Evidence, mould_day
from defectlog.diagnosis.likelihood import cell_log_likelihood, summed
from defectlog.diagnosis.rates import RateGrid, log_sum
from defectlog.records.histories import PatternHistory

CHANGED_BEFORE = 0.5
# A change less likely than this is not searched for company: a steady dozen of days still leaves it at three in ten.
WORTH_A_LOOK = 0.5
# Fewer days than this on either side is no "before" or "after".
FEWEST_DAYS = 3
# What began within so many of the pattern's own pouring days of the change is named beside it.
NEAR_DAYS = 3


@dataclass(frozen=True, slots=True)
class Change:
    """`chance` that the rate changed at all in the window; `on` is the likeliest first day of the new rate."""

    chance: float
    on: date
    from_rate: float
    to_rate: float
    near_it: tuple[str, ...]


def find_change(evidence: Evidence, bad: Floats, grid: RateGrid, rho: float, history: PatternHistory) -> Change | None:
    """None when there are too few pouring days to speak of before and after."""
    days = len(evidence.day_names)
    if days < 2 * FEWEST_DAYS or not bad.any():
        return None
    bad_by_day = summed(evidence.days, bad, days)
    castings_by_day = summed(evidence.days, evidence.castings, days).astype(np.int64)
    rates = np.concatenate([grid.off, grid.on])
    log_prior = np.concatenate([grid.log_off, grid.log_on]) - np.log(2)
    daily = cell_log_likelihood(bad_by_day, castings_by_day, rates, rho)
    before = np.concatenate([np.zeros((len(rates), 1)), np.cumsum(daily, axis=1)], axis=1)
    after = before[:, -1:] - before
    splits = np.arange(FEWEST_DAYS, days - FEWEST_DAYS + 1)
    log_before = log_sum(before[:, splits] + log_prior[:, None], axis=0)
    log_after = log_sum(after[:, splits] + log_prior[:, None], axis=0)
    steady = float(log_sum(before[:, -1] + log_prior))
    log_split = log_before + log_after
    changed = float(log_sum(log_split) - np.log(len(splits)))
    chance = 1 / (1 + np.exp(np.clip(steady - changed, -700, 700)) * (1 - CHANGED_BEFORE) / CHANGED_BEFORE)
    first = int(splits[int(np.argmax(log_split))])
    on = evidence.day_names[first]
    return Change(
        chance=float(chance),
        on=on,
        from_rate=mean_rate(before[:, first] + log_prior, rates),
        to_rate=mean_rate(after[:, first] + log_prior, rates),
        near_it=tuple(began_near(evidence, history, first)) if chance >= WORTH_A_LOOK else (),
    )


def mean_rate(log_weights: Floats, rates: Floats) -> float:
    return float(np.sum(np.exp(log_weights - log_sum(log_weights)) * rates))


def began_near(evidence: Evidence, history: PatternHistory, first: int) -> Iterator[str]:
    """What was met for the first time on this pattern within NEAR_DAYS pouring days of the change."""
    low = evidence.day_names[max(first - NEAR_DAYS, 0)]
    high = evidence.day_names[min(first + NEAR_DAYS, len(evidence.day_names) - 1)]
    start = evidence.day_names[0]
    for label, begun in sorted(first_met(history).items(), key=lambda item: (item[1], item[0])):
        if start < begun and low <= begun <= high:
            yield label


def first_met(history: PatternHistory) -> dict[str, date]:
    """The first day of every revision, ingot lot, alloy, furnace and moulder on this pattern, in words."""
    met: dict[str, date] = {}
    moulders: dict[str, str] = {}
    for mould in history.moulds:
        heat = history.heats.get(mould.heat or "")
        labels = [f"revision {mould.revision}"] if mould.revision else []
        if heat is not None:
            labels += [f"ingot lot {heat.ingot_lot}"] if heat.ingot_lot else []
            labels += [f"alloy {heat.alloy}"] if heat.alloy else []
            labels += [f"furnace {heat.furnace}"] if heat.furnace else []
        if mould.moulder:
            # People are not named unless asked: "another moulder" is what the reader needs to know.
            labels.append(moulders.setdefault(mould.moulder, f"another moulder ({len(moulders) + 1})"))
        for label in labels:
            met.setdefault(label, mould_day(mould))
    return met
