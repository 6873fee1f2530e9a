"""A reading's good and bad units side by side, and how the bad castings are spread over the units."""

from dataclasses import dataclass

import numpy as np

from defectlog.diagnosis.arrays import Floats, Ints
from defectlog.diagnosis.candidates import Candidate
from defectlog.diagnosis.evidence import Evidence
from defectlog.diagnosis.states import States
from defectlog.rulebase.shapes import Limit


@dataclass(frozen=True, slots=True)
class OutOf:
    """How many units were past the limit, of those with the reading on record."""

    out: int
    of: int


@dataclass(frozen=True, slots=True)
class SideBySide:
    """One reading over the units of a cause: units with a bad casting and units without, and those not on record.

    `bad_middle` and `good_middle` are medians (the reading's metric unit), None where nothing is on record. `hand_bad`,
    `hand_good`: units without a reading in which a squeezed handful shows the cause, of those that were squeezed.
    """

    reading: str
    limit: Limit
    unit: str
    bad: OutOf
    good: OutOf
    not_on_record: int
    bad_middle: float | None
    good_middle: float | None
    bad_units: tuple[str, ...]
    hand_test: str
    hand_bad: OutOf
    hand_good: OutOf


@dataclass(frozen=True, slots=True)
class Spread:
    """How the bad castings lie over the units of one level: half of them are in `hold_half` of the `units`.

    `days_with_bad` of the pattern's `days` of pouring had a bad casting.
    """

    level: str
    units: int
    units_with_bad: int
    hold_half: int
    bad: int
    days_with_bad: int
    days: int


def side_by_side(candidate: Candidate, states: States, evidence: Evidence, bad: Ints) -> SideBySide | None:
    """None when the cause has no reading or nobody has set its limit."""
    reading, limit = candidate.cause.reading, candidate.limit
    if reading is None or limit is None:
        return None
    grouping = evidence.units[candidate.cause.acts_at]
    bad_units = bad_per_unit(grouping.codes, bad, len(grouping.names)) > 0
    known = ~np.isnan(states.values)
    squeezed, shown = ~known & ~np.isnan(states.hand), ~known & (states.hand > 0)
    return SideBySide(
        reading=reading.quantity,
        limit=limit,
        unit=candidate.cause.acts_at,
        bad=OutOf(int((states.out & bad_units).sum()), int((known & bad_units).sum())),
        good=OutOf(int((states.out & ~bad_units).sum()), int((known & ~bad_units).sum())),
        not_on_record=int((~known).sum()),
        bad_middle=middle(states.values[known & bad_units]),
        good_middle=middle(states.values[known & ~bad_units]),
        bad_units=tuple(grouping.names[unit] for unit in np.flatnonzero(states.out & bad_units)),
        hand_test=reading.hand_test,
        hand_bad=OutOf(int((shown & bad_units).sum()), int((squeezed & bad_units).sum())),
        hand_good=OutOf(int((shown & ~bad_units).sum()), int((squeezed & ~bad_units).sum())),
    )


def middle(values: Floats) -> float | None:
    """The median; numpy's own brings in 9 ms of masked arrays."""
    ordered = np.sort(values)
    return float(ordered[(len(ordered) - 1) // 2] + ordered[len(ordered) // 2]) / 2 if len(ordered) else None


def bad_per_unit(codes: Ints, bad: Ints, size: int) -> Ints:
    return np.bincount(codes, weights=bad, minlength=size).astype(np.int64)


def spread_over(evidence: Evidence, level: str, bad: Ints) -> Spread:
    grouping = evidence.units[level]
    per_unit = np.sort(bad_per_unit(grouping.codes, bad, len(grouping.names)))[::-1]
    total = int(per_unit.sum())
    hold_half = int(np.searchsorted(np.cumsum(per_unit), total / 2) + 1) if total else 0
    return Spread(
        level=level,
        units=len(per_unit),
        units_with_bad=int((per_unit > 0).sum()),
        hold_half=hold_half,
        bad=total,
        days_with_bad=len(set(evidence.days[bad > 0].tolist())),
        days=len(evidence.day_names),
    )
