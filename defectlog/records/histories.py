"""What the book hands to the reasoning: one pattern's moulds with all that they share, and the shop's usual run.

Plain values. Revisions, castings and the primary charge are filled in: no None where the record has a default.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime

from defectlog.records.kinds import Heat, Mould, Pattern, Remedy, Sand, Verdict


@dataclass(frozen=True, slots=True)
class Seen:
    """One finding as the reasoning needs it. `defect` is an id of the rule base, "" when not settled.

    `by_look`: nobody named the defect; it was told from what was seen. `share` (0..1] is how far it counts as this
    defect: less than 1 where what was seen could be several, each of which then has a row of its own.
    """

    finding: int
    mould: str
    castings: int
    defect: str
    impression: int | None = None
    seen: str = ""
    place: str = ""
    disposition: str = "scrap"
    found: str = ""
    found_at: datetime | None = None
    primary: bool = True
    defect_as_written: str = ""
    by_look: bool = False
    share: float = 1.0


@dataclass(frozen=True, slots=True)
class Alongside:
    """The other patterns' moulds out of the same batches of sand and the same heats.

    `moulds` by pattern; `bad` moulds by defect id and pattern, where there are any.
    """

    moulds: Mapping[str, int] = field(default_factory=dict)
    bad: Mapping[str, Mapping[str, int]] = field(default_factory=dict)

    def of(self, defect: str) -> Mapping[str, int]:
        """Pattern → moulds with the defect, the most first."""
        return dict(sorted(self.bad.get(defect, {}).items(), key=lambda item: (-item[1], item[0])))


@dataclass(frozen=True, slots=True)
class PatternHistory:
    """Every mould of one pattern poured in a window, and what it shares with others.

    `moulds` are poured moulds in the order of pouring (trials and moulds lost before pouring are left out);
    their `revision` and `castings` are filled in. `sands` and `heats` hold only what those moulds name.
    """

    pattern: str
    since: date
    until: date
    revisions: tuple[Pattern, ...]
    moulds: tuple[Mould, ...]
    sands: Mapping[str, Sand]
    heats: Mapping[str, Heat]
    findings: tuple[Seen, ...]
    verdicts: tuple[Verdict, ...] = ()
    remedies: tuple[Remedy, ...] = ()
    trials: int = 0
    lost_before_pouring: int = 0
    alongside: Alongside = Alongside()


@dataclass(frozen=True, slots=True)
class DefectDay:
    """Of one pattern on one pouring day: moulds, castings, and castings with one defect."""

    pattern: str
    day: date
    moulds: int
    castings: int
    bad: int


@dataclass(frozen=True, slots=True)
class ShopUsual:
    """The shop's own run over all patterns in the same window.

    `castings` and `moulds` poured; `bad` castings by defect id (primary or not, each finding's castings);
    `readings` the values on record by reading name, one a unit (sand batch, heat or mould), None left out;
    `days` for estimating how alike moulds of one day are: per defect, the counts by pattern and day that have
    at least one casting (patterns with no such defect in the window may be left out).
    `verdicts` on every pattern.
    """

    moulds: int
    castings: int
    bad: Mapping[str, int]
    readings: Mapping[str, tuple[float, ...]]
    days: Mapping[str, tuple[DefectDay, ...]] = field(default_factory=dict)
    verdicts: tuple[Verdict, ...] = ()
