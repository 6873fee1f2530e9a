"""Charts: limits stand in order about the centre, widen with clumping, and count rare events by their gaps."""

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as some
from scipy import stats

from defectlog.review import charts
from defectlog.review.drift import creeping, cusum, cusum_run_length, ewma, ewma_run_length
from defectlog.review.run_rules import NELSON, RUN_WESTERN_ELECTRIC, run_rule, signals

months = some.lists(
    some.integers(20, 400).flatmap(lambda of: some.tuples(some.integers(0, of), some.just(of))), min_size=3, max_size=30
)


@given(months)
def test_limits_are_in_order_and_tighter_for_bigger_months(rows: list[tuple[int, int]]) -> None:
    bad, of = [row[0] for row in rows], [row[1] for row in rows]
    chart = charts.p_chart(bad, of)
    assert chart.centre == pytest.approx(sum(bad) / sum(of))
    for low, high in zip(chart.lower, chart.upper, strict=True):
        assert low <= chart.centre <= high
    widths = sorted(zip(of, chart.upper, strict=True))
    assert all(small[1] >= big[1] - 1e-12 for small, big in pairwise(widths))


@given(months, some.floats(1, 4))
def test_widening_never_makes_a_signal(rows: list[tuple[int, int]], widen: float) -> None:
    bad, of = [row[0] for row in rows], [row[1] for row in rows]
    assert set(charts.p_chart(bad, of, widen=widen).outside) <= set(charts.p_chart(bad, of).outside)


def test_a_c_chart_is_a_u_chart_of_one_unit() -> None:
    assert charts.c_chart([3, 5, 4]) == charts.u_chart([3, 5, 4], [1, 1, 1])


def test_a_point_on_the_limit_is_inside() -> None:
    """NIST's wafer 3: 28 defects at an upper limit of exactly 28."""
    chart = charts.chart([28.0, 28.1], 16.0, [4.0, 4.0])
    assert chart.outside == (2,)


@given(some.floats(0.005, 0.6), some.floats(0.0005, 0.05))
def test_gap_limits_are_geometric_tails(rate: float, chance: float) -> None:
    """SciPy's geometric counts the trial of the event too, so a gap of n is n + 1 trials."""
    low, high = charts.gap_limits(rate, chance)
    assert stats.geom.sf(high, rate) <= chance * (1 + 1e-9) < stats.geom.sf(high - 1, rate) * (1 + 1e-6)
    if low > 0:
        assert stats.geom.cdf(low, rate) <= chance * (1 + 1e-9)


def test_a_long_run_of_good_moulds_shows_on_the_g_chart() -> None:
    """Scrap every tenth mould or so, then 120 good ones: (10/11)^120 is about 1 in 90 000."""
    chart = charts.g_chart([9, 11, 8, 12, 10, 9, 11])
    assert chart.centre == 10
    assert chart.lower[0] <= 8
    assert 60 < chart.upper[0] < 120


def test_days_between_come_back_as_days() -> None:
    chart = charts.t_chart([12, 30, 7, 21, 15, 40])
    assert chart.lower[0] < chart.centre < chart.upper[0]
    assert 7 < chart.centre < 40


def test_creeping_up_is_seen_though_no_month_is_far_out() -> None:
    assert creeping([1.5] * 8) == "up"
    assert creeping([-1.5] * 8) == "down"
    assert creeping([0.3, -0.8, 1.1, -0.2]) == ""
    assert creeping([]) == ""


@given(some.lists(some.floats(-3, 3), max_size=20))
def test_memory_charts_stay_between_the_points(points: list[float]) -> None:
    assert all(abs(value) <= 3 for value in ewma(points))
    low, high = cusum(points, 0.0, 0.5)
    assert min([*low, *high], default=0.0) >= 0
    turned_low, turned_high = cusum([-point for point in points], 0.0, 0.5)
    assert turned_low == pytest.approx(high, abs=1e-12)
    assert turned_high == pytest.approx(low, abs=1e-12)


def test_a_shift_shortens_the_run_to_a_signal() -> None:
    assert ewma_run_length(0.2, 2.962, 1.0) < ewma_run_length(0.2, 2.962) / 20
    assert cusum_run_length(0.5, 4.0, 1.0) < cusum_run_length(0.5, 4.0) / 10


@given(some.lists(some.floats(-4, 4).filter(lambda z: z != 0), min_size=1, max_size=40))
def test_every_rule_reads_the_same_upside_down(scores: list[float]) -> None:
    turned = [-z for z in scores]
    for rule in (*NELSON, run_rule(RUN_WESTERN_ELECTRIC)):
        assert signals(scores, rule) == signals(turned, rule)


def test_a_gap_needs_a_rate() -> None:
    with pytest.raises(ValueError, match="above 0 and below 1"):
        charts.gap_limits(0.0, 0.01)
    with pytest.raises(ValueError, match="two points"):
        charts.moving_range([1.0])
    assert math.isclose(charts.moving_range([1.0, 3.0, 2.0]), 1.5)
