"""Remedies after their verdict: how long an answer has been due, and whether one that worked has slipped back.

A remedy that slips back is a new trouble under an old name, so it is opened again. It is looked for in the month under
review, and in the last three months together, each held against all the moulds since the change that came before.
Both looks are one-sided at SLIP_LEVEL: an unchanged pattern is opened again about once in 100 months.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from defectlog.records.ledgers import RemedyTally, Tally
from defectlog.review.did_it_work import did_it_work
from defectlog.review.exact import fisher_exact
from defectlog.review.usual import month_before

SLIP_LEVEL = 0.005
LOOKS = (1, 3)
NOTHING = Tally(0, 0, 0, 0)


@dataclass(frozen=True, slots=True)
class Slip:
    """`lately`: the moulds from `since` on; `while_it_worked`: those between the change and then."""

    since: date
    lately: Tally
    while_it_worked: Tally
    odds_of_luck: float


def added(one: Tally, other: Tally) -> Tally:
    return Tally(
        one.moulds + other.moulds,
        one.bad_moulds + other.bad_moulds,
        one.castings + other.castings,
        one.bad_castings + other.bad_castings,
    )


def summed_up(months: Iterable[tuple[date, Tally]]) -> Tally:
    """All months together."""
    total = NOTHING
    for _, tally in months:
        total = added(total, tally)
    return total


def since(tally: RemedyTally, first: date) -> tuple[Tally, Tally]:
    """The moulds since the change from before the month `first`, and those from it on."""
    return (
        summed_up(item for item in tally.by_month if item[0] < first),
        summed_up(item for item in tally.by_month if item[0] >= first),
    )


def slipped_back(tally: RemedyTally, month: date) -> Slip | None:
    """The likelier sign of it at the end of `month`; None for a remedy not judged to have worked, or without one."""
    if tally.remedy.verdict != "worked":
        return None
    found = []
    for look in LOOKS:
        first = month_before(month, look - 1)
        earlier, lately = since(tally, first)
        if earlier.moulds and lately.moulds:
            odds = fisher_exact(lately.bad_moulds, lately.moulds, earlier.bad_moulds, earlier.moulds).more
            found.append(Slip(first, lately, earlier, odds))
    slips = [slip for slip in found if slip.odds_of_luck <= SLIP_LEVEL]
    return min(slips, key=lambda slip: slip.odds_of_luck, default=None)


def months_due(tally: RemedyTally, month: date) -> int:
    """Whole months since the answer could first be given, 0 when it can be given at the end of `month` for the first
    time or cannot be given yet."""
    so_far = NOTHING
    for at, counts in tally.by_month:
        so_far = added(so_far, counts)
        if did_it_work(tally.before, so_far, tally.remedy.check_castings).answer != "too soon":
            return (month.year - at.year) * 12 + month.month - at.month
    return 0
