"""Readings that nobody types: computed from the pattern card, the mould, its sand and its heat.

A reading whose inputs are not all on record is absent. Each says in words what it was computed from.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from defectlog.foundry import freezing, gating, melt, money, sand
from defectlog.records.kinds import Heat, Mould, Pattern, Sand
from defectlog.rulebase.shapes import Alloy

# Walls thinner than the first are "thin", thicker than the second "thick" (mm), as limits.toml uses the words.
THIN_MM, THICK_MM = 5.0, 12.0


@dataclass(frozen=True, slots=True)
class ComputedReading:
    """A computed figure: its name as limits know it, its value in metric units and what it comes from.

    `quantity` is a key of units.METRIC.
    """

    name: str
    value: float
    quantity: str
    provenance: str


def section_band(min_section_mm: float | None) -> str:
    """ "thin", "medium" or "thick" by the thinnest wall, "" when it is not on record."""
    if min_section_mm is None:
        return ""
    if min_section_mm < THIN_MM:
        return "thin"
    return "thick" if min_section_mm > THICK_MM else "medium"


def freezing_seconds(min_section_mm: float) -> float:
    """Time in which a wall freezes, seconds: Chvorinov with the typical constant, good to about a third."""
    return freezing.freezing_minutes(freezing.wall_modulus(min_section_mm)) * 60


def fill_seconds_of(pattern: Pattern) -> float | None:
    """Filling time in s through the pattern's choke, discharge 0.8, the whole sprue as head; None when not known."""
    poured, choke, head = pattern.poured_kg, pattern.choke_mm2, pattern.sprue_height_mm
    return gating.fill_seconds(poured, choke, head) if poured and choke and head else None


def pattern_readings(pattern: Pattern) -> dict[str, ComputedReading]:
    """What the pattern card alone tells, by name: gate_velocity_m_s, gating_ratio, fill_s, fill_ratio,
    modulus_ratio, section_ratio, casting_yield_pct."""
    return by_name((*running_readings(pattern), *shape_readings(pattern)))


def by_name(readings: Iterable[ComputedReading]) -> dict[str, ComputedReading]:
    return {reading.name: reading for reading in readings}


def running_readings(pattern: Pattern) -> Iterable[ComputedReading]:
    choke, gate, head = pattern.choke_mm2, pattern.gate_mm2, pattern.sprue_height_mm
    if choke and gate:
        said = f"computed from choke {choke:g} mm², gate {gate:g} mm²"
        yield ComputedReading("gating_ratio", gate / choke, "ratio", said)
        if head:
            said += f", head {head:g} mm, discharge {gating.DISCHARGE:g}"
            speed = gating.gate_velocity(choke, gate, head)
            yield ComputedReading("gate_velocity_m_s", speed, "velocity", said)
    seconds = fill_seconds_of(pattern)
    if seconds is not None:
        said = (
            f"computed from {pattern.poured_kg:g} kg through a choke of {choke:g} mm², "
            f"head {head:g} mm, discharge {gating.DISCHARGE:g}"
        )
        yield ComputedReading("fill_s", seconds, "seconds", said)
        yield from fill_ratio(seconds, pattern, f"filling time {seconds:.1f} s, itself {said}")


def fill_ratio(seconds: float, pattern: Pattern, said: str) -> Iterable[ComputedReading]:
    """Filling time over the time in which the thinnest wall freezes."""
    wall = pattern.min_section_mm
    if wall:
        frozen = freezing_seconds(wall)
        provenance = f"{said}; a wall of {wall:g} mm freezes in about {frozen:.0f} s"
        yield ComputedReading("fill_ratio", seconds / frozen, "ratio", provenance)


def shape_readings(pattern: Pattern) -> Iterable[ComputedReading]:
    feeder, part = pattern.feeder_modulus_mm, pattern.casting_modulus_mm
    if feeder and part:
        said = f"computed from feeder modulus {feeder:g} mm, casting modulus {part:g} mm"
        yield ComputedReading("modulus_ratio", feeder / part, "ratio", said)
    thick, thin = pattern.max_section_mm, pattern.min_section_mm
    if thick and thin:
        said = f"computed from thickest wall {thick:g} mm, thinnest {thin:g} mm"
        yield ComputedReading("section_ratio", freezing.section_ratio(thick, thin), "ratio", said)
    each, poured = pattern.casting_kg, pattern.poured_kg
    if each and poured:
        share = money.casting_yield_pct(pattern.impressions, each, poured)
        said = f"computed from {pattern.impressions} × {each:g} kg of castings, {poured:g} kg poured"
        yield ComputedReading("casting_yield_pct", share, "percent", said)


def mould_readings(
    mould: Mould,
    batch: Sand | None = None,
    heat: Heat | None = None,
    pattern: Pattern | None = None,
    alloy: Alloy | None = None,
    shaken_out_at: datetime | None = None,
) -> dict[str, ComputedReading]:
    """What one mould tells, by name: superheat_c, stood_h, cooling_min, temper_ratio, fill_ratio (measured).

    `alloy` is what the heat (or the pattern) was poured in; `shaken_out_at` serves when no cooling time is on record.
    """
    return by_name(
        (
            *metal_readings(mould, heat, alloy),
            *waiting_readings(mould, shaken_out_at),
            *temper_readings(batch),
            *measured_fill(mould, pattern),
        )
    )


def metal_readings(mould: Mould, heat: Heat | None, alloy: Alloy | None) -> Iterable[ComputedReading]:
    if mould.pour_c is not None and alloy is not None:
        poured = f"poured at {mould.pour_c:g} °C"
        of_heat = f", heat {heat.heat}" if heat else ""
        said = f"computed from {poured}{of_heat}, liquidus of {alloy.id} {alloy.liquidus_c:g} °C"
        yield ComputedReading("superheat_c", melt.superheat_c(mould.pour_c, alloy.liquidus_c), "number", said)


def waiting_readings(mould: Mould, shaken_out_at: datetime | None) -> Iterable[ComputedReading]:
    """Hours from making to pouring, minutes from pouring to shakeout; times in the wrong order give nothing."""
    made, poured = mould.made_at, mould.poured_at
    if made and poured and poured >= made:
        hours = (poured - made).total_seconds() / 3600
        said = f"computed from made {made:%Y-%m-%d %H:%M}, poured {poured:%Y-%m-%d %H:%M}"
        yield ComputedReading("stood_h", hours, "hours", said)
    if mould.cooling_min is not None:
        yield ComputedReading("cooling_min", mould.cooling_min, "minutes", "on record")
    elif poured and shaken_out_at and shaken_out_at >= poured:
        minutes = (shaken_out_at - poured).total_seconds() / 60
        said = f"computed from poured {poured:%Y-%m-%d %H:%M}, shaken out {shaken_out_at:%Y-%m-%d %H:%M}"
        yield ComputedReading("cooling_min", minutes, "minutes", said)


def temper_readings(batch: Sand | None) -> Iterable[ComputedReading]:
    if batch and batch.moisture_pct is not None and batch.active_clay_pct:
        ratio = sand.temper_ratio(batch.moisture_pct, batch.active_clay_pct)
        said = f"computed from moisture {batch.moisture_pct:g} %, active clay {batch.active_clay_pct:g} %"
        yield ComputedReading("temper_ratio", ratio, "ratio", said)


def measured_fill(mould: Mould, pattern: Pattern | None) -> Iterable[ComputedReading]:
    if mould.pour_s is not None and pattern is not None:
        yield from fill_ratio(mould.pour_s, pattern, f"computed from a measured pour of {mould.pour_s:g} s")
