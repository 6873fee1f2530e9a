"""What the jobs at shakeout hand over to be said: plain values."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

from defectlog.records.kinds import Finding

if TYPE_CHECKING:
    from defectlog.diagnosis.identify import Identification

# A finding must say what was seen; a casting thrown on the heap without a word is logged all the same.
NOT_SAID = "not said"


@dataclass(frozen=True, slots=True)
class Recurrence:
    """Castings and moulds of one pattern with one defect, cast in the `days` up to the newest of them.

    `new` are those just logged. `impression` is the one that most were at, with `there` castings of the `placed` whose
    impression is on record; `place` the same for place words. `if_so`: the defect is not settled, only likely.
    """

    pattern: str
    defect: str
    castings: int
    moulds: int
    new: int
    days: int = 30
    impression: int | None = None
    place: str = ""
    there: int = 0
    placed: int = 0
    if_so: bool = False


@dataclass(frozen=True, slots=True)
class Shaken:
    """One mould as it was understood. `taken_as_poured`: nothing on record said so before; `undated`: in no month."""

    mould: str
    pattern: str
    revision: str
    castings: int
    good: bool
    taken_as_poured: bool
    undated: bool
    findings: tuple[Finding, ...] = ()


@dataclass(frozen=True, slots=True)
class LeftOut:
    """A mould of a range that was passed over, and why."""

    mould: str
    why: str


@dataclass(frozen=True, slots=True)
class LooksLike:
    """What the words of unnamed findings point to; `moulds` and `impressions` are those of the findings."""

    seen: str
    found: "Identification"
    moulds: str
    impressions: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class ShakenOut:
    """`act` is the number to undo. `again`: this was in the book already (and taken back since, if `undone_by`)."""

    act: int
    wrote: bool = False
    again: bool = False
    undone_by: int | None = None
    dry_run: bool = False
    moulds: tuple[Shaken, ...] = ()
    left_out: tuple[LeftOut, ...] = ()
    missing: tuple[str, ...] = ()
    said: tuple[str, ...] = ()
    looks: tuple[LooksLike, ...] = ()
    recurrences: tuple[Recurrence, ...] = ()
    named: bool = False
