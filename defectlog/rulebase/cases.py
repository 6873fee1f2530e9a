"""The cases that travel with the rules: a small story that must bring a defect or a cause up first, and one that must
not. They are test material, for us and for a shop that has written rules of its own.

`rules/cases/<id>.toml` belongs to the defect or cause of its name. rules/README.md explains its fields.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from defectlog.errors import Problem, RulesBroken
from defectlog.records.fields import fields_of
from defectlog.records.kinds import Heat, Mould, Pattern, Sand
from defectlog.rulebase.load import parsed, small_text
from defectlog.rulebase.reader import read_value
from defectlog.rulebase.reading_names import COMPUTED
from defectlog.rulebase.shapes import RuleBase

COUNTS = ("moulds", "bad", "castings", "day")


@dataclass(frozen=True, slots=True)
class DefectCase:
    """What was said of a bad casting, with `answers` (sign → yes, no, unsure) to questions.

    `source`: what the case follows. `first`: the defect that must come first; in `must_bring_up` left out, because it
    is the file's own.
    """

    source: str
    says: str
    first: str = ""
    answers: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Row:
    """Moulds that fared alike: one batch, heat, moulder, revision or impression, or single moulds of one reading.

    `bad` of `moulds` had the defect, in each of them `castings` (all of it when 0). `day`: 0 is the usual one, which
    is the first, and for a revision of the pattern its own. `readings`: metric; yes is 1 and no is 0.
    """

    moulds: int
    bad: int
    castings: int = 0
    day: int = 0
    readings: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Found:
    """A verdict of earlier on a cause of the same defect: on this pattern, or on `another` one."""

    cause: str
    verdict: str
    another: bool = False


@dataclass(frozen=True, slots=True)
class CauseCase:
    """A few records of one pattern with one defect.

    `by`: what a row of `units` is ("sand", "heat", "mould", "moulder", "impression" or "pattern"); whatever it is not
    is shared evenly among the rows. `plate`: castings a mould. `throughout`: readings that are the same everywhere.
    `seen`: the words of the findings, in turn; `place`: a place, in words or by its id. `circumstances` choose limits
    (alloy, sand_base …). `first` as in DefectCase.
    """

    story: str
    source: str
    defect: str
    by: str
    units: tuple[Row, ...]
    first: str = ""
    seen: tuple[str, ...] = ()
    place: str = ""
    plate: int = 1
    throughout: Mapping[str, float] = field(default_factory=dict)
    circumstances: Mapping[str, str] = field(default_factory=dict)
    found_before: tuple[Found, ...] = ()
    note: str = ""


@dataclass(frozen=True, slots=True)
class DefectCases:
    must_bring_up: tuple[DefectCase, ...]
    must_not: tuple[DefectCase, ...]


@dataclass(frozen=True, slots=True)
class CauseCases:
    must_bring_up: tuple[CauseCase, ...]
    must_not: tuple[CauseCase, ...]


@dataclass(frozen=True, slots=True)
class Cases:
    """Every case read, by the id of its defect or cause."""

    defects: Mapping[str, DefectCases]
    causes: Mapping[str, CauseCases]


def load_cases(folder: Path, rules: RuleBase) -> Cases:
    """The cases in `folder` (one that is not there holds none). Raises RulesBroken with every problem of every file."""
    problems: list[Problem] = []
    defects: dict[str, DefectCases] = {}
    causes: dict[str, CauseCases] = {}
    for path in sorted(folder.glob("*")):
        where = f"cases/{path.name}"
        content = small_text(path, where, problems) if path.suffix == ".toml" else None
        table = parsed(where, content, problems) if content is not None else None
        try:
            if path.stem in rules.causes and table is not None:
                causes[path.stem] = read_value(CauseCases, with_rows(table), where)
            elif path.stem in rules.defects and table is not None:
                defects[path.stem] = read_value(DefectCases, table, where)
            elif table is not None or path.suffix != ".toml":
                problems.append(stray(where))
        except RulesBroken as broken:
            problems.extend(broken.problems)
    if problems:
        raise RulesBroken(problems)
    return Cases(defects, causes)


def stray(where: str) -> Problem:
    allowed = "allowed: the id of a defect or a cause, and .toml"
    return Problem("case-stray", where, "no defect or cause of that name", allowed)


def with_rows(table: dict[str, Any]) -> dict[str, Any]:
    """The table with the readings of each row gathered under one key, as `Row` has them; what is no row is left."""
    return {
        key: [with_readings(case) for case in cases] if isinstance(cases, list) else cases
        for key, cases in table.items()
    }


def with_readings(case: object) -> object:
    if not isinstance(case, dict):
        return case
    units, throughout = case.get("units"), case.get("throughout")
    changed = dict(case)
    if isinstance(units, list):
        changed["units"] = [folded(row) if isinstance(row, dict) else row for row in units]
    if isinstance(throughout, dict):
        changed["throughout"] = as_numbers(throughout)
    return changed


def folded(row: dict[str, Any]) -> dict[str, Any]:
    counts = {key: value for key, value in row.items() if key in COUNTS}
    return counts | {"readings": as_numbers({key: value for key, value in row.items() if key not in COUNTS})}


def as_numbers(readings: Mapping[str, Any]) -> dict[str, Any]:
    """Yes and no as 1 and 0; what is no number is left for the reader to complain of."""
    return {name: float(value) if isinstance(value, bool) else value for name, value in readings.items()}


def level_of(reading: str) -> str:
    """The unit on whose record a reading stands: "sand", "heat", "mould" or "pattern". Raises KeyError if unknown."""
    levels: tuple[tuple[str, type], ...] = (("sand", Sand), ("heat", Heat), ("mould", Mould), ("pattern", Pattern))
    for level, kind in levels:
        if any(spec.name == reading for spec in fields_of(kind)):
            return level
    if reading not in COMPUTED:
        raise KeyError(reading)
    return "mould" if reading == "stood_h" else "pattern"
