"""Texts of the command line to values of fields."""

from datetime import datetime

import pytest

from defectlog.book.open import open_book
from defectlog.errors import BadInput
from defectlog.jobs.add import run_of
from defectlog.jobs.typed import Asked, typed_value, understood
from defectlog.records.fields import field_of
from defectlog.records.kinds import Heat, Mould, Pattern

NOW = datetime(2026, 3, 9, 14, 20, 33)


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("now", datetime(2026, 3, 9, 14, 20)),
        (" NOW ", datetime(2026, 3, 9, 14, 20)),
        ("9:10", datetime(2026, 3, 9, 9, 10)),
        ("yesterday 23:59", datetime(2026, 3, 8, 23, 59)),
        ("2026-03-02", datetime(2026, 3, 2)),
    ],
)
def test_a_moment_is_said_as_people_say_it(text, value):
    assert typed_value(field_of(Heat, "melted_at"), text, "--melted-at", NOW) == value


@pytest.mark.parametrize("text", ["25:00", "9:99", "noon", "in an hour"])
def test_a_time_that_is_none_is_refused(text):
    with pytest.raises(BadInput):
        typed_value(field_of(Heat, "melted_at"), text, "--melted-at", NOW)


def test_now_is_a_day_too():
    assert typed_value(field_of(Pattern, "in_force_from"), "now", "", NOW) == NOW.date()


def test_empty_clears_and_every_problem_is_gathered(tmp_path):
    with open_book(tmp_path / "book.db") as book:
        assert understood(book, Mould, {"sand": "", "pour_c": "1330 F"}, NOW).values == {
            "sand": None,
            "pour_c": pytest.approx(721.111, abs=1e-3),  # (1330 − 32) × 5/9
        }
        with pytest.raises(BadInput) as error:
            understood(book, Mould, {"sand": "S-1", "pour_c": "hot", "castings": "5,1"}, NOW)
        assert {problem.code for problem in error.value.problems} == {"sand-unknown", "not-a-number", "not-a-count"}


@pytest.mark.parametrize(
    ("key", "count", "run"),
    [("M-1", 3, ("M-1", 3)), ("M-1..M-3", 1, ("M-1", 3)), ("M-009 .. 011", 1, ("M-009", 3)), ("", 2, ("", 2))],
)
def test_a_run_is_a_number_and_a_count_or_a_range(key, count, run):
    assert run_of(key, count, Asked("", NOW)) == run
