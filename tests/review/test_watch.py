"""Remedies after their verdict: overdue answers first, and one that slipped back is opened again. Invented counts."""

from datetime import date

import numpy as np

from defectlog.records.kinds import Remedy
from defectlog.records.ledgers import RemedyTally, Tally
from defectlog.review.remedy_month import remedy_reviews
from defectlog.review.usual import month_before
from defectlog.review.watch import SLIP_LEVEL, months_due, slipped_back, summed_up
from tests.review.months import MARCH

BEFORE = Tally(100, 20, 400, 25)
CHANGED = Remedy(pattern="P-104", defect="gas-holes", change="dryer sand")


def tally(bad: list[int], number: int = 1, verdict: str | None = None, moulds: int = 60, **more: int) -> RemedyTally:
    """Bad moulds month by month, the last one March 2026, each of so many moulds."""
    months = tuple(
        (month_before(MARCH, len(bad) - 1 - at), Tally(moulds, count, moulds * 4, count))
        for at, count in enumerate(bad)
    )
    remedy = Remedy(pattern="P-104", defect="gas-holes", change="dryer sand", verdict=verdict, **more)
    started = months[0][0] if months else date(2026, 3, 1)
    return RemedyTally(number, remedy, started, BEFORE, summed_up(months), months)


def test_a_remedy_that_worked_and_is_back_is_found_and_says_since_when() -> None:
    slip = slipped_back(tally([1, 0, 1, 0, 12], verdict="worked"), MARCH)
    assert slip is not None
    assert (slip.since, slip.lately.bad_moulds, slip.lately.moulds) == (MARCH, 12, 60)
    assert (slip.while_it_worked.bad_moulds, slip.while_it_worked.moulds) == (2, 240)
    assert slip.odds_of_luck < 1e-6


def test_a_slow_slip_shows_over_three_months_though_no_month_shows_it() -> None:
    slow = tally([0, 1, 0, 1, 0, 0, 3, 3, 3], verdict="worked")
    slip = slipped_back(slow, MARCH)
    assert slip is not None and slip.since == date(2026, 1, 1)
    assert slipped_back(tally([0, 1, 0, 1, 0, 0, 3], verdict="worked"), MARCH) is None


def test_only_one_judged_to_have_worked_can_slip_back() -> None:
    bad = [0, 0, 0, 15]
    assert slipped_back(tally(bad, verdict="worked"), MARCH) is not None
    assert slipped_back(tally(bad), MARCH) is None
    assert slipped_back(tally(bad, verdict="no effect seen"), MARCH) is None


def test_a_first_month_has_nothing_to_slip_back_from() -> None:
    assert slipped_back(tally([9], verdict="worked"), MARCH) is None
    assert slipped_back(tally([], verdict="worked"), MARCH) is None


def test_how_long_an_answer_has_been_due() -> None:
    """20 bad of 100 before: 29 clean moulds or so settle it, which the first month of 60 gives."""
    assert months_due(tally([0, 0, 0]), MARCH) == 2
    assert months_due(tally([0]), MARCH) == 0
    assert months_due(tally([0, 0, 0], moulds=5), MARCH) == 0
    assert months_due(tally([0, 0, 0], check_castings=500), MARCH) == 0
    assert months_due(tally([0, 0, 0], check_castings=480), MARCH) == 1


def test_overdue_first_then_slipped_back_then_open_then_decided() -> None:
    rows = remedy_reviews(
        [
            tally([0, 0, 0], 1, "no effect seen"),
            tally([0, 0], 2, moulds=5),
            tally([0, 0, 20], 3, "worked"),
            tally([0], 4),
            tally([0, 0, 0, 0], 5),
        ],
        MARCH,
    )
    assert [row.tally.number for row in rows] == [5, 4, 3, 2, 1]
    assert [(row.due, row.months_due) for row in rows] == [(True, 3), (True, 0), (False, 0), (False, 0), (False, 0)]
    assert rows[2].slipped is not None


def test_old_decided_ones_are_let_go_unless_they_slip_back() -> None:
    quiet, back = tally([0] * 12, 1, "worked"), tally([0] * 11 + [15], 2, "worked")
    assert [row.tally.number for row in remedy_reviews([quiet, back], MARCH)] == [2]


def test_an_unchanged_pattern_slips_back_by_luck_about_once_in_a_hundred_months() -> None:
    """2000 remedies with nothing changed, 5 % of moulds bad: two looks at 0.005 each, so 20 at most on average.

    More than 32 would be luck about once in 200 runs (Poisson).
    """
    dice = np.random.default_rng(20260301)
    months = dice.binomial(60, 0.05, size=(2000, 9))
    false = sum(slipped_back(tally(row.tolist(), verdict="worked"), MARCH) is not None for row in months)
    assert SLIP_LEVEL == 0.005
    assert 0 < false <= 32
