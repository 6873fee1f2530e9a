"""What was typed for the fields of a record, turned into values: short names written out, every problem at once."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from defectlog.book.near import bare, names_in
from defectlog.book.open import Book
from defectlog.book.records import resolve
from defectlog.book.tables import table_of
from defectlog.errors import BadInput, Problem
from defectlog.records.cells import moment_text, parse_cell
from defectlog.records.fields import FieldSpec, fields_of
from defectlog.records.kinds import BY_SHEET

CLOCK_ALONE = re.compile(r"\d{1,2}:\d{2}")


@dataclass(frozen=True, slots=True)
class Asked:
    """Who asks for a write: the command as typed, who types it, the clock, and why if they say."""

    command: str
    now: datetime
    who: str | None = None
    why: str | None = None


@dataclass(slots=True)
class Understood:
    """`values` by field (None: to be cleared), and what was taken for what ("taking P-104 for '104'")."""

    values: dict[str, Any] = field(default_factory=dict)
    said: list[str] = field(default_factory=list)


def option_of(name: str) -> str:
    """The option under which a field is typed: pour_c → --pour-c."""
    return "--" + name.replace("_", "-")


def understood(book: Book, kind: Any, typed: Mapping[str, str], now: datetime) -> Understood:
    """`typed` is field → text. Raises BadInput with every text that cannot be taken and every name that is unknown."""
    found = Understood()
    problems: list[Problem] = []
    for spec in fields_of(kind):
        if spec.name in typed:
            try:
                value = typed_value(spec, typed[spec.name], option_of(spec.name), now)
                if value is not None and spec.refers_to:
                    value = named(book, spec.refers_to, value, found.said)
                found.values[spec.name] = value
            except BadInput as error:
                problems += error.problems
    if problems:
        raise BadInput(problems)
    return found


def typed_value(spec: FieldSpec, text: str, where: str, now: datetime) -> Any:
    """As parse_cell, and "now" or a clock time alone ("14:20", of today) where a moment stands. Raises BadInput."""
    words = text.strip().casefold()
    if spec.holds == "moment" and words == "now":
        return now.replace(second=0, microsecond=0)
    if spec.holds == "day" and words == "now":
        return now.date()
    if spec.holds == "moment" and CLOCK_ALONE.fullmatch(words):
        text = f"today {words}"
    return parse_cell(spec, text, where, today=now.date())


def named(book: Book, sheet: str, typed: str, said: list[str]) -> str:
    """The name in the book that was meant. Raises NotFound or Ambiguous."""
    taken = resolve(book, BY_SHEET[sheet], typed)
    if taken.said:
        said.append(taken.said)
    return taken.name


def nearly_there(book: Book, kind: Any, names: list[str]) -> list[Problem]:
    """New names that differ from one in the book by case, blanks or hyphens only: two records of one thing."""
    there = {bare(item.name): item.name for item in names_in(book, table_of(kind))}
    name = table_of(kind).name
    return [
        Problem(
            "nearly-there",
            f"{name} {new}",
            f"{there[bare(new)]} is in the book, and is written almost the same",
            "each thing has one name",
            f"to correct it: defectlog {name} amend {there[bare(new)]}",
        )
        for new in names
        if bare(new) in there and there[bare(new)] != new
    ]


def ahead(values: Mapping[str, Any], kind: Any, now: datetime) -> list[Problem]:
    """A record says what has happened: moments that lie ahead are most likely mistyped. Not refused."""
    return [
        Problem(
            "ahead",
            option_of(spec.name),
            f"{moment_text(values[spec.name])} is later than this machine's clock",
            "allowed: now or earlier",
            "look at the day, and at the clock",
        )
        for spec in fields_of(kind)
        if spec.holds == "moment" and values.get(spec.name) is not None and values[spec.name] > now
    ]
