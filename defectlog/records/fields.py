"""What a field of a record may hold. Sheets, commands, questions and the book's tables are all made from this."""

import dataclasses
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any, Literal

Holds = Literal["text", "number", "count", "yes_no", "choice", "moment", "day"]
KEY = "defectlog"


@dataclass(frozen=True, slots=True)
class FieldSpec:
    """One column: what it holds and what is impossible there.

    `quantity` is a key of units.METRIC for a number; `least` and `most` are bounds of what can be (metric, inclusive),
    not of what is good; `said` has what people say for a choice; `refers_to` names the kind of record whose key the
    text must be.
    """

    name: str
    holds: Holds
    meaning: str
    required: bool = False
    quantity: str = ""
    choices: tuple[str, ...] = ()
    said: Mapping[str, str] = dataclasses.field(default_factory=dict)
    least: float | None = None
    most: float | None = None
    refers_to: str = ""

    @property
    def stem(self) -> str:
        """The name without its unit ending: `pour_c` → `pour`, `draft_deg` → `draft`."""
        ending = UNIT_ENDINGS.get(self.quantity, "")
        return self.name.removesuffix(ending) if ending else self.name


# The ending that a column of each quantity carries, and the other endings that may stand in a sheet instead.
UNIT_ENDINGS = {
    "temperature": "_c",
    "mass": "_kg",
    "length": "_mm",
    "area": "_mm2",
    "pressure": "_kpa",
    "percent": "_pct",
    "angle": "_deg",
    "minutes": "_min",
    "seconds": "_s",
}
OTHER_ENDINGS = {
    "temperature": {"_f": "f"},
    "mass": {"_lb": "lb", "_g": "g"},
    "length": {"_in": "in"},
    "area": {"_in2": "in2"},
    "pressure": {"_psi": "psi"},
}


def text(meaning: str, *, required: bool = False, refers_to: str = "") -> Any:
    return made(FieldSpec("", "text", meaning, required=required, refers_to=refers_to))


def number(quantity: str, meaning: str, *, least: float | None = 0, most: float | None = None) -> Any:
    return made(FieldSpec("", "number", meaning, quantity=quantity, least=least, most=most))


def count(meaning: str, *, required: bool = False, least: int = 0, most: int | None = None) -> Any:
    return made(FieldSpec("", "count", meaning, required=required, quantity="number", least=least, most=most))


def yes_no(meaning: str) -> Any:
    return made(FieldSpec("", "yes_no", meaning))


def choice(meaning: str, *choices: str, required: bool = False, said: Mapping[str, str] | None = None) -> Any:
    """`said`: what people say for one of the choices, in lower case → the choice."""
    return made(FieldSpec("", "choice", meaning, required=required, choices=choices, said=said or {}))


def moment(meaning: str, *, required: bool = False) -> Any:
    return made(FieldSpec("", "moment", meaning, required=required))


def day(meaning: str, *, required: bool = False) -> Any:
    return made(FieldSpec("", "day", meaning, required=required))


def made(spec: FieldSpec) -> Any:
    """A dataclass field that carries its spec; required ones have no default."""
    if spec.required:
        return dataclasses.field(metadata={KEY: spec})
    return dataclasses.field(default=None, metadata={KEY: spec})


@cache
def fields_of(kind: type) -> tuple[FieldSpec, ...]:
    """The specs of a record kind, in the order of its sheet's columns."""
    named = []
    for item in dataclasses.fields(kind):
        spec = item.metadata.get(KEY)
        if spec is not None:
            named.append(dataclasses.replace(spec, name=item.name))
    return tuple(named)


def field_of(kind: type, name: str) -> FieldSpec:
    """Raises KeyError when the kind has no such field."""
    for spec in fields_of(kind):
        if spec.name == name:
            return spec
    raise KeyError(name)


def names_of(specs: Sequence[FieldSpec]) -> tuple[str, ...]:
    return tuple(spec.name for spec in specs)
