"""What was measured before and after tells of what was not measured: sand wet yesterday is likely wet today.

A reading departs from the shop's usual by a part that its day shares and a part of its own; days hand on what they
share. In the shop's own spread:

    departure = day + own,   corr(day₁, day₂) = memory^|days between|,   var(day) = share, var(own) = 1 − share

How long the memory is and how much a day shares is learned from what was measured: each pair of a grid counts by how
likely it makes that. It is Gaussian process regression (Rasmussen & Williams, Gaussian Processes for Machine Learning,
2006, equations 2.23, 2.24 and 2.30; from memory). What is then likely for a unit is told as the shop's own readings,
those that are like it counting more, so that no shape of their distribution is supposed.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from defectlog.diagnosis.arrays import Floats, Ints
from defectlog.diagnosis.likelihood import summed

# (memory, share) pairs, each as likely as the next before anything was measured. The first: nothing is handed on.
CHOICES = ((0.0, 0.0), (0.0, 0.8), (0.5, 0.5), (0.5, 0.8), (0.8, 0.5), (0.8, 0.8), (0.92, 0.5), (0.92, 0.8))
MEMORY, SHARE = np.array(CHOICES).T
# With fewer of either there is nothing to learn from.
FEWEST_MEASURED, FEWEST_READINGS = 6, 6
# The latest so many readings of the shop stand for what is usual; days so far apart are taken by themselves.
MOST_READINGS, DAYS_AT_ONCE = 400, 100


@dataclass(frozen=True, slots=True)
class Likely:
    """(days,) mean and variance of what would be measured on each day, as departures in the shop's spreads."""

    mean: Floats
    variance: Floats


@dataclass(frozen=True, slots=True)
class Learned:
    """(choices,) log likelihood of what was measured in some days; (choices, days) mean and variance of the days."""

    log_likelihood: Floats
    mean: Floats
    variance: Floats


@dataclass(frozen=True, slots=True)
class Usual:
    """(readings,) of the shop; (kinds, readings) for how many each counts; (units,) the kind of each unit."""

    readings: Floats
    counts: Floats
    kinds: Ints


def alike(readings: Floats, size: int) -> Usual:
    """Every reading counts once for each of `size` units."""
    return Usual(readings, np.ones((1, len(readings))), np.zeros(size, dtype=np.int64))


def like_neighbours(values: Floats, days: Ints, of_shop: Floats) -> Usual:
    """The shop's latest readings as they count for a unit of each day; all alike where too little was measured.

    `values` (units,) nan where not measured; `days` (units,) as day numbers; `of_shop` (readings,), the latest first.
    """
    known, latest = ~np.isnan(values), of_shop[:MOST_READINGS]
    spread = float(latest.std()) if len(latest) >= FEWEST_READINGS else 0.0
    if known.sum() < FEWEST_MEASURED or spread == 0:
        return alike(of_shop, len(values))
    usual = float(latest.mean())
    names, codes = np.unique(days, return_inverse=True)
    likely = likely_departures((values - usual) / spread, names, codes)
    return Usual(latest, counts_of(likely, (latest - usual) / spread), np.asarray(codes, dtype=np.int64))


def counts_of(likely: Likely, departures: Floats) -> Floats:
    """Each reading by how much likelier it is here than in general; in all as many as that leaves worth counting."""
    mean, variance = likely.mean[:, None], likely.variance[:, None]
    log_ratio = 0.5 * (departures**2 - (departures - mean) ** 2 / variance)
    weights = np.exp(log_ratio - log_ratio.max(axis=1, keepdims=True))
    # Kish's effective number: (Σ w)² / Σ w², spread over them by their weights.
    return np.asarray(weights * (weights.sum(axis=1) / (weights**2).sum(axis=1))[:, None])


def likely_departures(departures: Floats, names: Ints, codes: Ints) -> Likely:
    """`departures` (units,) nan where not measured, each on the day `names[codes]`."""
    parts = list(by_parts(departures, names, codes))
    log_likelihood = np.sum([part.log_likelihood for part in parts], axis=0)
    weights = np.exp(log_likelihood - log_likelihood.max())
    weights = (weights / weights.sum())[:, None]
    means = np.concatenate([part.mean for part in parts], axis=1)
    variances = np.concatenate([part.variance for part in parts], axis=1) + (1 - SHARE)[:, None]
    mean = (weights * means).sum(axis=0)
    variance = (weights * (variances + means**2)).sum(axis=0) - mean**2
    return Likely(mean, np.clip(variance, 0.02, 1.0))


def by_parts(departures: Floats, names: Ints, codes: Ints) -> Iterator[Learned]:
    known = ~np.isnan(departures)
    measured, size = departures[known], len(names)
    counts = np.bincount(codes[known], minlength=size)
    sums, squares = (summed(codes[known], each, size) for each in (measured, measured**2))
    for start in range(0, len(names), DAYS_AT_ONCE):
        some = slice(start, start + DAYS_AT_ONCE)
        yield learned_from(names[some], counts[some], sums[some], squares[some])


def learned_from(days: Ints, counts: Ints, sums: Floats, squares: Floats) -> Learned:
    """`counts`, `sums`, `squares` (days,) of the departures measured on each day."""
    apart = np.abs(np.subtract.outer(days, days))
    shared = SHARE[:, None, None] * MEMORY[:, None, None] ** apart
    own, measured = 1 - SHARE, counts > 0
    number, middle = counts[measured], sums[measured] / counts[measured]
    noise = own[:, None] / number
    among = shared[:, measured][:, :, measured] + noise[:, :, None] * np.eye(len(number))
    root = np.linalg.cholesky(among)
    middles = np.broadcast_to(middle[:, None], (len(SHARE), len(number), 1))
    solved = np.linalg.solve(root, np.concatenate([middles, shared[:, measured]], axis=2))
    half, reach = solved[..., 0], solved[..., 1:]
    # What is left within the days beside their means.
    within = (squares[measured] - number * middle**2).sum()
    log_likelihood = (
        -0.5 * (half**2).sum(axis=1)
        - np.log(np.diagonal(root, axis1=1, axis2=2)).sum(axis=1)
        - 0.5 * within / own
        - 0.5 * (number.sum() - len(number)) * np.log(own)
    )
    mean = np.einsum("ckd,ck->cd", reach, half)
    return Learned(np.asarray(log_likelihood), mean, SHARE[:, None] - (reach**2).sum(axis=1))
