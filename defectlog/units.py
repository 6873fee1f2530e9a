"""Text to number-with-unit and back: the one place that knows degrees, pounds and percent.

Stored values are metric. A typed value may carry its unit ("1330 F", "5 lb", "3,2 %"); without one it is
in the unit that the field is named after. A general unit library was tried and reads "1330F" as farad.
"""

import math
import re
from dataclasses import dataclass

from defectlog.errors import BadInput, Problem


@dataclass(frozen=True, slots=True)
class Unit:
    """One unit: `metric = (value - offset) * factor`, its spoken `symbol`, and its US counterpart's symbol."""

    symbol: str
    quantity: str
    factor: float = 1.0
    offset: float = 0.0


# quantity -> (metric unit, US customary unit). A quantity with no US form prints metric in both systems.
# Factors: NIST SP 811 (2008), appendix B.
METRIC: dict[str, Unit] = {
    "temperature": Unit("°C", "temperature"),
    "mass": Unit("kg", "mass"),
    "length": Unit("mm", "length"),
    "area": Unit("mm²", "area"),
    "pressure": Unit("kPa", "pressure"),
    "percent": Unit("%", "percent"),
    "angle": Unit("°", "angle"),
    "minutes": Unit("min", "minutes"),
    "seconds": Unit("s", "seconds"),
    "hours": Unit("h", "hours"),
    "velocity": Unit("m/s", "velocity"),
    "volume": Unit("cm³", "volume"),
    "density": Unit("kg/m³", "density"),
    "number": Unit("", "number"),
    "ratio": Unit("", "ratio"),
}
US: dict[str, Unit] = {
    "temperature": Unit("°F", "temperature", 5 / 9, 32.0),
    "mass": Unit("lb", "mass", 0.45359237),
    "length": Unit("in", "length", 25.4),
    "area": Unit("in²", "area", 645.16),
    "pressure": Unit("psi", "pressure", 6.894757),
    "velocity": Unit("ft/s", "velocity", 0.3048),
    "volume": Unit("in³", "volume", 16.387064),
    "density": Unit("lb/ft³", "density", 16.018463),
}
# What people type, in lower case without spaces or degree signs.
SPELLINGS: dict[str, Unit] = {
    "c": METRIC["temperature"],
    "celsius": METRIC["temperature"],
    "f": US["temperature"],
    "fahrenheit": US["temperature"],
    "kg": METRIC["mass"],
    "g": Unit("g", "mass", 0.001),
    "lb": US["mass"],
    "lbs": US["mass"],
    "oz": Unit("oz", "mass", 0.45359237 / 16),
    "mm": METRIC["length"],
    "cm": Unit("cm", "length", 10.0),
    "m": Unit("m", "length", 1000.0),
    "in": US["length"],
    '"': US["length"],
    "inch": US["length"],
    "inches": US["length"],
    "mm2": METRIC["area"],
    "mm²": METRIC["area"],
    "cm2": Unit("cm²", "area", 100.0),
    "in2": US["area"],
    "in²": US["area"],
    "kpa": METRIC["pressure"],
    "mpa": Unit("MPa", "pressure", 1000.0),
    "psi": US["pressure"],
    "%": METRIC["percent"],
    "pct": METRIC["percent"],
    "percent": METRIC["percent"],
    "deg": METRIC["angle"],
    "degrees": METRIC["angle"],
    "min": METRIC["minutes"],
    "mins": METRIC["minutes"],
    "minutes": METRIC["minutes"],
    "s": METRIC["seconds"],
    "sec": METRIC["seconds"],
    "seconds": METRIC["seconds"],
    "h": METRIC["hours"],
    "hr": METRIC["hours"],
    "hours": METRIC["hours"],
    "m/s": METRIC["velocity"],
    "ft/s": US["velocity"],
    "in/s": Unit("in/s", "velocity", 0.0254),
    "cm3": METRIC["volume"],
    "cm³": METRIC["volume"],
    "in3": US["volume"],
    "in³": US["volume"],
    "kg/m3": METRIC["density"],
    "kg/m³": METRIC["density"],
    "lb/ft3": US["density"],
    "lb/ft³": US["density"],
}
# Minutes, seconds and hours are one kind of thing to a person typing "90 s" into a minutes field.
TIME_IN_SECONDS = {"seconds": 1.0, "minutes": 60.0, "hours": 3600.0}

# "5", "5.", ".5", "5,1", "1.5e-3"; then a unit of one or more words, with any of the signs typed for a degree.
NUMBER_WITH_UNIT = re.compile(
    r"\s*(?P<number>[-+−]?(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:[eE][-+]?\d{1,3})?)(?P<unit>(?![\d.,eE−+-])\D.*)?", re.DOTALL
)
# "1,250" is a thousand and a quarter in one country and one and a quarter in another; "0,125" cannot be thousands.
THOUSANDS = re.compile(r"[-+−]?[1-9]\d{0,2},\d{3}")
DEGREE_SIGNS = re.compile("[°º˚]")


def parse_quantity(text: str, quantity: str, where: str = "") -> float:
    """The metric value of `text` for a field of `quantity` (a key of METRIC).

    Raises BadInput when the text is no number, or carries a unit of another quantity.
    """
    match = NUMBER_WITH_UNIT.fullmatch(text)
    metric = METRIC[quantity]
    allowed = f"a number{f' in {metric.symbol}' if metric.symbol else ''}{examples(quantity)}"
    if match is None:
        raise BadInput(Problem("not-a-number", where, f"{text!r} is not a number", f"allowed: {allowed}"))
    if THOUSANDS.fullmatch(match["number"]):
        found = f"{text!r} could be thousands or a decimal comma"
        raise BadInput(Problem("comma-unclear", where, found, f"allowed: {allowed}, with a point for decimals"))
    number = float(match["number"].replace(",", ".").replace("−", "-"))
    if not math.isfinite(number):
        raise BadInput(Problem("not-a-number", where, f"{text!r} is too large", f"allowed: {allowed}"))
    spelling = spelled(match["unit"] or "")
    if not spelling:
        return number
    unit = SPELLINGS.get(spelling)
    if unit is None:
        found = f"unit {match['unit'].strip()!r} in {text!r}"
        raise BadInput(Problem("unit-unknown", where, found, f"allowed: {allowed}"))
    return converted(number, unit, quantity, text, where, allowed)


def spelled(unit: str) -> str:
    """A unit as SPELLINGS has it: lower case, no blanks, no degree sign before a letter, powers as digits."""
    word = "".join(unit.lower().split()).rstrip(".").replace("^", "")
    bare = DEGREE_SIGNS.sub("", word)
    if bare in ("degc", "degf"):
        return bare[-1]
    for area in ("sq.", "sq"):
        if bare.startswith(area):
            return bare.removeprefix(area) + "2"
    return bare


def converted(number: float, unit: Unit, quantity: str, text: str, where: str, allowed: str) -> float:
    if unit.quantity == quantity:
        return (number - unit.offset) * unit.factor
    if unit.quantity in TIME_IN_SECONDS and quantity in TIME_IN_SECONDS:
        return number * unit.factor * TIME_IN_SECONDS[unit.quantity] / TIME_IN_SECONDS[quantity]
    raise BadInput(
        Problem("unit-wrong", where, f"{text!r} is in {unit.symbol}, another kind of unit", f"allowed: {allowed}")
    )


def examples(quantity: str) -> str:
    us = US.get(quantity)
    return f", or with its unit, as in 12 {us.symbol}" if us else ""


def to_us(value: float, quantity: str) -> float:
    """The US customary figure of a stored metric value; quantities without one come back as they are."""
    unit = US.get(quantity)
    return value / unit.factor + unit.offset if unit else value


def symbol(quantity: str, system: str = "metric") -> str:
    """`system` is "metric" or "us"."""
    unit = US.get(quantity) if system == "us" else None
    return (unit or METRIC[quantity]).symbol


def show_quantity(value: float | None, quantity: str, system: str = "metric", digits: int = 4) -> str:
    """A value as people read it, with its unit: "5.1 %", "1330 °F"; an unknown is a dash, never a zero."""
    if value is None:
        return "–"
    shown = to_us(value, quantity) if system == "us" else value
    text = f"{shown:.{digits}g}"
    if "e" in text:  # large, or rounded up to the next power of ten; very small ones read better as decimals too
        text = f"{shown:.0f}" if abs(shown) >= 1 else f"{shown:.{digits + 4}f}".rstrip("0").rstrip(".")
    text = "0" if text == "-0" else text
    unit = symbol(quantity, system)
    return f"{text} {unit}".strip()
