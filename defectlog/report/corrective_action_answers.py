"""What the job of the corrective-action sheet hands over: plain values, every gap left as a gap."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from defectlog.diagnosis.why import DefectAnswer
from defectlog.records.kinds import Pattern, Verdict
from defectlog.report.verdict_answers import RemedyJudged
from defectlog.review.pattern_rate import PatternRate


@dataclass(frozen=True, slots=True)
class MonthCount:
    """One month of the pattern: what was poured, and how much of it had the defect."""

    month: date
    moulds: int
    bad_moulds: int
    castings: int
    bad_castings: int


@dataclass(frozen=True, slots=True)
class Shared:
    """Moulds that share a heat or a batch of sand ("heat", "sand") with the lately bad ones, of any pattern.

    `not_scrapped` castings were poured and not scrapped: where they are now is not in the book.
    """

    kind: str
    name: str
    moulds: int
    castings: int
    not_scrapped: int
    patterns: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class CorrectiveAction:
    """One defect of one pattern from `since` to `until`.

    `became` and `found` count castings with it by disposition and by where they were found ("" not on record).
    `shared` is what the bad moulds of the last `lately` days share, the latest first, and `at_risk` all of it together,
    each mould once (kind and name ""); `unlinked` of those moulds name no heat and no sand.
    `cards` are the revisions in force since the first remedy, or since the trouble began.
    """

    pattern: str
    name: str
    defect: str
    since: date
    until: date
    rate: PatternRate
    months: tuple[MonthCount, ...]
    became: Mapping[str, int]
    found: Mapping[str, int]
    first_seen: date | None
    last_seen: date | None
    evidence: DefectAnswer | None
    lately: int
    shared: tuple[Shared, ...]
    at_risk: Shared | None
    unlinked: int
    verdicts: tuple[Verdict, ...]
    remedies: tuple[RemedyJudged, ...]
    cards: tuple[Pattern, ...]
    said: tuple[str, ...] = ()
