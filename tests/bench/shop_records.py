"""What a simulated shop writes down: its arrays turned into the history and the usual run that the reasoning meets."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

import numpy as np

from defectlog.diagnosis import evidence as names
from defectlog.diagnosis.arrays import Floats, Ints
from defectlog.records.histories import DefectDay, PatternHistory, Seen, ShopUsual
from defectlog.records.kinds import Heat, Mould, Pattern, Sand

FIRST_DAY = date(2026, 1, 5)
PATTERNS = 8
PATTERN = "P-1"
COMPUTED_OF_PATTERN = ("gate_velocity_m_s", "fill_ratio", "modulus_ratio", "section_ratio")
Readings = Mapping[str, Floats]


@dataclass(frozen=True)
class Floor:
    """Who poured what, when, out of which sand and which heat. All (moulds,), but `plates` (patterns,) impressions."""

    days: int
    day: Ints
    order: Ints
    heat: Ints
    sand: Ints
    moulder: Ints
    pattern: Ints
    plates: Ints

    @property
    def castings(self) -> Ints:
        return self.plates[self.pattern]


@dataclass(frozen=True)
class Castings:
    """Every bad casting: its mould's row, its impression, whether the impression was noted, and the label it got."""

    row: Ints
    impression: Ints
    noted: Any
    label: tuple[str, ...]


def pattern_history(floor: Floor, readings: Readings, castings: Castings) -> PatternHistory:
    """The first pattern's moulds and what they share."""
    rows = np.flatnonzero(floor.pattern == 0)
    return PatternHistory(
        pattern=PATTERN,
        since=FIRST_DAY,
        until=FIRST_DAY + timedelta(days=floor.days),
        revisions=(card(floor, readings),),
        moulds=tuple(mould(floor, int(row), readings) for row in rows),
        sands={f"S{unit}": sand(unit, readings) for unit in set(floor.sand[rows].tolist())},
        heats={f"H{unit}": heat(unit, readings) for unit in set(floor.heat[rows].tolist())},
        findings=tuple(
            Seen(number, f"M{row}", 1, castings.label[number], impression=int(impression) if noted else None)
            for number, (row, impression, noted) in enumerate(
                zip(castings.row.tolist(), castings.impression, castings.noted, strict=True)
            )
            if floor.pattern[row] == 0
        ),
    )


def shop_usual(floor: Floor, readings: Readings, castings: Castings, defect: str) -> ShopUsual:
    labelled = np.array([label == defect for label in castings.label], dtype=bool)
    bad = np.bincount(castings.row[labelled], minlength=len(floor.day))
    cell = floor.pattern * floor.days + floor.day
    size = PATTERNS * floor.days
    moulds = np.bincount(cell, minlength=size)
    cast = np.bincount(cell, weights=floor.castings, minlength=size)
    of_cell = np.bincount(cell, weights=bad, minlength=size)
    days = tuple(
        DefectDay(
            pattern=f"P-{code // floor.days + 1}",
            day=FIRST_DAY + timedelta(days=int(code % floor.days)),
            moulds=int(moulds[code]),
            castings=int(cast[code]),
            bad=int(of_cell[code]),
        )
        for code in np.flatnonzero(moulds)
    )
    return ShopUsual(
        moulds=len(floor.day),
        castings=int(floor.castings.sum()),
        bad={defect: int(bad.sum())},
        readings={name: tuple(values[~np.isnan(values)].tolist()) for name, values in readings.items()},
        days={defect: days},
    )


def computed(floor: Floor, readings: Readings) -> dict[str, list[float | None]]:
    """Readings that follow from the pattern card, one value a mould."""
    count = int((floor.pattern == 0).sum())
    return {name: [value(readings, name, 0)] * count for name in COMPUTED_OF_PATTERN if name in readings}


def value(readings: Readings, name: str, unit: int) -> float | None:
    if name not in readings or np.isnan(readings[name][unit]):
        return None
    return float(readings[name][unit])


def fields(unit: int, wanted: tuple[str, ...], readings: Readings) -> dict[str, Any]:
    values: dict[str, Any] = {name: value(readings, name, unit) for name in wanted if name in readings}
    return {
        name: bool(item) if name in names.YES_NO_READINGS and item is not None else item
        for name, item in values.items()
    }


def sand(unit: int, readings: Readings) -> Sand:
    return Sand(
        sand=f"S{unit}", mixed_at=datetime.combine(FIRST_DAY, datetime.min.time()),
        **fields(unit, names.SAND_READINGS, readings),
    )  # fmt: skip


def heat(unit: int, readings: Readings) -> Heat:
    return Heat(
        heat=f"H{unit}", melted_at=datetime.combine(FIRST_DAY, datetime.min.time()),
        **fields(unit, names.HEAT_READINGS, readings),
    )  # fmt: skip


def mould(floor: Floor, row: int, readings: Readings) -> Mould:
    poured = datetime.combine(FIRST_DAY, datetime.min.time()) + timedelta(days=int(floor.day[row]), hours=11)
    stood = value(readings, "stood_h", row)
    return Mould(
        mould=f"M{row}",
        pattern=PATTERN,
        revision="A",
        castings=int(floor.castings[row]),
        sand=f"S{floor.sand[row]}",
        heat=f"H{floor.heat[row]}",
        moulder="ABC"[floor.moulder[row]],
        poured_at=poured,
        made_at=None if stood is None else poured - timedelta(hours=max(stood, 0.0)),
        pour_order=int(floor.order[row]),
        **fields(row, tuple(name for name in names.MOULD_READINGS if name != "pour_order"), readings),
    )


def card(floor: Floor, readings: Readings) -> Pattern:
    return Pattern(
        pattern=PATTERN, revision="A", impressions=int(floor.plates[0]), **fields(0, names.PATTERN_READINGS, readings)
    )
