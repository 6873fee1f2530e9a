"""The header row of a sheet: which field each column is, and in which unit."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from defectlog.errors import Problem
from defectlog.records.cells import nearest_of
from defectlog.records.fields import OTHER_ENDINGS, FieldSpec, fields_of


@dataclass(frozen=True, slots=True)
class Column:
    """A column that was recognised: `place` in the row, and the unit it is in ("" for the field's own)."""

    place: int
    title: str
    spec: FieldSpec
    unit: str = ""


def titles_of(kind: Any) -> dict[str, tuple[FieldSpec, str]]:
    """Every title a column of this kind may have: `pour_c`, and `pour_f` for the same field in Fahrenheit."""
    titles: dict[str, tuple[FieldSpec, str]] = {}
    for spec in fields_of(kind):
        titles[spec.name] = (spec, "")
    for spec in fields_of(kind):
        if spec.holds == "number" and spec.stem != spec.name:
            for ending, unit in OTHER_ENDINGS.get(spec.quantity, {}).items():
                titles.setdefault(spec.stem + ending, (spec, unit))
    return titles


def read_header(kind: Any, header: Sequence[str], where: str) -> tuple[list[Column], list[Problem]]:
    """The columns in their order, and what is wrong: unknown titles, a field twice, a required one missing."""
    titles = titles_of(kind)
    columns: list[Column] = []
    problems: list[Problem] = []
    taken: dict[str, str] = {}
    for place, written in enumerate(header):
        title = folded_title(written)
        if title not in titles:
            if title:
                problems.append(unknown(written, list(titles), where))
            continue
        spec, unit = titles[title]
        if spec.name in taken:
            found = f"the columns {taken[spec.name]!r} and {written!r} are the same thing"
            problems.append(Problem("column-twice", f"{where} row 1", found, "each thing stands in one column"))
        taken[spec.name] = written
        columns.append(Column(place, title, spec, unit))
    for spec in fields_of(kind):
        if spec.required and spec.name not in taken:
            found = f"there is no column {spec.name!r} ({spec.meaning})"
            problems.append(Problem("column-missing", f"{where} row 1", found, f"needed: {required_titles(kind)}"))
    return columns, problems


def folded_title(text: str) -> str:
    return "_".join(text.strip().casefold().replace("-", " ").replace("_", " ").split())


def required_titles(kind: Any) -> str:
    return ", ".join(spec.name for spec in fields_of(kind) if spec.required)


def unknown(written: str, titles: list[str], where: str) -> Problem:
    found = f"no column is called {written!r}{nearest_of(written, titles)}"
    own = [title for title in titles if "_in" not in title]
    return Problem("column-unknown", f"{where} row 1", found, "columns: " + ", ".join(own), "rename it or take it out")
