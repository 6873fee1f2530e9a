"""What is believed about scrap rates before the moulds are looked at."""

import numpy as np
import pytest
from scipy.special import logsumexp

from defectlog.diagnosis.rates import grid_from_others, log_sum, rate_grid, usual_rate


@pytest.mark.parametrize("rate", [0.0005, 0.02, 0.2, 0.6, 0.9, 0.98])
@pytest.mark.parametrize("spread", [0.3, 0.7, 1.2])
def test_the_joint_prior_adds_up_and_puts_on_above_off(rate: float, spread: float) -> None:
    """Even in a shop where nearly everything fails, "on" finds room above the highest "off"."""
    grid = rate_grid(rate, spread)
    weights = np.exp(grid.log_pair)
    assert weights.sum() == pytest.approx(1.0)
    assert np.exp(grid.log_off).sum() == pytest.approx(1.0)
    assert np.exp(grid.log_on).sum() == pytest.approx(1.0)
    assert np.all(grid.on[None, :] > grid.off[:, None], where=weights > 0)
    assert np.all((grid.off > 0) & (grid.off < 1))
    assert np.all((grid.on > 0) & (grid.on < 1))


def test_off_is_about_the_shops_usual_rate() -> None:
    grid = rate_grid(0.02)
    assert np.exp(np.log(grid.off / (1 - grid.off)) @ np.exp(grid.log_off)) == pytest.approx(0.02 / 0.98)


def test_on_is_about_a_third_and_held_broadly() -> None:
    """Nine tenths of the belief lies between one casting in thirty and nine in ten."""
    grid = rate_grid(0.02)
    belief = np.exp(grid.log_on)
    assert 0.2 < grid.on @ belief < 0.5
    assert belief[(grid.on > 1 / 30) & (grid.on < 0.9)].sum() > 0.85


def test_a_shop_with_no_record_starts_at_one_in_fifty_and_many_castings_outweigh_it() -> None:
    assert usual_rate(0, 0) == pytest.approx(1 / 50)
    assert usual_rate(99, 950) == pytest.approx(100 / 1000)


def test_few_bad_castings_on_other_patterns_hold_the_rate_loosely() -> None:
    few, many = grid_from_others(0, 0), grid_from_others(400, 20_000)
    assert np.ptp(np.log(few.off / (1 - few.off))) > np.ptp(np.log(many.off / (1 - many.off)))
    # By hand: variance 0.7² + 1/(0 + 1), five of its roots from end to end.
    assert np.ptp(np.log(few.off / (1 - few.off))) == pytest.approx(5 * np.sqrt(0.49 + 1))


def test_log_sum_is_scipys_even_for_numbers_that_vanish() -> None:
    values = np.array([[-1000.0, -1001.0, -np.inf], [-np.inf, -np.inf, -np.inf], [3.0, 2.0, -5.0]])
    with np.errstate(divide="ignore"):
        np.testing.assert_allclose(log_sum(values, axis=1), logsumexp(values, axis=1))
    assert float(log_sum(values)) == pytest.approx(logsumexp(values))
