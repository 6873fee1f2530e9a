"""A remedy at a month's end: what the record says of it, whether an answer is due, whether it has slipped back."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

from defectlog.dates import month_after
from defectlog.records.ledgers import RemedyTally
from defectlog.review.did_it_work import Outcome, did_it_work
from defectlog.review.watch import Slip, months_due, slipped_back

# Decided ones are shown for half a year; one that worked is watched as long as the book is looked back in.
SHOWN_DAYS = 183


@dataclass(frozen=True, slots=True)
class RemedyReview:
    """`due`: an answer can be given and none is on record; `months_due` whole months already (0: since this month).

    `slipped`: it was judged to have worked and the defect is back.
    """

    tally: RemedyTally
    outcome: Outcome
    due: bool
    months_due: int
    slipped: Slip | None


def remedy_reviews(tallies: Iterable[RemedyTally], month: date) -> tuple[RemedyReview, ...]:
    """Overdue ones first, the longest first, then those due, those that slipped back, those still open, the others."""
    rows = [remedy_review(tally, month) for tally in tallies]
    return tuple(sorted((row for row in rows if worth_showing(row, month)), key=most_pressing_first))


def remedy_review(tally: RemedyTally, month: date) -> RemedyReview:
    outcome = did_it_work(tally.before, tally.after, tally.remedy.check_castings)
    due = tally.remedy.verdict in (None, "too soon") and outcome.answer != "too soon"
    waited = months_due(tally, month) if due else 0
    return RemedyReview(tally, outcome, due, waited, slipped_back(tally, month))


def worth_showing(row: RemedyReview, month: date) -> bool:
    tally = row.tally
    if tally.remedy.verdict in (None, "too soon") or row.slipped or tally.started is None:
        return True
    return tally.started >= month_after(month) - timedelta(days=SHOWN_DAYS)


def most_pressing_first(row: RemedyReview) -> tuple[int, int, int]:
    if row.due:
        return (0, -row.months_due, row.tally.number)
    if row.slipped:
        return (1, 0, row.tally.number)
    return (2 if row.tally.remedy.verdict in (None, "too soon") else 3, 0, row.tally.number)
