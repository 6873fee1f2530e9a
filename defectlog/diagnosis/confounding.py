"""Causes that cannot be told apart in these data: they were on and off on the same moulds.

Two causes with readings that rise and fall together over the same moulds, or two without any reading that act at the
same unit, explain the same bad castings equally well. Saying so is worth more than a ranking between them.
"""

from collections.abc import Sequence

import numpy as np

from defectlog.diagnosis.arrays import Floats
from defectlog.diagnosis.evidence import Evidence
from defectlog.diagnosis.ranking import Ranked

# Correlation of the states over the moulds from which two causes are said to move together. Judgement.
MOVE_TOGETHER = 0.8
FEWEST_MOULDS = 8
# Causes with a smaller share are not worth confusing the reader with.
LEAST_SHARE = 0.02


def cannot_be_told_from(ranked: Ranked, others: Sequence[Ranked], evidence: Evidence) -> tuple[str, ...]:
    """Ids of the other causes with a share worth naming whose states these data do not separate from `ranked`'s."""
    return tuple(
        other.candidate.id
        for other in others
        if other is not ranked and other.share >= LEAST_SHARE and move_together(ranked, other, evidence)
    )


def move_together(one: Ranked, other: Ranked, evidence: Evidence) -> bool:
    if has_reading(one) != has_reading(other):
        return False
    if not has_reading(one):
        return one.candidate.cause.acts_at == other.candidate.cause.acts_at
    return correlation(over_moulds(one, evidence), over_moulds(other, evidence)) >= MOVE_TOGETHER


def has_reading(ranked: Ranked) -> bool:
    return ranked.states is not None and bool((~np.isnan(ranked.states.values)).any())


def over_moulds(ranked: Ranked, evidence: Evidence) -> Floats:
    """(moulds,) the state of the mould's unit, nan where no reading is on record."""
    assert ranked.states is not None
    chance = np.where(np.isnan(ranked.states.values), np.nan, ranked.states.chance)
    return np.asarray(chance[evidence.units[ranked.candidate.cause.acts_at].codes], dtype=np.float64)


def correlation(one: Floats, other: Floats) -> float:
    """Over the moulds where both are on record; 0 when there are few of them, 1 when neither ever changed."""
    both = ~np.isnan(one) & ~np.isnan(other)
    if both.sum() < FEWEST_MOULDS:
        return 0.0
    first, second = one[both], other[both]
    if np.ptp(first) < 1e-9 or np.ptp(second) < 1e-9:
        return 1.0 if np.ptp(first) < 1e-9 and np.ptp(second) < 1e-9 else 0.0
    return float(np.corrcoef(first, second)[0, 1])
