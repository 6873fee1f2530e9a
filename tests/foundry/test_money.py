"""Yield, the cost of scrap and how many to pour, against sums done by hand and against scipy."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from defectlog.foundry import melt, money


@settings(max_examples=60, deadline=None)
@given(st.integers(1, 300), st.floats(0.001, 0.9), st.floats(0.02, 0.999))
def test_pieces_to_pour_are_the_quantiles_of_the_negative_binomial(good: int, scrap: float, chance: float) -> None:
    """scipy.stats.nbinom counts the scrapped ones before the last good one."""
    plan = money.pieces_to_pour(good, scrap, chance)
    for ours, level in ((plan.low, 0.05), (plan.high, 0.95), (plan.enough, chance)):
        failures = ours - good
        assert stats.nbinom.cdf(failures, good, 1 - scrap) >= level - 1e-9
        assert failures == 0 or stats.nbinom.cdf(failures - 1, good, 1 - scrap) < level + 1e-9
    assert plan.expected == pytest.approx(good + stats.nbinom.mean(good, 1 - scrap))


def test_a_big_order_does_not_vanish_in_rounding() -> None:
    """0.5^10000 is no number a computer holds; the answer still agrees with scipy's."""
    enough = money.pieces_to_pour(10_000, 0.5).enough
    assert enough == 10_000 + int(stats.nbinom.ppf(0.9, 10_000, 0.5))


def test_without_scrap_one_pours_what_one_needs() -> None:
    assert money.pieces_to_pour(12, 0.0) == money.PourPlan(12.0, 12, 12, 12)


def test_the_cost_of_a_scrapped_casting_by_hand() -> None:
    """0.6 kg of a 1.09 kg pour: metal 0.6·3.00, remelt 0.6·2.20, loss 1.09·2 %·3.00, melting 1.09·(0.50 + 0.30),
    moulding 6 min of 20.00 an hour, cores 0.40; rates invented."""
    rates = money.Rates(
        metal_per_kg=3.0,
        remelt_per_kg=2.2,
        energy_per_kg=0.5,
        melting_labour_per_kg=0.3,
        labour_per_hour=20.0,
        melt_loss_pct=2.0,
    )
    cost = money.scrap_cost(rates, casting_kg=0.6, poured_kg_each=1.09, moulding_minutes_each=6, other_each=0.4)
    assert cost.total == pytest.approx(1.80 - 1.32 + 0.0654 + 0.872 + 2.0 + 0.4)
    assert cost.remelt_credit == pytest.approx(1.32)


def test_metal_that_comes_back_at_full_worth_leaves_the_hours() -> None:
    rates = money.Rates(metal_per_kg=3.0, remelt_per_kg=3.0, labour_per_hour=20.0)
    cost = money.scrap_cost(rates, casting_kg=0.6, poured_kg_each=1.0, moulding_minutes_each=6)
    assert cost.total == pytest.approx(2.0)


def test_yields_of_an_invented_week() -> None:
    assert money.casting_yield_pct(4, 0.6, 4.36) == pytest.approx(55.05, abs=0.01)
    assert money.shop_yield_pct(120, 300) == pytest.approx(40)
    assert melt.returns_pct(40, 60) == pytest.approx(40)
    assert melt.melt_loss_pct(100, 98) == pytest.approx(2)
