"""Shop sums by name: what was typed in, checked all at once, and the answer with its formula, source and remarks."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from rapidfuzz import process

from defectlog import units
from defectlog.errors import BadInput, NotFound, Problem
from defectlog.foundry.sum_shape import LIST, TEXT, Input, Sum, Window, Worked
from defectlog.foundry.sums_gating import GATING_SUMS
from defectlog.foundry.sums_metal import METAL_SUMS
from defectlog.foundry.sums_sand import SAND_SUMS

SUMS: Mapping[str, Sum] = {each.name: each for each in (*SAND_SUMS, *GATING_SUMS, *METAL_SUMS)}
BARE_NUMBER = re.compile(r"[-+−]?[\d.,]+")


@dataclass(frozen=True, slots=True)
class SumAnswer:
    """A worked sum. `value` and `unit` are in the system asked for; `inputs` are metric, as their keys say."""

    name: str
    title: str
    value: float
    unit: str
    inputs: Mapping[str, Any]
    formula: str
    source: str
    remarks: tuple[str, ...]

    def as_json(self) -> dict[str, Any]:
        return {
            "name": self.name,
            "value": self.value,
            "unit": self.unit,
            "inputs": dict(self.inputs),
            "formula": self.formula,
            "source": self.source,
            "remarks": list(self.remarks),
        }


def work_out(name: str, typed: Mapping[str, str], system: str = "metric") -> SumAnswer:
    """The sum `name` with `typed` values by input key; US customary out when `system` is "us".

    A bare number is in the unit that the key ends in. Raises NotFound for an unknown sum, BadInput with every
    problem of the inputs at once.
    """
    chosen = sum_named(name)
    values = values_of(chosen, typed)
    try:
        worked = chosen.function(values)
    except (ValueError, OverflowError) as error:
        found = str(error)
        raise BadInput(Problem("sum-impossible", f"sums {name}", found, f"formula: {chosen.formula}")) from None
    if not isinstance(worked, Worked):
        worked = Worked(float(worked))
    value, unit = in_system(chosen, worked.value, system)
    remarks = (*worked.remarks, *window_remark(chosen, worked.value, system), *filter(None, (chosen.caution,)))
    given = {key: value for key, value in values.items() if value is not None}
    return SumAnswer(chosen.name, chosen.title, value, unit, given, chosen.formula, chosen.source, remarks)


def sum_named(name: str) -> Sum:
    if name in SUMS:
        return SUMS[name]
    hint = nearest(name, SUMS)
    raise NotFound(Problem("sum-unknown", "sums", f"there is no sum {name!r}", f"allowed: {', '.join(SUMS)}", hint))


def nearest(text: str, known: Mapping[str, object]) -> str:
    close = process.extractOne(text, list(known), score_cutoff=50)
    return f"did you mean {close[0]!r}?" if close else ""


def values_of(chosen: Sum, typed: Mapping[str, str]) -> dict[str, Any]:
    """Metric values by key, None for what may be and was left out. Raises BadInput with every problem."""
    known = {each.key: each for each in chosen.inputs}
    problems = [unknown_input(chosen, key, known) for key in typed if key not in known]
    values: dict[str, Any] = {}
    for key, each in known.items():
        text = typed.get(key, "").strip() or each.default
        if text is None:
            problems.append(missing_input(chosen, each))
        elif not text:
            values[key] = None
        else:
            try:
                values[key] = value_of(each, text, f"sums {chosen.name}, {key}")
            except BadInput as error:
                problems.extend(error.problems)
    if problems:
        raise BadInput(problems)
    return values


def unknown_input(chosen: Sum, key: str, known: Mapping[str, Input]) -> Problem:
    found = f"unknown input {key!r}"
    return Problem(
        "sum-input-unknown", f"sums {chosen.name}", found, f"allowed: {', '.join(known)}", nearest(key, known)
    )


def missing_input(chosen: Sum, each: Input) -> Problem:
    found = f"{each.key} is missing: {each.meaning}"
    allowed = f"allowed: {', '.join(each.choices)}" if each.choices else f"allowed: {bounds(each)}"
    return Problem("sum-input-missing", f"sums {chosen.name}", found, allowed, f"type: {each.key}=…")


def value_of(each: Input, text: str, where: str) -> Any:
    """One typed text as the input wants it. Raises BadInput."""
    if each.quantity == TEXT:
        return one_choice(each, text, where)
    if each.quantity == LIST:
        return [number_of(each, part, "number", where) for part in list_parts(text)]
    return number_of(each, text, each.quantity, where)


def one_choice(each: Input, text: str, where: str) -> str:
    if text.lower() in each.choices:
        return text.lower()
    allowed = f"allowed: {', '.join(each.choices)}"
    raise BadInput(
        Problem(
            "sum-choice-unknown",
            where,
            f"{text!r} is not one of the choices",
            allowed,
            nearest(text, dict.fromkeys(each.choices)),
        )
    )


def list_parts(text: str) -> list[str]:
    """Numbers in a row: apart by blanks or semicolons, or by commas when there are no blanks."""
    parts = [part for part in re.split(r"[\s;]+", text) if part]
    return [part for part in text.split(",") if part] if len(parts) == 1 else [part.rstrip(",") for part in parts]


def number_of(each: Input, text: str, quantity: str, where: str) -> float:
    bare = each.unit and BARE_NUMBER.fullmatch(text)
    value = units.parse_quantity(f"{text} {each.unit}" if bare else text, quantity, where)
    if (each.least is not None and value < each.least) or (each.most is not None and value > each.most):
        raise BadInput(Problem("sum-out-of-range", where, f"{text!r} cannot be", f"allowed: {bounds(each)}"))
    return value


def bounds(each: Input) -> str:
    """ "1 to 5000 mm", in the unit that a bare number of this input is in."""
    factor = units.SPELLINGS[each.unit].factor if each.unit else 1.0
    unit = each.unit or ("" if each.quantity in (TEXT, LIST) else units.METRIC[each.quantity].symbol)
    least, most = (None if bound is None else bound / factor for bound in (each.least, each.most))
    if least is None or most is None:
        return f"a number {unit}".strip()
    return f"{least:.10g} to {most:.10g} {unit}".strip()


def in_system(chosen: Sum, value: float, system: str) -> tuple[float, str]:
    """The answer and its unit in "metric" or "us"."""
    if system == "us" and chosen.us:
        return value * chosen.us[1], chosen.us[0]
    if chosen.unit:
        return value, chosen.unit
    return units.to_us(value, chosen.quantity) if system == "us" else value, units.symbol(chosen.quantity, system)


def window_remark(chosen: Sum, value: float, system: str) -> tuple[str, ...]:
    """What to say when the answer lies outside the usual window; nothing when inside or when there is none."""
    window = chosen.window
    if window is None or inside(window, value):
        return ()
    return (f"This is outside what is usual, {window_text(chosen, window, system)} ({window.source}).",)


def inside(window: Window, value: float) -> bool:
    return (window.low is None or value >= window.low) and (window.high is None or value <= window.high)


def window_text(chosen: Sum, window: Window, system: str) -> str:
    """ "3 to 4.5 %", "at most 0.5 m/s", "at least 60 %"."""
    ends = [in_system(chosen, end, system) for end in (window.low, window.high) if end is not None]
    words = " to ".join(f"{value:.4g}" for value, _ in ends)
    side = "" if len(ends) == 2 else "at most " if window.low is None else "at least "
    return f"{side}{words} {ends[0][1]}".strip()
