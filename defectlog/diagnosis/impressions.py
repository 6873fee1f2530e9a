"""One impression of the plate against the others: exactly one is odd, and nobody knows which.

A finding with no impression recorded does not say which: its mould is then taken at the plate's mean rate, so that
it neither helps nor hurts and the story still speaks of all the castings.
"""

import numpy as np

from defectlog.diagnosis.arrays import Flags, Floats, Ints
from defectlog.diagnosis.evidence import Evidence
from defectlog.diagnosis.likelihood import cell_log_likelihood, make_cells, unit_log_likelihood
from defectlog.diagnosis.rates import RateGrid, log_sum


def impression_log_evidence(evidence: Evidence, defect: str, bad: Floats, grid: RateGrid, rho: float) -> float:
    """log P(data | one impression is bad), averaged over which one. Plates of two impressions or more."""
    plate = evidence.impressions
    counts, unclear = impression_counts(evidence, defect, bad)
    clear = ~unclear
    totals = np.zeros((len(grid.off), len(grid.on), plate))
    if clear.any():
        off, on = impression_likelihoods(counts[clear], evidence.days[clear], grid, rho)
        rest = off.sum(axis=1)[:, None] - off
        totals += rest[:, None, :] + on[None, :, :]
    if unclear.any():
        totals += unclear_log_likelihood(evidence, bad, unclear, grid, rho)[:, :, None]
    return float(log_sum((grid.log_pair[:, :, None] + totals).ravel()) - np.log(plate))


def impression_counts(evidence: Evidence, defect: str, bad: Floats) -> tuple[Ints, Flags]:
    """(moulds, impressions) bad castings by impression, and (moulds,) whether a mould leaves them unplaced.

    A mould that was not cast full does not say which of its impressions were there, so it counts as unplaced too.
    """
    counts = np.zeros((len(bad), evidence.impressions), dtype=np.int64)
    for finding in evidence.findings_of(defect):
        if finding.share == 1 and finding.impression is not None and 1 <= finding.impression <= evidence.impressions:
            counts[evidence.row_of[finding.mould], finding.impression - 1] = 1
    return counts, (counts.sum(axis=1) != bad) | (evidence.castings != evidence.impressions)


def impression_likelihoods(counts: Ints, days: Ints, grid: RateGrid, rho: float) -> tuple[Floats, Floats]:
    """(off rates, impressions) and (on rates, impressions) log likelihoods of each impression's castings."""
    plate = counts.shape[1]
    rows = np.tile(np.arange(plate), len(counts))
    cells = make_cells(rows, np.repeat(days, plate), counts.ravel(), np.ones(counts.size, dtype=np.int64))
    both = unit_log_likelihood(cells, np.concatenate([grid.off, grid.on]), rho)
    return both[: len(grid.off)], both[len(grid.off) :]


def unclear_log_likelihood(evidence: Evidence, bad: Floats, unclear: Flags, grid: RateGrid, rho: float) -> Floats:
    """(a, b) log likelihood of the moulds whose bad castings have no impression, at the plate's mean rate."""
    plate = evidence.impressions
    mean = (grid.on[None, :] + (plate - 1) * grid.off[:, None]) / plate
    each = cell_log_likelihood(bad[unclear], evidence.castings[unclear], mean.ravel(), rho)
    return np.asarray(each.sum(axis=1).reshape(mean.shape), dtype=np.float64)


def impression_moulds(evidence: Evidence, defect: str) -> Ints:
    """(impressions,) in how many moulds each impression was bad."""
    counts, _ = impression_counts(evidence, defect, evidence.bad(defect))
    return np.asarray(counts.sum(axis=0), dtype=np.int64)
