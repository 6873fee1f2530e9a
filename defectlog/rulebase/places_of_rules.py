"""Where a rule stands, for messages about it, and which rules are in force."""

from collections.abc import Iterable, Iterator
from typing import TypeVar

from defectlog.rulebase.shapes import Cause, Defect

Rule = TypeVar("Rule", Defect, Cause)


def cause_file(cause: Cause) -> str:
    return f"causes/{cause.area}/{cause.id}.toml"


def defect_file(defect: Defect) -> str:
    return f"defects/{defect.id}.toml"


def row_of(name: str, row: str) -> str:
    """ "signs.toml, wall-smooth"."""
    return f"{name}.toml, {row}"


def in_force(rules: Iterable[Rule]) -> Iterator[Rule]:
    return (rule for rule in rules if rule.status == "in force")
