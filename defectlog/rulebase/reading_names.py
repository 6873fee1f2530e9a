"""The readings that a limit may speak of, in words: the columns of the records, and what is worked out from them."""

from collections.abc import Mapping
from functools import cache
from types import MappingProxyType

from defectlog.records.fields import fields_of
from defectlog.records.kinds import Heat, Mould, Pattern, Sand
from defectlog.units import show_quantity

COMPUTED: Mapping[str, tuple[str, str]] = MappingProxyType(
    {
        "gate_velocity_m_s": ("speed of the metal in the gate", "velocity"),
        "fill_ratio": ("filling time over the time in which the thinnest wall freezes", "ratio"),
        "modulus_ratio": ("modulus of the feeder over that of the part it feeds", "ratio"),
        "section_ratio": ("thickest wall over the thinnest", "ratio"),
        "stood_h": ("time from making the mould to pouring it", "hours"),
    }
)
"""{reading: (what it is, its quantity, a key of units.METRIC)} for the readings that nobody types."""


@cache
def known_readings() -> Mapping[str, tuple[str, str]]:
    """{reading: (what it is, its quantity)}; the quantity of a yes/no column is "yes_no"."""
    columns = {
        spec.name: (spec.meaning, "yes_no" if spec.holds == "yes_no" else spec.quantity)
        for kind in (Sand, Heat, Mould, Pattern)
        for spec in fields_of(kind)
        if spec.holds in ("number", "count", "yes_no")
    }
    return MappingProxyType(columns | dict(COMPUTED))


def reading_in_words(reading: str, side: str) -> str:
    """ "moisture above its limit"; for a yes/no column "vented: no". A reading nobody knows is given by its name."""
    words, quantity = known_readings().get(reading, (reading, ""))
    if quantity == "yes_no":
        return f"{words}: {'yes' if side == 'above' else 'no'}"
    return f"{words} {side} its limit"


def amount_in_words(reading: str, value: float) -> str:
    """ "4.5 %": a value of the reading with its unit, as the rule files give it (metric)."""
    quantity = known_readings().get(reading, ("", ""))[1]
    return show_quantity(value, quantity if quantity not in ("", "yes_no") else "number")
