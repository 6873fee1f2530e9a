"""The rows behind one cause's numbers: every unit with its reading, its state and what came out of it."""

from dataclasses import dataclass

import numpy as np

from defectlog.diagnosis.hypotheses import Field
from defectlog.diagnosis.likelihood import chance_on, summed
from defectlog.diagnosis.ranking import Ranked


@dataclass(frozen=True, slots=True)
class UnitRow:
    """One batch, heat, mould … as the ranking saw it.

    `reading` in its metric unit, None when not on record; `hand` whether the hand test shows the cause, None where it
    is not on record or a reading is; `on_before` the chance that the cause was on by these alone, `on_after` with the
    castings seen too.
    """

    unit: str
    recorded: bool
    reading: float | None
    hand: bool | None
    on_before: float
    on_after: float
    moulds: int
    castings: int
    bad: int


def unit_rows(field: Field, ranked: Ranked) -> tuple[UnitRow, ...]:
    """The units in the order of pouring; nothing for a cause that acts at an impression."""
    if ranked.states is None:
        return ()
    evidence, level = field.evidence, ranked.candidate.cause.acts_at
    grouping = evidence.units[level]
    size = len(grouping.names)
    moulds = np.bincount(grouping.codes, minlength=size)
    castings = summed(grouping.codes, evidence.castings, size)
    bad = summed(grouping.codes, field.counted, size)
    after = chance_on(field.likelihood(level), ranked.states.chance, field.grid)
    values, hand = ranked.states.values, ranked.states.hand
    return tuple(
        UnitRow(
            unit=grouping.names[unit],
            recorded=bool(grouping.recorded[unit]),
            reading=None if np.isnan(values[unit]) else float(values[unit]),
            hand=None if np.isnan(hand[unit]) or not np.isnan(values[unit]) else bool(hand[unit]),
            on_before=float(ranked.states.chance[unit]),
            on_after=float(after[unit]),
            moulds=int(moulds[unit]),
            castings=int(castings[unit]),
            bad=int(bad[unit]),
        )
        for unit in range(size)
    )
