"""Expected scrap for the job mix: from each pattern's own past, patterns without one left out and named."""

import pytest
from hypothesis import given
from hypothesis import strategies as some

from defectlog.review.expected import Job, job_mix


def test_tough_jobs_expect_seventeen() -> None:
    """By hand: 200 · 2 % + 60 · 12 % + 15 · 40 % = 4 + 7.2 + 6 = 17.2 castings."""
    mix = job_mix([Job("easy", 200, 3, 0.02), Job("fair", 60, 9, 0.12), Job("tough", 15, 7, 0.40)])
    assert mix.expected == pytest.approx(17.2)
    assert (mix.castings, mix.scrapped) == (275, 19)


def test_a_pattern_without_a_past_has_no_part_in_it() -> None:
    mix = job_mix([Job("old", 100, 4, 0.05, 0.0004), Job("new", 50, 20, None)])
    assert mix.expected == pytest.approx(5.0)
    assert (mix.castings, mix.scrapped, mix.without_past) == (100, 4, ("new",))
    assert mix.low is not None and mix.high is not None
    assert (mix.low, mix.high) == pytest.approx((5 - 1.96 * 2, 5 + 1.96 * 2))


def test_with_no_past_at_all_nothing_is_expected() -> None:
    assert job_mix([Job("new", 50, 20, None)]).expected is None
    assert job_mix([]).expected is None


@given(some.lists(some.tuples(some.integers(1, 500), some.floats(0, 1), some.floats(0, 0.01)), min_size=1, max_size=20))
def test_the_expected_lies_in_its_interval_and_never_below_nothing(rows: list[tuple[int, float, float]]) -> None:
    mix = job_mix([Job(str(at), castings, 0, rate, spread) for at, (castings, rate, spread) in enumerate(rows)])
    assert mix.expected is not None and mix.low is not None and mix.high is not None
    assert 0 <= mix.low <= mix.expected <= mix.high
