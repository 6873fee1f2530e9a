"""What the families of defects are called, in which file a rule stands, and which rules are in force."""

from collections.abc import Iterable, Iterator, Mapping
from types import MappingProxyType
from typing import TypeVar

from defectlog.rulebase.shapes import Cause, Defect, Told

Rule = TypeVar("Rule", Defect, Cause)

FAMILIES: Mapping[str, str] = MappingProxyType(
    {
        "A": "projections",
        "B": "cavities",
        "C": "discontinuities",
        "D": "defective surface",
        "E": "incomplete casting",
        "F": "wrong dimensions or shape",
        "G": "inclusions",
    }
)
"""The seven families of the international classification of casting defects, by their letters."""


def cause_file(cause: Cause) -> str:
    return f"causes/{cause.area}/{cause.id}.toml"


def defect_file(defect: Defect) -> str:
    return f"defects/{defect.id}.toml"


def told_file(told: Told) -> str:
    return f"told/{told.id}.toml"


def row_of(name: str, row: str) -> str:
    """ "signs.toml, wall-smooth"."""
    return f"{name}.toml, {row}"


def in_force(rules: Iterable[Rule]) -> Iterator[Rule]:
    return (rule for rule in rules if rule.status == "in force")


def rule_names(defect: Defect) -> tuple[str, ...]:
    """Every name of a defect: its id spelt out, its name, and what British, American and other shops call it."""
    return (defect.id.replace("-", " "), defect.name, *defect.names.uk, *defect.names.us, *defect.names.shop)
