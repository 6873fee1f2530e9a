"""Records to evidence: one row a mould, the units it shares with others, and the readings on record for it.

A unit that is not on record ("which sand?") is taken to be one of its own for that pouring day, with no reading.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time
from functools import cached_property

import numpy as np

from defectlog.diagnosis.arrays import Flags, Floats, Ints
from defectlog.records.histories import PatternHistory, Seen
from defectlog.records.kinds import Heat, Mould, Pattern, Sand

# Readings that stand on the mould's own row; the others come from its sand, its heat or its pattern card.
SAND_READINGS = (
    "compactability_pct", "moisture_pct", "permeability", "green_strength_kpa", "gfn", "active_clay_pct",
    "loi_pct", "sand_c", "new_sand_pct", "mull_min",
)  # fmt: skip
HEAT_READINGS = (
    "returns_pct", "melt_c", "holding_min", "degas_min", "since_degassing_min", "density_index_pct",
    "skimmed", "modified", "refined", "humidity_pct",
)  # fmt: skip
MOULD_READINGS = (
    "hardness_b", "facing_riddled", "vented", "pour_order", "pour_c", "pour_s", "interrupted", "cooling_min",
)  # fmt: skip
PATTERN_READINGS = ("min_section_mm", "draft_deg", "sprue_height_mm")
# What a squeezed handful of the sand does, as a number, so that it can stand among the readings.
HAND_TEST = "squeeze"
HAND_CODES = {"crumbles": -1.0, "holds": 0.0, "sticks": 1.0}
YES_NO_READINGS = frozenset({"facing_riddled", "vented", "interrupted", "skimmed", "modified", "refined"})


@dataclass(frozen=True, slots=True)
class Grouping:
    """Which unit each mould belongs to: `codes` (moulds,) index `names`; `recorded` (units,): was it written down?"""

    codes: Ints
    names: tuple[str, ...]
    recorded: Flags


@dataclass(frozen=True)
class Evidence:
    """The moulds of one pattern in a window, as arrays of one length.

    `castings` (moulds,) ≥ 0; `days` (moulds,) index `day_names`, in order of time; `units` by level
    ("sand", "heat", "mould", "moulder", "pattern"); `readings` (moulds,) in the reading's metric unit, nan where
    not on record; `revisions` the cards by revision.
    """

    pattern: str
    moulds: tuple[str, ...]
    castings: Ints
    days: Ints
    day_names: tuple[date, ...]
    units: Mapping[str, Grouping]
    readings: Mapping[str, Floats]
    findings: tuple[Seen, ...]
    impressions: int

    @cached_property
    def row_of(self) -> dict[str, int]:
        return {mould: row for row, mould in enumerate(self.moulds)}

    def bad(self, defect: str) -> Floats:
        """(moulds,) castings with the defect, secondary findings too, never more than the mould holds.

        A casting of which only the look is known counts by how likely the look makes the defect.
        """
        total = np.zeros(len(self.moulds))
        for finding in self.findings_of(defect):
            total[self.row_of[finding.mould]] += finding.castings * finding.share
        return np.minimum(total, self.castings)

    def settled(self, defect: str) -> Ints:
        """(moulds,) castings whose defect is settled, for counts that people read."""
        total = np.zeros(len(self.moulds), dtype=np.int64)
        for finding in self.findings_of(defect):
            if finding.share == 1:
                total[self.row_of[finding.mould]] += finding.castings
        return np.minimum(total, self.castings)

    def findings_of(self, defect: str) -> tuple[Seen, ...]:
        return tuple(item for item in self.findings if item.defect == defect and item.mould in self.row_of)


def gather_evidence(history: PatternHistory, computed: Mapping[str, Sequence[float | None]] | None = None) -> Evidence:
    """The evidence in a pattern's history. `computed`: more readings, one value a mould, in the order of its moulds."""
    moulds = history.moulds
    days, day_names = coded([mould_day(mould) for mould in moulds])
    cards = {card.revision or "A": card for card in history.revisions}
    readings = recorded_readings(moulds, history.sands, history.heats, cards)
    for name, values in (computed or {}).items():
        known = readings.get(name)
        found = as_floats(values)
        # What was measured comes before what follows from something else.
        readings[name] = found if known is None else np.where(np.isnan(known), found, known)
    return Evidence(
        pattern=history.pattern,
        moulds=tuple(mould.mould for mould in moulds),
        castings=np.array([mould.castings or 0 for mould in moulds], dtype=np.int64),
        days=days,
        day_names=day_names,
        units=groupings(moulds, days),
        readings=readings,
        findings=history.findings,
        impressions=max((card.impressions for card in cards.values()), default=1),
    )


def mould_day(mould: Mould) -> date:
    moment: datetime | None = mould.poured_at or mould.made_at
    return moment.date() if moment else date.min


def coded(values: Sequence[date]) -> tuple[Ints, tuple[date, ...]]:
    names = tuple(sorted(set(values)))
    index = {name: code for code, name in enumerate(names)}
    return np.array([index[value] for value in values], dtype=np.int64), names


def groupings(moulds: Sequence[Mould], days: Ints) -> dict[str, Grouping]:
    return {
        "sand": grouped([mould.sand for mould in moulds], days),
        "heat": grouped([mould.heat for mould in moulds], days),
        "moulder": grouped([mould.moulder for mould in moulds], days),
        "pattern": grouped([mould.revision or "A" for mould in moulds], days),
        "mould": grouped([mould.mould for mould in moulds], days),
    }


def grouped(names: Sequence[str | None], days: Ints) -> Grouping:
    """Units in the order of their first mould; what is not on record becomes one unit a day."""
    index: dict[tuple[bool, str], int] = {}
    codes = np.empty(len(names), dtype=np.int64)
    for row, name in enumerate(names):
        key = (True, name) if name is not None else (False, f"not on record, day {int(days[row])}")
        codes[row] = index.setdefault(key, len(index))
    return Grouping(codes, tuple(name for _, name in index), np.array([known for known, _ in index], dtype=np.bool_))


def recorded_readings(
    moulds: Sequence[Mould], sands: Mapping[str, Sand], heats: Mapping[str, Heat], cards: Mapping[str, Pattern]
) -> dict[str, Floats]:
    """Every reading that stands on record, spread over the moulds that share it."""
    of_sand = [sands.get(mould.sand or "") for mould in moulds]
    of_heat = [heats.get(mould.heat or "") for mould in moulds]
    of_card = [cards.get(mould.revision or "A") for mould in moulds]
    readings: dict[str, Floats] = {}
    sources: tuple[tuple[tuple[str, ...], Sequence[object]], ...] = (
        (SAND_READINGS, of_sand),
        (HEAT_READINGS, of_heat),
        (PATTERN_READINGS, of_card),
        (MOULD_READINGS, moulds),
    )
    for names, rows in sources:
        for name in names:
            readings[name] = as_floats([getattr(row, name, None) for row in rows])
    readings[HAND_TEST] = as_floats([HAND_CODES.get(row.squeeze or "") if row else None for row in of_sand])
    readings["stood_h"] = as_floats([stood_hours(mould) for mould in moulds])
    return readings


def stood_hours(mould: Mould) -> float | None:
    """None when either time of day is not on record: midnight stands for a day alone."""
    if mould.made_at is None or mould.poured_at is None or time() in (mould.made_at.time(), mould.poured_at.time()):
        return None
    return (mould.poured_at - mould.made_at).total_seconds() / 3600


def as_floats(values: Iterable[float | bool | None]) -> Floats:
    return np.array([np.nan if value is None else float(value) for value in values], dtype=np.float64)
