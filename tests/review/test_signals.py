"""What stands out is marked, what is luck is not, and where a month is too small to tell it says so."""

from datetime import date

import numpy as np
import pytest

from defectlog.records.ledgers import PatternMonth
from defectlog.review.signals import FALSE_ALARMS, Judged, false_alarms_expected, judge
from defectlog.review.usual import Past, ShopSpread, month_before, past_of, spread_of_shop
from tests.review.months import MARCH, month_of, months_before

APART = ShopSpread(mould_rho=0.0, month_rho=0.0, month_sigma=1.0)


def judged(scrap: list[int], past: list[PatternMonth], shop: ShopSpread = APART, castings: int = 4) -> Judged:
    return judge(month_of(scrap, castings), past_of(past, MARCH), shop)


def test_a_busy_pattern_gets_a_p_chart_with_limits_about_its_own_rate() -> None:
    """About 10 of 100 moulds of four scrap one casting: 2.5 % usual."""
    past = months_before([1] * 40 + [0] * 360)
    found = judged([1] * 42 + [0] * 358, past)
    assert (found.chart, found.signal) == ("p", "none")
    assert found.limits is not None
    assert 0 < found.limits[0] < 0.025 < found.limits[1] < 0.05


def test_a_busy_pattern_that_doubles_is_above() -> None:
    found = judged([1] * 80 + [0] * 320, months_before([1] * 40 + [0] * 360))
    assert (found.chart, found.signal) == ("p", "above")
    assert found.odds_of_luck is not None and found.odds_of_luck < 1e-4


def test_a_busy_pattern_that_halves_is_below() -> None:
    assert judged([1] * 15 + [0] * 385, months_before([1] * 40 + [0] * 360)).signal == "below"


def test_six_castings_of_one_mould_are_one_event() -> None:
    """Six scrapped castings: from six moulds they stand out, from one mould they do not."""
    past = months_before([1] * 2 + [0] * 98, castings=6)
    assert judged([1] * 9 + [0] * 91, past, castings=6).signal == "above"
    assert judged([6, 3] + [0] * 98, past, castings=6).signal != "above"


def test_rare_scrap_goes_by_moulds_between_moulds_with_scrap() -> None:
    past = months_before([1] + [0] * 59)
    found = judged([1] * 6 + [0] * 54, past)
    assert (found.chart, found.signal) == ("g", "above")
    assert found.limits is not None
    assert found.limits[0] == 0
    assert found.limits[1] > 200


def test_a_clean_run_over_months_is_below() -> None:
    """Scrap in one mould of twenty, then five clean months of sixty."""
    clean = [month_of([0] * 60, month=month_before(MARCH, back)) for back in range(4, 0, -1)]
    past = [*months_before([1] * 3 + [0] * 57, 16)[:12], *clean]
    assert judged([0] * 60, past).signal == "below"
    assert judged([0] * 20, past[:12]).signal == "too few"


def test_a_month_that_could_not_show_three_times_the_usual_is_too_few() -> None:
    found = judged([0] * 10, months_before([1] + [0] * 19))
    assert found.signal == "too few"
    assert found.limits is not None


def test_no_past_is_too_few_and_has_no_limits() -> None:
    assert judged([1] * 30, []) == Judged("too few")


def test_a_month_with_nothing_poured_is_too_few() -> None:
    assert judge(month_of([]), past_of(months_before([0] * 20), MARCH), APART) == Judged("too few")


def test_a_spotless_past_does_not_make_one_scrapped_casting_news() -> None:
    assert judged([1] + [0] * 39, months_before([0] * 40)).signal != "above"
    assert judged([1] * 8 + [0] * 32, months_before([0] * 40)).signal == "above"


def test_a_pattern_that_always_fails_is_judged_and_does_not_stop_the_review() -> None:
    past = months_before([4] * 40)
    assert judged([4] * 40, past).signal == "none"
    assert judged([1] * 20 + [0] * 20, past).signal == "below"


def test_bad_days_that_are_usual_here_are_allowed_for() -> None:
    past = months_before([1] * 40 + [0] * 360)
    wild = ShopSpread(mould_rho=0.0, month_rho=0.05, month_sigma=3.0)
    month = [1] * 70 + [0] * 330
    assert judged(month, past).signal == "above"
    assert judge(month_of(month), Past(tuple(past[:4]), ()), wild).signal != "above"


def test_expected_false_alarms_leave_out_what_could_not_be_judged() -> None:
    assert false_alarms_expected([Judged("none")] * 30 + [Judged("too few")] * 9) == pytest.approx(30 * FALSE_ALARMS)


def invented_month(dice: np.random.Generator, pattern: str, month: date, rate: float, moulds: int) -> PatternMonth:
    """Castings of a mould alike (ρ = 0.3), moulds of a day somewhat alike."""
    day = np.repeat(dice.normal(0.0, 0.4, 20), -(-moulds // 20))[:moulds]
    odds = rate / (1 - rate) * np.exp(day - 0.08)
    of_mould = dice.beta(odds / (1 + odds) * 7 / 3, 7 / 3 / (1 + odds))
    return month_of(dice.binomial(4, of_mould).tolist(), 4, pattern, month)


def signals_of_invented_shops(times_usual: float, shops: int = 25) -> list[str]:
    """The signals of months at so many times the usual rate, in shops of ten patterns with a year of past."""
    dice = np.random.default_rng(20260301)
    found: list[str] = []
    for _ in range(shops):
        pasts, now = {}, {}
        for number in range(10):
            name, rate, moulds = f"P-{number}", float(dice.uniform(0.02, 0.12)), int(dice.choice([30, 80, 200]))
            rows = [invented_month(dice, name, month_before(MARCH, b), rate, moulds) for b in range(12, 0, -1)]
            pasts[name] = past_of(rows, MARCH)
            now[name] = invented_month(dice, name, MARCH, rate * times_usual, moulds)
        shop = spread_of_shop(pasts)
        found += [judge(now[name], pasts[name], shop).signal for name in pasts]
    return found


def test_an_unchanged_pattern_is_marked_about_once_in_a_hundred_months() -> None:
    """250 months with nothing changed: at one in a hundred, eight or more marks have odds of 1 in 240."""
    marks = sum(signal in ("above", "below") for signal in signals_of_invented_shops(1.0))
    assert marks <= 7


def test_a_threefold_rate_is_marked_in_most_months_large_enough_to_show_it() -> None:
    found = signals_of_invented_shops(3.0)
    told = [signal for signal in found if signal != "too few"]
    assert len(told) > 100
    assert told.count("above") / len(told) > 0.7
    assert "below" not in told
