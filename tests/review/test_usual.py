"""The past is frozen: later months are judged by it and never move it, and only a marked change starts it anew."""

from datetime import date

import pytest

from defectlog.records.ledgers import MarkedChange
from defectlog.review.usual import BASELINE_MONTHS, month_before, past_of, spread_of_shop
from tests.review.months import MARCH, month_of, months_before

GOOD, BAD = [0] * 18 + [1] * 2, [0] * 10 + [1] * 10


def test_the_past_is_the_first_twelve_months_and_what_came_after_is_kept_apart() -> None:
    months = months_before(GOOD, 20)
    past = past_of(months, MARCH)
    assert [row.month for row in past.baseline] == [row.month for row in months[:BASELINE_MONTHS]]
    assert [row.month for row in past.since] == [row.month for row in months[BASELINE_MONTHS:]]
    assert past.rate == pytest.approx(2 / 80)


def test_a_slow_decline_does_not_become_the_usual() -> None:
    months = [*months_before(GOOD, 20)[:12], *months_before(BAD, 8)]
    assert past_of(months, MARCH).rate == pytest.approx(2 / 80)


def test_a_marked_change_starts_the_past_with_the_month_after_it() -> None:
    months = [*months_before(BAD, 12)[:6], *months_before(GOOD, 6)]
    change = MarkedChange("P-104", date(2025, 8, 14), "bigger feeder")
    past = past_of(months, MARCH, [change])
    assert past.changed == change
    assert past.baseline[0].month == date(2025, 9, 1)
    assert past.rate == pytest.approx(2 / 80)


def test_a_change_still_to_come_changes_nothing() -> None:
    past = past_of(months_before(GOOD), MARCH, [MarkedChange("P-104", date(2026, 4, 2), "new sand")])
    assert past.changed is None
    assert len(past.baseline) == 12


def test_the_month_under_review_and_what_follows_are_no_past() -> None:
    months = [*months_before(GOOD, 2), month_of(BAD), month_of(BAD, month=date(2026, 4, 1))]
    assert past_of(months, MARCH).scrapped == 4


def test_a_pattern_never_poured_before_has_no_rate() -> None:
    past = past_of([month_of(GOOD)], MARCH)
    assert past.rate is None
    assert past.baseline == ()


def test_months_count_back_over_the_turn_of_the_year() -> None:
    assert month_before(MARCH, 3) == date(2025, 12, 1)
    assert month_before(MARCH, 27) == date(2023, 12, 1)
    assert month_before(date(2026, 12, 1), 0) == date(2026, 12, 1)


def test_months_that_swing_by_themselves_widen_the_limits() -> None:
    """Good and bad months by turns, with no reason on record: that is how this shop runs."""
    months = months_before(GOOD, 12)
    swinging = [month_of(BAD if row.month.month % 2 else [0] * 20, month=row.month) for row in months]
    calm, wild = (spread_of_shop({"P-104": past_of(rows, MARCH)}) for rows in (months, swinging))
    assert calm.month_sigma == 1.0
    assert wild.month_sigma > 3
    assert wild.month_rho > calm.month_rho
