"""Things go wrong by degrees: a unit whose reading lies near the limit fails at a rate between off and on.

    rate(unit) = p0 + r·(p1 − p0),   r = E over the true reading of logistic(side · (true − limit) / width)

The true reading lies about the measured one with the measuring error. `r` is taken at a few steps from 0 to 1, and each
unit has weights over the steps; its castings are mixed over them as those of a hidden state are over on and off. A unit
that nobody measured has the weights of the shop's units that are like it, or those that the hand test leaves.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from defectlog.diagnosis.arrays import Floats, Ints
from defectlog.diagnosis.candidates import Candidate
from defectlog.diagnosis.evidence import YES_NO_READINGS
from defectlog.diagnosis.likelihood import Cells, alike_units, cell_log_likelihood, log_some, on_somewhere
from defectlog.diagnosis.neighbours import Usual
from defectlog.diagnosis.rates import RateGrid, log_sum
from defectlog.diagnosis.states import LEAST_CHANCE, SHOPS_LIMITS, USUAL_SHARE_COUNTS_AS, States, after_hand_test

STEPS = np.linspace(0.0, 1.0, 5)
# In softnesses of the limit: over how much of the reading things go from well to ill, and the measuring error.
# Judgement; on simulated shops (tests/bench/bench_why.py, 200 a condition) 0.7 and 0.5 found two more with two
# months of records, one fewer with one and two fewer with five.
WIDTH, MEASURING_ERROR = 0.5, 0.4
# Five points and weights that stand for the normal distribution (Gauss and Hermite).
POINTS = np.array([-2.8569700, -1.3556262, 0.0, 1.3556262, 2.8569700])
POINT_WEIGHTS = np.array([0.0112574, 0.2220759, 0.5333333, 0.2220759, 0.0112574])
UNITS_AT_ONCE = 2000


@dataclass(frozen=True, slots=True)
class GradedLikelihood:
    """(a, b, steps, kinds) likelihoods of every kind of unit, each kind over its largest, whose log is `top` (kinds,).

    `alike` (units,): the kind of each unit; units with the very same castings are one kind.
    """

    scaled: Floats
    top: Floats
    alike: Ints


def is_graded(candidate: Candidate) -> bool:
    """A yes or no has no degrees; nor has the plate, which is one unit throughout."""
    reading = candidate.cause.reading
    if reading is None or candidate.limit is None or candidate.cause.acts_at == "pattern":
        return False
    return reading.quantity not in YES_NO_READINGS


def graded_likelihood(cells: Cells, grid: RateGrid, rho: float) -> GradedLikelihood:
    kinds, first, alike = np.unique(alike_units(cells), return_index=True, return_inverse=True)
    ends = np.append(cells.starts[1:], len(cells.bad))
    wanted = np.concatenate([np.arange(cells.starts[unit], ends[unit]) for unit in first]) if len(kinds) else first
    starts = np.cumsum([0, *(ends[first] - cells.starts[first])])[:-1]
    over = np.maximum(grid.on[None, :] - grid.off[:, None], 0.0)
    rates = grid.off[:, None, None] + over[:, :, None] * STEPS
    logs = cell_log_likelihood(cells.bad[wanted], cells.castings[wanted], rates.ravel(), rho)
    by_kind = np.add.reduceat(logs, starts, axis=1).reshape(*rates.shape, len(kinds))
    top = by_kind.max(axis=(0, 1, 2))
    return GradedLikelihood(np.exp(by_kind - top), top, np.asarray(alike, dtype=np.int64))


def graded_log_evidence(likelihood: GradedLikelihood, weights: Floats, usual: Floats, grid: RateGrid) -> float:
    """log P(data, readings | cause) − log P(readings), as in `log_evidence`: each unit is mixed over the steps by its
    `weights` (units, steps), and not all of them stand at the lowest. `usual` (units,): chance of being on, unread."""
    anyhow, nowhere = np.zeros(grid.log_pair.shape), np.zeros(grid.log_pair.shape)
    for start in range(0, len(weights), UNITS_AT_ONCE):
        some = slice(start, start + UNITS_AT_ONCE)
        kinds = likelihood.alike[some]
        of_units = likelihood.scaled[..., kinds]
        top = likelihood.top[kinds].sum()
        mixed = np.einsum("absu,us->abu", of_units, weights[some])
        anyhow += np.log(np.maximum(mixed, 1e-300)).sum(axis=2) + top
        nowhere += np.log(np.maximum(of_units[:, :, 0] * weights[some, 0], 1e-300)).sum(axis=2) + top
    return float(log_sum((grid.log_pair + on_somewhere(anyhow, nowhere)).ravel())) - log_some(usual)


def weights_by_limit(candidate: Candidate, states: States) -> Iterator[Floats]:
    """(units, steps) weights for each limit that may be this shop's."""
    limit = candidate.limit
    assert limit is not None
    sign = 1.0 if limit.side == "above" else -1.0
    softness = max(limit.softness, 1e-9)
    known, squeezed = ~np.isnan(states.values), ~np.isnan(states.hand)
    for shift in SHOPS_LIMITS:
        past = sign * (states.usual.readings - limit.value) / softness - shift
        found = usual_weights(past, states.usual, candidate.cause.usual_share)
        by_hand = squeezed & ~known
        found[by_hand] = on_or_off(after_hand_test(states.hand[by_hand], found[by_hand] @ STEPS))
        found[known] = step_weights(sign * (states.values[known] - limit.value) / softness - shift)
        yield (1 - 2 * LEAST_CHANCE) * found + LEAST_CHANCE * (np.isin(STEPS, (0.0, 1.0)))


def step_weights(past: Floats) -> Floats:
    """(units, steps) of readings that lie `past` the limit by so many softnesses (units,)."""
    true = past[:, None] + MEASURING_ERROR * POINTS
    degree = 1 / (1 + np.exp(-np.clip(true / WIDTH, -50, 50)))
    # Each point's degree is shared between the two steps beside it.
    near = 1 - np.abs(degree[:, :, None] - STEPS) * (len(STEPS) - 1)
    return np.asarray(np.einsum("ups,p->us", np.maximum(near, 0.0), POINT_WEIGHTS))


def on_or_off(chance: Floats) -> Floats:
    """(units, steps) of units that are wholly on with this chance, else wholly off."""
    return np.asarray(chance[:, None] * (STEPS == 1.0) + (1 - chance)[:, None] * (STEPS == 0.0))


def usual_weights(past: Floats, usual: Usual, usual_share: float) -> Floats:
    """(units, steps) of units like each one, started at the rule base's usual share; `past` (readings,) of the shop."""
    start = USUAL_SHARE_COUNTS_AS * on_or_off(np.array([usual_share]))
    whole = usual.counts.sum(axis=1, keepdims=True) + USUAL_SHARE_COUNTS_AS
    return np.asarray(((usual.counts @ step_weights(past) + start) / whole)[usual.kinds])
