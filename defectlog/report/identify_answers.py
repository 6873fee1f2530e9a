"""What the jobs behind `identify` hand over to be said: plain values."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from defectlog.diagnosis.identify import Identification
from defectlog.rulebase.shapes import Refusal


@dataclass(frozen=True, slots=True)
class Identified:
    """`found` is the ranking; `refusals` answer dangerous "fixes" in the text; `answers` as given (sign → answer)."""

    found: Identification
    refusals: tuple[Refusal, ...] = ()
    answers: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Taught:
    """The shop's `word` now means `defect`, which it `was` before ("" for a new word); or it was forgotten."""

    word: str
    defect: str
    was: str = ""
    act: int = 0
    wrote: bool = False
    forgotten: bool = False
    said: str = ""


@dataclass(frozen=True, slots=True)
class Words:
    """The shop's own words → defect id."""

    words: Mapping[str, str]
