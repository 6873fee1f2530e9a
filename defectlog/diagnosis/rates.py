"""What is believed about scrap rates before the moulds are looked at, on a small grid.

`p0` is the rate where a cause is off: near the shop's own usual rate for the defect. `p1` is the rate where it is on:
anything above p0, a third or so. Ten by twelve points are enough: finer grids moved no share by more than a hundredth.
"""

from dataclasses import dataclass

import numpy as np

from defectlog.diagnosis.arrays import Floats

# How far a pattern's ordinary rate lies from the shop's, as a standard deviation of log odds. Judgement: two patterns
# in three lie within a factor of two of the shop's rate.
SPREAD_OF_PATTERNS = 0.7
# A shop with no record of the defect yet is taken to have one bad casting in fifty, held lightly. It is where the
# search starts and is never shown as a norm.
STARTING_BAD, STARTING_CASTINGS = 1.0, 50.0
HIGHEST_RATE = 0.97
# Where a cause is on, a third of the castings fail; two times in three between one in ten and three in four. Judgement:
# on simulated shops with a month or two of records (450 of each) a prior as broad as this found the cause in two or
# three more of a hundred than one that held all rates as likely, and named nobody more often where nothing was wrong.
# Where the fault spoiled only one casting in ten it made no odds (one shop in a hundred fewer, of 250).
ON_CENTRE, ON_SPREAD = -0.6, 1.6


@dataclass(frozen=True, slots=True)
class RateGrid:
    """`off` (a,) and `on` (b,) rates with their log priors; `log_pair` (a, b) is the joint prior, on above off."""

    off: Floats
    on: Floats
    log_off: Floats
    log_on: Floats
    log_pair: Floats


def usual_rate(bad: float, castings: float) -> float:
    """The shop's rate for a defect, started at one in fifty so that a young book does not say "never"."""
    return (bad + STARTING_BAD) / (castings + STARTING_CASTINGS)


def grid_from_others(bad: float, castings: float) -> RateGrid:
    """The grid from what the shop's other patterns did: `bad` of `castings`. Few of them, and it is held loosely.

    The pattern in question is left out: with it in, a plate that always fails sets its own standard, and the fault
    that makes it fail was missed in nine of ten simulated shops.
    """
    return rate_grid(usual_rate(bad, castings), spread=float(np.sqrt(SPREAD_OF_PATTERNS**2 + 1 / (bad + STARTING_BAD))))


def rate_grid(rate: float, spread: float = SPREAD_OF_PATTERNS, off_points: int = 10, on_points: int = 12) -> RateGrid:
    """The grid about a shop's usual `rate` (0 < rate < 1), whose log odds are uncertain by `spread`."""
    centre = np.log(rate / (1 - rate))
    steps = np.linspace(-2.5, 2.5, off_points)
    off = 1 / (1 + np.exp(-(centre + steps * spread)))
    log_off = log_normalised(-0.5 * steps**2)
    # Where nearly everything fails everywhere, "on" must still find room above the highest "off".
    highest = max(np.log(HIGHEST_RATE / (1 - HIGHEST_RATE)), centre + steps[-1] * spread + 1)
    on = 1 / (1 + np.exp(-np.linspace(centre, highest, on_points)))
    log_on = log_normalised(-0.5 * ((np.log(on / (1 - on)) - ON_CENTRE) / ON_SPREAD) ** 2)
    allowed = on[None, :] > off[:, None]
    log_given = np.where(allowed, log_on[None, :], -np.inf)
    log_given -= log_sum(log_given, axis=1)[:, None]
    return RateGrid(off, on, log_off, log_on, log_off[:, None] + log_given)


def log_normalised(logs: Floats) -> Floats:
    return np.asarray(logs - log_sum(logs), dtype=np.float64)


def log_sum(logs: Floats, axis: int | None = None) -> Floats:
    """log Σ exp along an axis, steady for very small numbers."""
    top = np.max(logs, axis=axis, keepdims=True)
    top = np.where(np.isfinite(top), top, 0.0)
    with np.errstate(divide="ignore"):
        total = np.log(np.sum(np.exp(logs - top), axis=axis, keepdims=True)) + top
    return np.asarray(np.squeeze(total, axis=axis) if axis is not None else total.reshape(()), dtype=np.float64)
