"""The header row of a sheet: which field each column is, and in which unit."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any

from defectlog.errors import Problem
from defectlog.records.cells import nearest_of
from defectlog.records.fields import OTHER_ENDINGS, FieldSpec, fields_of
from defectlog.sheets.titles import field_meant
from defectlog.sheets.told import NOTHING, Told
from defectlog.units import SPELLINGS

# The reasons in a sheet of refused rows: read again, they are no column.
WHY = "why refused"


@dataclass(frozen=True, slots=True)
class Column:
    """A column that was recognised: `place` in the row, and the unit it is in ("" for the field's own)."""

    place: int
    title: str
    spec: FieldSpec
    unit: str = ""


@cache
def titles_of(kind: Any) -> dict[str, tuple[FieldSpec, str]]:
    """Every title a column of this kind has by rights: `pour_c`, and `pour_f` for the same field in Fahrenheit."""
    titles: dict[str, tuple[FieldSpec, str]] = {}
    for spec in fields_of(kind):
        titles[spec.name] = (spec, "")
    for spec in fields_of(kind):
        if spec.holds == "number" and spec.stem != spec.name:
            for ending, unit in OTHER_ENDINGS.get(spec.quantity, {}).items():
                titles.setdefault(spec.stem + ending, (spec, unit))
    return titles


def meaning_of(kind: Any, written: str, told: Told = NOTHING) -> tuple[FieldSpec, str] | None:
    """(field, unit) of a title: as it was told, as it is called by rights, or as people write it."""
    written = written.strip()
    if not written:
        return None
    if written in told.columns:
        return titles_of(kind).get(folded_title(told.columns[written]))
    return titles_of(kind).get(folded_title(written)) or field_meant(kind, written)


def read_header(
    kind: Any, header: Sequence[str], where: str, *, row: int = 1, told: Told = NOTHING
) -> tuple[list[Column], list[Problem], list[str]]:
    """The columns in their order; what is wrong: unknown titles, a field twice, a required one missing; and what is
    to be said: titles that were taken in another meaning than their own."""
    columns: list[Column] = []
    problems: list[Problem] = []
    said: list[str] = []
    taken: dict[str, str] = {}
    place_named = f"{where} row {row}"
    for place, written in enumerate(header):
        if not written.strip() or folded_title(written) == folded_title(WHY):
            continue
        if left_out(written, told):
            said.append(f"{where}: the column {written.strip()!r} is left out")
            continue
        meant = meaning_of(kind, written, told)
        if meant is None:
            if written.strip().casefold() != "time" or not has_day(kind, header, told):
                problems.append(unknown(written.strip(), list(titles_of(kind)), place_named))
            continue
        spec, unit = meant
        if spec.name in taken:
            found = f"the columns {taken[spec.name]!r} and {written!r} are the same thing, {spec.name}"
            step = f"take one out, or type: --column '{written.strip()}='"
            problems.append(Problem("column-twice", place_named, found, "allowed: one column for each thing", step))
        taken[spec.name] = written
        title = folded_title(written)
        if title not in titles_of(kind):
            title = written.strip()
            said.append(f"{where}: {title!r} is taken as {spec.name}{in_unit(unit)}")
        columns.append(Column(place, title, spec, unit))
    for spec in fields_of(kind):
        if spec.required and spec.name not in taken:
            found = f"there is no column {spec.name!r} ({spec.meaning})"
            step = f"if it has another title, type: --column 'TITLE={spec.name}'"
            problems.append(Problem("column-missing", place_named, found, f"needed: {required_titles(kind)}", step))
    return columns, problems, said


def left_out(written: str, told: Told) -> bool:
    return told.columns.get(written.strip()) == ""


def has_day(kind: Any, header: Sequence[str], told: Told) -> bool:
    """Whether a column holds moments, whose time of day a column "time" can be."""
    meant = [meaning_of(kind, title, told) for title in header]
    return any(each is not None and each[0].holds == "moment" for each in meant)


def in_unit(unit: str) -> str:
    return f", in {SPELLINGS[unit].symbol}" if unit else ""


def folded_title(text: str) -> str:
    return "_".join(text.strip().casefold().replace("-", " ").replace("_", " ").split())


def required_titles(kind: Any) -> str:
    return ", ".join(spec.name for spec in fields_of(kind) if spec.required)


def unknown(written: str, titles: list[str], where: str) -> Problem:
    found = f"no column is called {written!r}{nearest_of(written, titles)}"
    own = [title for title in titles if "_in" not in title]
    step = f"say what it is, or leave it out: --column '{written}=FIELD' or --column '{written}='"
    return Problem("column-unknown", where, found, "columns: " + ", ".join(own), step)
