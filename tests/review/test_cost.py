"""What scrap costs, at rates that the shop has given; what is not known is not made up."""

import pytest

from defectlog.foundry.money import Rates
from defectlog.review.cost import ShopRates, cost_each, cost_of, method, weight_of
from tests.review.months import charge

METAL_ONLY = ShopRates(Rates(metal_per_kg=3.0, remelt_per_kg=1.8), "EUR")
HOURS_ONLY = ShopRates(Rates(labour_per_hour=30.0), "EUR", moulding_minutes=4.0, spent_by_stage={"machining": 6.5})


def test_metal_comes_back_and_hours_do_not() -> None:
    """By hand: 0.5 kg at 3.00 less 1.80 is 0.60 a casting; four minutes at 30.00 an hour are 2.00."""
    assert cost_each(charge(kg_each=0.5), METAL_ONLY) == pytest.approx(0.6)
    assert cost_each(charge(), HOURS_ONLY) == pytest.approx(2.0)


def test_found_late_costs_more() -> None:
    assert cost_each(charge(found="machining"), HOURS_ONLY) == pytest.approx(8.5)


def test_melting_is_paid_on_all_that_was_poured() -> None:
    """By hand: 0.9 kg poured a casting at 0.40 of energy, and 2 % of it lost at 3.00."""
    rates = ShopRates(Rates(metal_per_kg=3.0, remelt_per_kg=3.0, energy_per_kg=0.4, melt_loss_pct=2.0))
    assert cost_each(charge(kg_each=0.5, poured_kg_each=0.9), rates) == pytest.approx(0.9 * 0.4 + 0.9 * 0.02 * 3.0)


def test_without_rates_there_is_no_figure() -> None:
    assert cost_of([charge(kg_each=0.5)], None).total is None
    assert "no rates" in method(None)[0]


def test_a_missing_weight_leaves_castings_out_and_says_how_many() -> None:
    found = cost_of([charge(kg_each=0.5, castings=2), charge(castings=3)], METAL_ONLY)
    assert found.total == pytest.approx(1.2)
    assert (found.left_out, found.whole) == (3, None)
    assert weight_of([charge(castings=3)]).total is None


def test_a_month_without_scrap_costs_nothing() -> None:
    assert cost_of([], METAL_ONLY).whole == 0.0
    assert cost_of([], None).whole is None
    assert weight_of([]).whole == 0.0


def test_the_method_names_every_rate_given_and_every_one_missing() -> None:
    lines = " ".join(method(METAL_ONLY))
    assert "metal at 3 a kg" in lines
    assert "taken off for remelt: 1.8 a kg" in lines
    assert "Not counted, no rate given: energy, melting labour, labour, melt loss." in lines
    assert "4 minutes of moulding" in " ".join(method(HOURS_ONLY))
