"""How well a hidden on/off state explains where the bad castings fell.

The moulds of one unit on one day are a cell; its castings share a rate that is drawn afresh for the cell
(beta-binomial with overdispersion ρ), because moulds of one day are alike for reasons nobody records.

The probability is that of the castings one by one, without the binomial coefficient: groupings by sand, by heat and by
mould then speak of the same data and can be compared.
"""

from dataclasses import dataclass

import numpy as np

from defectlog.diagnosis.arrays import Floats, Ints
from defectlog.diagnosis.rates import RateGrid, log_sum

LEAST_RHO = 1e-6
LEAST_DIFFERENCE = 1e-12


@dataclass(frozen=True, slots=True)
class Cells:
    """(cells,) bad castings, castings and unit of each unit-and-day, by unit; `starts` (units,): their first cell."""

    bad: Floats
    castings: Ints
    units: Ints
    starts: Ints


def make_cells(units: Ints, days: Ints, bad: Floats | Ints, castings: Ints) -> Cells:
    """Sums over the moulds of each unit on each day. All arguments (moulds,)."""
    span = int(days.max()) + 1 if len(days) else 1
    keys, cell_of_row = np.unique(units * span + days, return_inverse=True)
    cell_units = keys // span
    starts = np.flatnonzero(np.diff(cell_units, prepend=-1))  # np.unique alone brings in masked arrays: 8 ms
    return Cells(
        bad=summed(cell_of_row, bad, len(keys)),
        castings=summed(cell_of_row, castings, len(keys)).astype(np.int64),
        units=cell_units,
        starts=starts.astype(np.int64),
    )


def summed(codes: Ints, values: Floats | Ints, size: int) -> Floats:
    return np.asarray(np.bincount(codes, weights=values, minlength=size), dtype=np.float64)


def cell_log_likelihood(bad: Floats | Ints, castings: Ints, rates: Floats, rho: float) -> Floats:
    """(rates, cells) log probability of the castings of each cell in a given order.

    Beta-binomial in the rate-and-overdispersion form, a = p(1−ρ)/ρ, b = (1−p)(1−ρ)/ρ, as a product of
    Pólya urn draws (Johnson, Kemp & Kotz, Univariate Discrete Distributions, 3rd ed., section 6.2.2), which needs no
    gamma function. Between whole numbers of bad castings the logarithm is taken straight from one to the next.
    """
    rho = max(rho, LEAST_RHO)
    weight = (1 - rho) / rho
    most = int(castings.max()) if len(castings) else 0
    draws = np.arange(most, dtype=np.float64)
    from_bad = cumulative(np.log(rates[:, None] * weight + draws))
    from_good = cumulative(np.log((1 - rates)[:, None] * weight + draws))
    from_all = cumulative(np.log(weight + draws)[None, :])
    return between(from_bad, bad) + between(from_good, castings - bad) - from_all[:, castings]


def between(sums: Floats, counts: Floats | Ints) -> Floats:
    """(rates, cells) the sums after `counts` draws, which need not be whole."""
    whole = np.floor(counts).astype(np.int64)
    part = counts - whole
    if not part.any():
        return sums[:, whole]
    return sums[:, whole] + part * (sums[:, np.minimum(whole + 1, sums.shape[1] - 1)] - sums[:, whole])


def cumulative(logs: Floats) -> Floats:
    """Sums of the first 0, 1, 2 … columns."""
    return np.concatenate([np.zeros((logs.shape[0], 1)), np.cumsum(logs, axis=1)], axis=1)


def unit_log_likelihood(cells: Cells, rates: Floats, rho: float) -> Floats:
    """(rates, units): the cells of a unit multiplied together."""
    return np.add.reduceat(cell_log_likelihood(cells.bad, cells.castings, rates, rho), cells.starts, axis=1)


@dataclass(frozen=True, slots=True)
class UnitLikelihood:
    """(a, units) and (b, units) log likelihoods of every unit at the off and on rates of a grid.

    `alike` (units,) numbers the units that have the very same castings to show: sound moulds mostly. They are worked
    out once and counted.
    """

    off: Floats
    on: Floats
    alike: Ints


def unit_likelihood(cells: Cells, grid: RateGrid, rho: float) -> UnitLikelihood:
    both = unit_log_likelihood(cells, np.concatenate([grid.off, grid.on]), rho)
    return UnitLikelihood(both[: len(grid.off)], both[len(grid.off) :], alike_units(cells))


def alike_units(cells: Cells) -> Ints:
    """Units of one cell share a number when their cells are equal; a unit of several cells keeps its own."""
    size = len(cells.starts)
    if size != len(cells.bad):
        return np.arange(size)
    shown = cells.bad * (int(cells.castings.max(initial=0)) + 1) + cells.castings
    return np.asarray(np.unique(shown, return_inverse=True)[1], dtype=np.int64)


def log_evidence(likelihood: UnitLikelihood, on_chance: Floats, usual: Floats, grid: RateGrid) -> float:
    """log P(data, readings | cause) − log P(readings): the two rates averaged over their prior.

    A cause that does harm is on somewhere: of all the ways in which units may be on and off, the one in which none is
    on is left out, and what the readings say of that is counted.

        [Π (z L(p1) + (1−z) L(p0)) − Π (1−z) L(p0)] / (1 − Π (1−q))

    `on_chance` (units,) in (0, 1) is z, each unit's chance of being on with its reading; `usual` (units,) is q, the
    same before anything was read. With one unit it is z/q · L(p1), Bayes' rule for the reading.
    """
    somewhere = on_somewhere(pair_log_likelihood(likelihood, on_chance), log_nowhere(likelihood, on_chance))
    return float(log_sum((grid.log_pair + somewhere).ravel())) - log_some(usual)


def log_nowhere(likelihood: UnitLikelihood, on_chance: Floats) -> Floats:
    """(a, 1) log likelihood of all units with none of them on."""
    return np.asarray((likelihood.off + np.log1p(-on_chance)).sum(axis=1)[:, None])


def on_somewhere(anyhow: Floats, nowhere: Floats) -> Floats:
    """log(exp(anyhow) − exp(nowhere)), never nothing: the difference of nearly equal numbers is not to be trusted."""
    return np.asarray(anyhow + np.log(-np.expm1(np.minimum(nowhere - anyhow, -LEAST_DIFFERENCE))))


def log_some(chance: Floats) -> float:
    """log of the chance that at least one of the units is on."""
    return float(np.log(-np.expm1(np.log1p(-chance).sum())))


def pair_log_likelihood(likelihood: UnitLikelihood, on_chance: Floats) -> Floats:
    """(a, b) log likelihood of all units for each pair of an off and an on rate."""
    # Complex numbers sort by both parts: what the units show, then how likely they were on.
    _, first, counts = np.unique(likelihood.alike + 1j * on_chance, return_index=True, return_counts=True)
    of_off, of_on, chance = likelihood.off[:, first], likelihood.on[:, first], on_chance[first]
    top = np.maximum(of_off.max(axis=0), of_on.max(axis=0))
    off = np.exp(of_off - top) * (1 - chance)
    on = np.exp(of_on - top) * chance
    mixed = off[:, None, :] + on[None, :, :]
    return np.asarray(np.log(np.maximum(mixed, 1e-300)) @ counts + top @ counts, dtype=np.float64)


def log_constant(likelihood: Floats, log_prior: Floats) -> float:
    """log P(data) at one constant rate: `likelihood` (rates, units) of all units, averaged over the rate's prior."""
    return float(log_sum(likelihood.sum(axis=1) + log_prior))


def chance_on(likelihood: UnitLikelihood, on_chance: Floats, grid: RateGrid) -> Floats:
    """(units,) how likely each unit was on, after seeing the moulds, given that some unit was.

    E[z L(p1) / (z L(p1) + (1−z) L(p0))] over the rates, each divided by the chance that any was on.
    """
    anyhow, nowhere = pair_log_likelihood(likelihood, on_chance), log_nowhere(likelihood, on_chance)
    somewhere = on_somewhere(anyhow, nowhere)
    log_weights = grid.log_pair + somewhere
    weights = np.exp(log_weights - log_sum(log_weights.ravel()) + anyhow - somewhere)
    on = np.log(on_chance) + likelihood.on
    off = np.log1p(-on_chance) + likelihood.off
    share = 1 / (1 + np.exp(np.clip(off[:, None, :] - on[None, :, :], -700, 700)))
    return np.asarray(np.minimum(np.einsum("ab,abu->u", weights, share), 1.0), dtype=np.float64)
