"""What the jobs on verdicts and remedies hand over to be said: plain values."""

from dataclasses import dataclass

from defectlog.records.kinds import Remedy, Verdict
from defectlog.records.ledgers import Tally
from defectlog.review.did_it_work import Outcome


@dataclass(frozen=True, slots=True)
class VerdictGiven:
    """`verdict` as it stands on record; `earlier` are those on the same pattern and defect, the latest first."""

    act: int
    wrote: bool
    verdict: Verdict
    said: tuple[str, ...] = ()
    earlier: tuple[Verdict, ...] = ()


@dataclass(frozen=True, slots=True)
class VerdictsOn:
    """All verdicts on a pattern, or on one defect of it, the latest first."""

    pattern: str
    defect: str
    verdicts: tuple[Verdict, ...]
    said: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class RemedyAdded:
    """`number` names the remedy. `clean_moulds` in a row would show that it works, judged by the moulds `before` it.

    `dangers` are answers to dangerous "fixes" in its words; `others` are numbers of remedies still being checked.
    `again`: the act was in the book already, and nothing was written now.
    """

    act: int
    wrote: bool
    number: int
    remedy: Remedy
    before: Tally
    clean_moulds: int | None
    said: tuple[str, ...] = ()
    dangers: tuple[str, ...] = ()
    others: tuple[int, ...] = ()
    again: bool = False
    undone_by: int | None = None


@dataclass(frozen=True, slots=True)
class RemedyJudged:
    """A remedy held against the record: `outcome` reckoned now; `recorded` what the book says now, "" when nothing.

    `act` is 0 unless the verdict was written. `others` are remedies on the same defect whose moulds overlap with it.
    """

    number: int
    remedy: Remedy
    outcome: Outcome
    recorded: str = ""
    act: int = 0
    others: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Remedies:
    """Several remedies, in the order they were recorded; `pattern` is "" for all of them."""

    pattern: str
    judged: tuple[RemedyJudged, ...]
    said: tuple[str, ...] = ()
