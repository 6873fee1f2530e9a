"""How the values of records are said to people, and put into JSON."""

import re
from collections.abc import Iterable, Sequence
from datetime import date, datetime
from typing import Any

from defectlog.records.cells import day_text, moment_text
from defectlog.records.fields import FieldSpec, fields_of
from defectlog.report.shell import shell_word
from defectlog.units import show_quantity, to_us

NUMBERED = re.compile(r"^(?P<prefix>.*?)(?P<number>\d+)$")
NOT_ON_RECORD = "–"
MOST_SAID = 6


def value_text(spec: FieldSpec, value: Any, units: str = "metric") -> str:
    """A field's value as people read it, with its unit; a dash for what is not on record."""
    if value is None:
        return NOT_ON_RECORD
    match spec.holds:
        case "number":
            return show_quantity(value, spec.quantity, units, digits_of(value, spec.quantity, units))
        case "yes_no":
            return "yes" if value else "no"
        case "moment":
            return moment_text(value).replace("T", " ")
        case "day":
            return day_text(value)
        case _:
            return str(value)


def digits_of(value: float, quantity: str, units: str) -> int:
    """All the figures of a value as somebody typed it; four of one that a change of units has made long."""
    shown = to_us(value, quantity) if units == "us" else value
    return 6 if abs(float(f"{shown:.6g}") - shown) < 1e-9 * abs(shown) else 4


def label_of(spec: FieldSpec) -> str:
    """The meaning of a field, short: what stands before its explanation."""
    return re.split("[;:]", spec.meaning)[0]


def field_texts(record: Any, units: str = "metric", leave_out: Iterable[str] = ()) -> list[tuple[str, str]]:
    """(meaning, value) of the fields that are on record, in the order of the columns."""
    kind: Any = type(record)
    return [
        (label_of(spec), value_text(spec, getattr(record, spec.name), units))
        for spec in fields_of(kind)
        if spec.name not in leave_out and getattr(record, spec.name) is not None
    ]


def json_value(value: Any) -> Any:
    """Dates as ISO text, everything else as it is; None is null: not on record."""
    if isinstance(value, datetime):
        return moment_text(value)
    return day_text(value) if isinstance(value, date) else value


def record_json(record: Any) -> dict[str, Any]:
    """Every column of the record by its name, metric."""
    kind: Any = type(record)
    return {spec.name: json_value(getattr(record, spec.name)) for spec in fields_of(kind)}


def runs(names: Sequence[str]) -> list[str]:
    """Names with those that follow each other drawn together: "M-225..M-236", "M-240"."""
    ends: list[list[str]] = []
    for name in names:
        if ends and follows(ends[-1][1], name):
            ends[-1][1] = name
        else:
            ends.append([name, name])
    return [span(start, end) for start, end in ends]


def runs_text(names: Sequence[str]) -> str:
    return ", ".join(runs(names))


def as_typed(names: Sequence[str]) -> str:
    """Names as they go into a command, quoted where a shell would need it."""
    return " ".join(shell_word(name) for name in runs(names))


def span(start: str, end: str) -> str:
    return start if start == end else f"{start}..{end}"


def follows(before: str, after: str) -> bool:
    first, second = NUMBERED.match(before), NUMBERED.match(after)
    return bool(
        first and second and first["prefix"] == second["prefix"] and int(second["number"]) == int(first["number"]) + 1
    )


def many(number: int, one: str, several: str = "") -> str:
    """ "1 mould", "12 moulds"."""
    return f"{number} {one if number == 1 else several or one + 's'}"


def drawn_together(told: Iterable[tuple[str, str]]) -> list[str]:
    """(record, what befell it) → lines, where what befell several is said once: "mould M-225..M-236: heat was H-7"."""
    names: dict[tuple[str, str], list[str]] = {}
    for record, text in told:
        kind, _, name = record.partition(" ")
        names.setdefault((kind, text), []).append(name)
    return [f"{f'{kind} {some_of(runs(group))}'.strip()}: {text}" for (kind, text), group in names.items()]


def some_of(said: Sequence[str]) -> str:
    """The first few of many."""
    more = f" and {len(said) - MOST_SAID} more" if len(said) > MOST_SAID else ""
    return ", ".join(said[:MOST_SAID]) + more
