"""How alike the castings of one day are, for reasons nobody writes down: ρ, from the shop's own history.

It matters most of all: with ρ = 0 a hard shop's bad days are blamed on whatever happens to fit them.
"""

from collections.abc import Iterable, Sequence

import numpy as np

from defectlog.diagnosis.arrays import Floats
from defectlog.diagnosis.likelihood import cell_log_likelihood
from defectlog.diagnosis.rates import log_normalised
from defectlog.records.histories import DefectDay

# Where nothing is known, with a factor of nearly three either way. On simulated shops this found planted causes as
# often as 0.015 and 0.03 or oftener (two more of a hundred with a month or two of records), and called something out in
# as few shops in which nothing was wrong. Moulds that are less alike than supposed look too even by the day.
STARTING_RHO, SPREAD_OF_LOG_RHO = 0.007, 1.0
CHOICES = np.geomspace(0.002, 0.2, 12)
# One pattern's days weigh little by themselves.
FEWEST_BAD = 3


def estimate_rho(days: Iterable[DefectDay], leave_out: str = "") -> float:
    """Posterior mean of ρ from counts by pattern and day, each pattern at its own mean rate.

    `leave_out` is the pattern in question, so that its own trouble does not excuse itself.
    """
    by_pattern: dict[str, list[DefectDay]] = {}
    for row in days:
        if row.pattern != leave_out:
            by_pattern.setdefault(row.pattern, []).append(row)
    log_prior = -0.5 * (np.log(CHOICES / STARTING_RHO) / SPREAD_OF_LOG_RHO) ** 2
    log_posterior = log_prior + sum(
        (pattern_log_likelihood(rows) for rows in by_pattern.values() if sum(row.bad for row in rows) >= FEWEST_BAD),
        np.zeros(len(CHOICES)),
    )
    return float(np.sum(np.exp(log_normalised(log_posterior)) * CHOICES))


def pattern_log_likelihood(rows: Sequence[DefectDay]) -> Floats:
    """(choices,) log likelihood of one pattern's days at its mean rate."""
    castings = np.array([row.castings for row in rows], dtype=np.int64)
    bad = np.minimum(np.array([row.bad for row in rows], dtype=np.int64), castings)
    rate = np.array([(bad.sum() + 0.5) / (castings.sum() + 1.0)])
    return np.array([cell_log_likelihood(bad, castings, rate, float(rho)).sum() for rho in CHOICES])
