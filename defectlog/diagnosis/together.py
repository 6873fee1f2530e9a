"""A second cause at work beside the first: named when it explains what the first leaves.

The moulds for which the first cause was more likely on than off are set aside, and the rest are asked the same two
questions again. A fault of the plate itself is on in every mould and leaves nothing to ask.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from defectlog.diagnosis.arrays import Flags
from defectlog.diagnosis.evidence import Evidence, Grouping
from defectlog.diagnosis.hypotheses import Field
from defectlog.diagnosis.likelihood import chance_on
from defectlog.diagnosis.ranking import Ranked, Ranking

# The first must be worth setting aside, and the second worth naming. Judgements.
FIRST_SHARE, SECOND_SHARE, SECOND_STANDS_OUT = 0.5, 0.5, 0.8
FEWEST_BAD, FEWEST_MOULDS = 4, 12


@dataclass(frozen=True, slots=True)
class Beside:
    """`second` explains the `bad` castings in `moulds` moulds that the first cause leaves, out of `of_moulds`."""

    second: Ranked
    stands_out: float
    bad: int
    moulds: int
    of_moulds: int


def second_cause(field: Field, ranking: Ranking, rank_again: Callable[[Field], Ranking]) -> Beside | None:
    """None when the first is doubtful, leaves too little, or nothing stands out in the rest."""
    if not ranking.causes or ranking.causes[0].share < FIRST_SHARE:
        return None
    left = left_by(field, ranking.causes[0])
    if left is None or left.sum() < FEWEST_MOULDS or field.bad[left].sum() < FEWEST_BAD:
        return None
    rest = Field(rows_of(field.evidence, left), field.defect, field.bad[left], field.grid, field.rho)
    again = rank_again(rest)
    others = [ranked for ranked in again.causes if ranked.candidate.id != ranking.causes[0].candidate.id]
    if again.stands_out < SECOND_STANDS_OUT or not others or others[0].share < SECOND_SHARE:
        return None
    return Beside(
        second=others[0],
        stands_out=again.stands_out,
        bad=int(rest.counted.sum()),
        moulds=int((rest.counted > 0).sum()),
        of_moulds=len(rest.bad),
    )


def left_by(field: Field, first: Ranked) -> Flags | None:
    """(moulds,) whether the first cause was probably off for the mould; None for causes without units.

    Where a reading is on record it alone decides. Without one the castings do, but not for a single mould: there any
    bad mould would be taken for explained.
    """
    if first.states is None:
        return None
    level = first.candidate.cause.acts_at
    states = first.states
    on = states.chance
    if level != "mould":
        heard = chance_on(field.likelihood(level), states.chance, field.grid)
        on = np.where(np.isnan(states.values), heard, states.chance)
    return np.asarray(on[field.evidence.units[level].codes] < 0.5, dtype=np.bool_)


def rows_of(evidence: Evidence, kept: Flags) -> Evidence:
    """The evidence of some of the moulds alone."""
    return replace(
        evidence,
        moulds=tuple(mould for mould, keep in zip(evidence.moulds, kept, strict=True) if keep),
        castings=evidence.castings[kept],
        days=evidence.days[kept],
        units={level: units_of(grouping, kept) for level, grouping in evidence.units.items()},
        readings={name: values[kept] for name, values in evidence.readings.items()},
    )


def units_of(grouping: Grouping, kept: Flags) -> Grouping:
    used, codes = np.unique(grouping.codes[kept], return_inverse=True)
    return Grouping(
        codes=np.asarray(codes, dtype=np.int64),
        names=tuple(grouping.names[unit] for unit in used),
        recorded=grouping.recorded[used],
    )
