"""Dates as the shop says them: read one way only, never in the future by guess."""

from datetime import date, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from defectlog.dates import month_after, parse_day, parse_month, parse_when
from defectlog.errors import BadInput

TODAY = date(2026, 2, 10)  # a Tuesday


@pytest.mark.parametrize(
    ("text", "moment"),
    [
        ("2026-03-09", datetime(2026, 3, 9)),
        ("2026-03-09T14:20", datetime(2026, 3, 9, 14, 20)),
        ("2026-03-09 14:20:05", datetime(2026, 3, 9, 14, 20, 5)),
        ("today", datetime(2026, 2, 10)),
        ("Yesterday 07:30", datetime(2026, 2, 9, 7, 30)),
        ("tue", datetime(2026, 2, 10)),
        ("last tue", datetime(2026, 2, 3)),
        ("sat 14:20", datetime(2026, 2, 7, 14, 20)),
        ("thurs", datetime(2026, 2, 5)),
        ("9 oct 14:20", datetime(2025, 10, 9, 14, 20)),
        ("4 mar", datetime(2025, 3, 4)),
        ("Mar 4", datetime(2025, 3, 4)),
        ("4 March 2024", datetime(2024, 3, 4)),
        ("Mar 9, 2025", datetime(2025, 3, 9)),
        ("29 feb", datetime(2024, 2, 29)),
        ("10 feb", datetime(2026, 2, 10)),
    ],
)
def test_is_read_as_it_is_said(text, moment):
    assert parse_when(text, TODAY) == moment


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("04/03/2026", "date-unclear"),
        ("4.3.26", "date-unclear"),
        ("04-03-2026", "date-unclear"),
        ("12", "date-unknown"),
        ("0304", "date-unknown"),
        ("monkey", "date-unknown"),
        ("month", "date-unknown"),
        ("9 marble", "date-unknown"),
        ("", "date-unknown"),
        ("2026-02-30", "date-impossible"),
        ("31 feb", "date-impossible"),
        ("0206-03-01", "date-impossible"),
        ("today 25:00", "date-impossible"),
    ],
)
def test_is_refused_when_it_could_be_another_day(text, code):
    with pytest.raises(BadInput) as caught:
        parse_when(text, TODAY, "poured_at")
    assert [problem.code for problem in caught.value.problems] == [code]
    assert caught.value.problems[0].where == "poured_at"


@given(st.dates(date(1900, 1, 1), date(2199, 12, 31)))
def test_iso_days_come_back(day):
    assert parse_day(day.isoformat(), TODAY) == day


@given(st.dates(date(1990, 1, 1), date(2100, 1, 1)), st.integers(0, 6))
def test_a_weekday_is_the_last_one_past(today, weekday):
    name = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")[weekday]
    day = parse_day(name[:3], today)
    assert day.weekday() == weekday
    assert timedelta() <= today - day < timedelta(days=7)
    assert timedelta() < today - parse_day(f"last {name}", today) <= timedelta(days=7)


@given(st.dates(date(1990, 1, 1), date(2100, 1, 1)), st.dates(date(2000, 1, 1), date(2000, 12, 31)))
def test_a_spoken_day_is_never_in_the_future(today, spoken):
    day = parse_day(f"{spoken.day} {spoken:%b}", today)
    assert day <= today
    assert (day.month, day.day) == (spoken.month, spoken.day)


@pytest.mark.parametrize(
    ("text", "first"),
    [
        ("2026-03", date(2026, 3, 1)),
        ("this month", date(2026, 2, 1)),
        ("last month", date(2026, 1, 1)),
        ("mar", date(2025, 3, 1)),
        ("February", date(2026, 2, 1)),
    ],
)
def test_months(text, first):
    assert parse_month(text, TODAY) == first


@pytest.mark.parametrize("text", ["2026-13", "0001-01", "9999-12", "marble", "3", ""])
def test_months_that_are_none(text):
    with pytest.raises(BadInput):
        parse_month(text, TODAY)


def test_the_month_after_december_is_january():
    assert month_after(date(2025, 12, 1)) == date(2026, 1, 1)
    assert month_after(date(2026, 1, 1)) == date(2026, 2, 1)
