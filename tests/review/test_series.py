"""A pattern's months in a row: the past makes the limits, later months are held against them and never move them."""

from defectlog.review.series import pattern_series
from defectlog.review.usual import ShopSpread
from tests.review.months import MARCH, month_of, months_before

APART = ShopSpread(mould_rho=0.0, month_rho=0.0, month_sigma=1.0)
USUAL, WORSE, SLIGHTLY_WORSE = [1] * 40 + [0] * 360, [1] * 90 + [0] * 310, [1] * 44 + [0] * 356


def test_the_past_is_not_judged_and_the_months_after_it_are() -> None:
    months = [*months_before(USUAL, 14)[:12], *months_before(WORSE, 2), month_of(USUAL)]
    series = pattern_series(months, MARCH, APART)
    assert series.usual == 0.025
    assert [item.judged is None for item in series.points] == [True] * 12 + [False] * 3
    assert [item.judged.signal for item in series.points if item.judged] == ["above", "above", "none"]


def test_nine_months_a_little_worse_show_as_a_run_though_none_stands_out() -> None:
    months = [*months_before(USUAL, 20)[:12], *months_before(SLIGHTLY_WORSE, 8), month_of(SLIGHTLY_WORSE)]
    points = pattern_series(months, MARCH, APART).points
    assert {item.judged.signal for item in points if item.judged} == {"none"}
    assert [item.long_run for item in points] == [False] * 20 + [True]


def test_every_rate_lies_in_its_interval() -> None:
    for item in pattern_series([*months_before(USUAL), month_of(WORSE)], MARCH, APART).points:
        assert item.rate is not None and item.interval is not None
        assert item.interval.low < item.rate < item.interval.high


def test_no_months_make_no_points() -> None:
    assert pattern_series([], MARCH, APART).points == ()
