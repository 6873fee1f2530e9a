"""What the jobs on records hand over to be said: plain values."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from defectlog.errors import Problem
from defectlog.foundry.readings import ComputedReading
from defectlog.records.counts import MouldCount
from defectlog.records.kinds import Heat, Pattern, Remedy, Sand, Verdict
from defectlog.report.moulds import DefectSeen, MouldSeen, poured


@dataclass(frozen=True, slots=True)
class Added:
    """What an act added: `act` is its number, `records` as they stand in the book, `said` what was taken for what,
    `assumed` what nobody typed, `look` what may be true and is worth a look.

    `card` is the pattern's; `castings` are those of all the moulds together; `waiting` are moulds not poured yet,
    for a new heat. `again`: the act was in the book already, and nothing was written now.
    """

    act: int
    kind: Any
    names: tuple[str, ...]
    records: tuple[Any, ...]
    said: tuple[str, ...] = ()
    assumed: tuple[str, ...] = ()
    look: tuple[Problem, ...] = ()
    castings: int = 0
    card: Pattern | None = None
    waiting: tuple[str, ...] = ()
    again: bool = False
    undone_by: int | None = None


@dataclass(frozen=True, slots=True)
class Amended:
    """`changes` is name → field → (was, is), for the records that changed; `act` is 0 when none did.

    `names` are all that were meant; `missing` numbers of a range that are not in the book.
    """

    act: int
    kind: Any
    names: tuple[str, ...]
    changes: Mapping[str, Mapping[str, tuple[Any, Any]]]
    said: tuple[str, ...] = ()
    missing: tuple[str, ...] = ()
    assumed: tuple[str, ...] = ()
    look: tuple[Problem, ...] = ()
    card: Pattern | None = None


@dataclass(frozen=True, slots=True)
class PatternCard:
    """One pattern: the `card` shown, all `revisions`, what was made of it, and the figures worked out from the card.

    `moulds` counts poured moulds that are no trials, and `count` their castings, over all revisions.
    """

    card: Pattern
    revisions: tuple[Pattern, ...]
    said: str
    moulds: int
    count: MouldCount
    trials: int
    lost: int
    waiting: int
    defects: tuple[DefectSeen, ...]
    verdicts: tuple[Verdict, ...]
    remedies: tuple[Remedy, ...]
    readings: Mapping[str, ComputedReading]


@dataclass(frozen=True, slots=True)
class Shown:
    """A batch, heat or mould: the `record`, the moulds that hang on it, and the figures worked out for a mould."""

    record: Any
    said: str
    moulds: tuple[MouldSeen, ...]
    readings: Mapping[str, ComputedReading] = field(default_factory=dict)
    card: Pattern | None = None


@dataclass(frozen=True, slots=True)
class Listed:
    """Records, the newest first; `more` when there are others beyond the limit; `asked` narrows them, as typed."""

    kind: Any
    records: tuple[Any, ...]
    more: bool
    asked: tuple[str, ...] = ()
    said: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Which:
    """`kind` is "mould", "heat", "sand", "pattern", "lot" (of ingot) or "act"; `said` what was taken for what."""

    kind: str
    name: str
    said: str = ""


@dataclass(frozen=True, slots=True)
class Traced:
    """One mould with what it `shares` with the thing traced ("heat H-7", "sand S-31")."""

    seen: MouldSeen
    shares: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Trace:
    """`moulds` in the order of pouring, trials too: trouble does not ask. `heats` and `sands` are those they share.

    `count` is over poured moulds; `waiting` are made and not poured yet; `lost` before pouring.
    """

    what: Which
    heats: tuple[Heat, ...]
    sands: tuple[Sand, ...]
    moulds: tuple[Traced, ...]
    count: MouldCount
    waiting: tuple[str, ...]
    lost: tuple[str, ...]

    @property
    def poured(self) -> int:
        return sum(poured(item.seen.mould) for item in self.moulds)

    @property
    def not_scrapped(self) -> int:
        """Castings that were poured and not scrapped: where they are now is not in the book."""
        return self.count.castings - self.count.scrapped
