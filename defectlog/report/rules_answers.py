"""What the verbs about rules, limits and sums found or did, as values for the pages to tell."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from defectlog.errors import Problem
from defectlog.review.limits_from_own import OwnRange
from defectlog.rulebase.shapes import Cause, Defect, Limit


@dataclass(frozen=True, slots=True)
class RuleFound:
    """The rule and what was taken for what. Of a retired one `in_its_place` is what answers now."""

    rule: Defect | Cause
    said: str = ""
    in_its_place: Defect | Cause | None = None


@dataclass(frozen=True, slots=True)
class RulesChecked:
    """`shop_files` were read from `shop`, which is None where the shop has no folder."""

    problems: tuple[Problem, ...]
    ours: Path
    shop: Path | None
    shop_files: int
    defects: int = 0
    causes: int = 0
    limits: int = 0


@dataclass(frozen=True, slots=True)
class CauseMade:
    """A new cause's file; `blanks` texts in it are still to be written."""

    id: str
    path: Path
    blanks: int
    defect: str
    said: str = ""


@dataclass(frozen=True, slots=True)
class LimitWritten:
    """What was set, or taken out (`now` None); `before` is the shop's own row that stood there.

    `ours` are the program's rows that it is taken before; `other_side` the limit on the other side where the two
    leave no room between them; `causes` those that the reading shows on this side.
    """

    path: Path
    reading: str
    side: str
    when: Mapping[str, str]
    now: Limit | None
    before: Limit | None
    ours: tuple[Limit, ...] = ()
    causes: tuple[str, ...] = ()
    other_side: Limit | None = None


@dataclass(frozen=True, slots=True)
class SideFound:
    """One end of a range. `odds`: the chance, by luck alone, of so many bad units beyond it; None: nothing bad."""

    side: str
    limit: Limit | None
    causes: tuple[str, ...]
    odds: float | None


@dataclass(frozen=True, slots=True)
class Suggestion:
    """What the shop's own records say about one reading.

    `defects`: those that count against a unit; empty: any.
    """

    reading: str
    unit: str
    found: OwnRange
    defects: tuple[str, ...]
    sides: tuple[SideFound, ...]


@dataclass(frozen=True, slots=True)
class Suggestions:
    """`alloys` are those of the heats that the moulds were poured from."""

    each: tuple[Suggestion, ...]
    moulds: int
    when: Mapping[str, str]
    since: date | None
    alloys: tuple[str, ...]
