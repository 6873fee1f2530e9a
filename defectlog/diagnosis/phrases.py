"""The plain names of readings and units, one place for every sentence that the reasoning writes."""

from defectlog.records.fields import field_of
from defectlog.records.kinds import Heat, Mould, Pattern, Sand
from defectlog.rulebase.shapes import Limit
from defectlog.units import show_quantity

UNIT_NAMES = {
    "sand": ("batch of sand", "batches of sand"),
    "heat": ("heat", "heats"),
    "mould": ("mould", "moulds"),
    "moulder": ("moulder", "moulders"),
    "impression": ("impression", "impressions"),
    "pattern": ("revision of the pattern", "revisions of the pattern"),
}
# name → (what it is called, its quantity); readings that follow from others and stand in no column.
COMPUTED_READINGS = {
    "gate_velocity_m_s": ("gate velocity", "velocity"),
    "fill_ratio": ("filling time over the freezing time of the thinnest wall", "ratio"),
    "modulus_ratio": ("feeder modulus over casting modulus", "ratio"),
    "section_ratio": ("thickest wall over thinnest", "ratio"),
    "stood_h": ("hours from moulding to pouring", "hours"),
    "superheat_c": ("superheat over the liquidus", "temperature"),
    "casting_yield_pct": ("casting yield", "percent"),
    "temper_ratio": ("water over clay", "ratio"),
}
YES_NO = {
    "facing_riddled": ("facing not riddled", "facing riddled"),
    "vented": ("not vented", "vented"),
    "skimmed": ("not skimmed", "skimmed"),
    "modified": ("not modified", "modified"),
    "refined": ("not grain refined", "grain refined"),
    "interrupted": ("pour not interrupted", "pour interrupted"),
}


def unit_name(level: str, count: int = 2) -> str:
    return UNIT_NAMES[level][0 if count == 1 else 1]


def reading_name(reading: str) -> str:
    if reading in COMPUTED_READINGS:
        return COMPUTED_READINGS[reading][0]
    if reading in YES_NO:
        return YES_NO[reading][1]
    for kind in (Sand, Heat, Mould, Pattern):
        try:
            return field_of(kind, reading).meaning
        except KeyError:
            continue
    return reading.replace("_", " ")


def reading_quantity(reading: str) -> str:
    """The key of units.METRIC in which the reading is kept."""
    if reading in COMPUTED_READINGS:
        return COMPUTED_READINGS[reading][1]
    for kind in (Sand, Heat, Mould, Pattern):
        try:
            return field_of(kind, reading).quantity or "number"
        except KeyError:
            continue
    return "number"


def beyond_limit(limit: Limit, system: str = "metric") -> str:
    """ "moisture above 4.5 %", "not skimmed": what it means to be past the limit."""
    if limit.reading in YES_NO:
        return YES_NO[limit.reading][0 if limit.side == "below" else 1]
    return f"{reading_name(limit.reading)} {limit.side} {show_reading(limit.value, limit.reading, system)}"


def show_reading(value: float, reading: str, system: str = "metric") -> str:
    return show_quantity(value, reading_quantity(reading), system, digits=3)
