"""What this book holds of the same defect elsewhere: what was found to be the cause, and what cured it."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date

from defectlog.records.kinds import Remedy, Verdict

MOST_CASES = 4


@dataclass(frozen=True, slots=True)
class LikeCase:
    """One earlier case of a defect: the verdict on its cause and the change that went with it, as far as on record."""

    pattern: str
    on: date
    cause: str
    verdict: str
    change: str = ""
    remedy_verdict: str = ""
    basis: str = ""


def like_cases(
    defect: str,
    pattern: str,
    leader: str,
    verdicts: Iterable[Verdict],
    remedies: Iterable[Remedy],
    defect_of: Callable[[str], str],
) -> tuple[LikeCase, ...]:
    """Confirmed causes and remedies of `defect`, those of the cause that leads now first, then the latest.

    `verdicts` and `remedies` of the whole shop; `defect_of` reads a defect as written into its id.
    """
    changes = [remedy for remedy in remedies if defect_of(remedy.defect) == defect]
    cases = []
    told: set[int] = set()
    for verdict in verdicts:
        if defect_of(verdict.defect) != defect or verdict.verdict != "confirmed":
            continue
        remedy = next((r for r in changes if r.pattern == verdict.pattern and r.cause == verdict.cause), None)
        if remedy is not None:
            told.add(id(remedy))
        cases.append(case_of(verdict, remedy))
    cases += [alone(remedy) for remedy in changes if id(remedy) not in told and remedy.verdict and remedy.from_date]
    cases.sort(key=lambda case: (case.cause != leader, case.pattern == pattern, -case.on.toordinal(), case.pattern))
    return tuple(cases[:MOST_CASES])


def case_of(verdict: Verdict, remedy: Remedy | None) -> LikeCase:
    return LikeCase(
        pattern=verdict.pattern,
        on=verdict.decided_on,
        cause=verdict.cause,
        verdict=verdict.verdict,
        change=remedy.change if remedy else "",
        remedy_verdict=(remedy.verdict or "") if remedy else "",
        basis=verdict.basis or "",
    )


def alone(remedy: Remedy) -> LikeCase:
    """A remedy whose effect is on record though nobody gave a verdict on the cause."""
    assert remedy.from_date is not None
    return LikeCase(
        pattern=remedy.pattern,
        on=remedy.from_date,
        cause=remedy.cause or "",
        verdict="believed",
        change=remedy.change,
        remedy_verdict=remedy.verdict or "",
    )
