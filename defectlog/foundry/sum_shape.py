"""What one shop sum is: its inputs with their bounds, its formula, its source and the usual window of its answer."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

# What an input may be besides a key of units.METRIC.
TEXT = "text"
LIST = "list"


@dataclass(frozen=True, slots=True)
class Input:
    """One figure to type. `quantity` is a key of units.METRIC, "text" or "list" (numbers in a row).

    `unit` is meant by a bare number where the metric unit of the quantity would be clumsy (grams). `least` and
    `most` bound what can be, in the metric unit. Without a `default` it must be given; "" means it may be left out.
    """

    key: str
    meaning: str
    quantity: str
    least: float | None = None
    most: float | None = None
    default: str | None = None
    choices: tuple[str, ...] = ()
    unit: str = ""


@dataclass(frozen=True, slots=True)
class Window:
    """Between what the answer usually lies, and who says so. `reading`: its limits of limits.toml are the same."""

    low: float | None
    high: float | None
    source: str
    reading: str = ""


@dataclass(frozen=True, slots=True)
class Worked:
    """An answer in metric units with things to be said about it."""

    value: float
    remarks: tuple[str, ...] = ()


Values = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Sum:
    """One sum. The answer's unit is that of `quantity`, or `unit` where no quantity has it.

    `us` is the symbol and the factor of the answer in US customary units where `quantity` does not know them.
    `function` takes the metric values by key, None for what was left out, and raises ValueError for the impossible.
    """

    name: str
    title: str
    inputs: tuple[Input, ...]
    quantity: str
    formula: str
    source: str
    function: Callable[[Values], float | Worked]
    window: Window | None = None
    unit: str = ""
    us: tuple[str, float] | None = None
    caution: str = ""


def grams(key: str, meaning: str) -> Input:
    """A weight of the sand or sample bench."""
    return Input(key, meaning, "mass", least=0, most=50, unit="g")
