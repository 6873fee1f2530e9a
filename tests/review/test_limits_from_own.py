"""The range of the shop's own good work, and whether the bad work lies outside it."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as some
from scipy.stats import fisher_exact as scipy_fisher

from defectlog.review.limits_from_own import FEWEST_UNITS, ReadUnit, luck, outside, own_range, quantile

VALUES = some.lists(some.floats(-1e6, 1e6), min_size=1, max_size=60)


def units(good: list[float], bad: list[float] | None = None) -> list[ReadUnit]:
    """Moulds of four castings; a bad one has them all bad."""
    return [ReadUnit(f"g{n}", value, 4, 0) for n, value in enumerate(good)] + [
        ReadUnit(f"b{n}", value, 4, 4) for n, value in enumerate(bad or [])
    ]


@given(VALUES, some.floats(0, 1))
def test_the_quantile_is_numpys(values: list[float], share: float) -> None:
    """numpy.quantile, method "linear", which is definition 7 of Hyndman & Fan (1996)."""
    assert quantile(sorted(values), share) == pytest.approx(np.quantile(values, share), rel=1e-9, abs=1e-6)


def test_the_range_holds_95_of_100() -> None:
    """Of 1 … 101 the 2.5 % quantile is 3.5 and the 97.5 % quantile 98.5, by hand."""
    found = own_range(units([float(n) for n in range(1, 102)], [0.0, 100.0, 200.0]))
    assert (found.low, found.high) == pytest.approx((3.5, 98.5))
    assert (found.good, found.good_below, found.good_above) == (101, 3, 3)
    assert (found.bad, found.bad_below, found.bad_above) == (3, 1, 2)
    assert outside(found, "below") == (3, 1)


def test_under_thirty_it_is_too_few_to_tell() -> None:
    few = own_range(units([1.0] * (FEWEST_UNITS - 1), [2.0] * 50))
    assert few.too_few and few.low is None
    assert few.more_needed == 1
    assert luck(few, "above") is None
    assert not own_range(units([1.0] * FEWEST_UNITS)).too_few


def test_the_odds_of_luck_are_fishers() -> None:
    """scipy.stats.fisher_exact, alternative "greater"."""
    found = own_range(units([float(n) for n in range(1, 102)], [150.0] * 6 + [50.0] * 4))
    table = [[6, 4], [3, 98]]
    assert luck(found, "above") == pytest.approx(scipy_fisher(table, alternative="greater").pvalue)
    assert luck(found, "below") == pytest.approx(1.0)


def test_without_anything_bad_there_are_no_odds() -> None:
    assert luck(own_range(units([float(n) for n in range(40)])), "above") is None


def test_a_batch_is_good_by_its_share_and_not_by_being_spotless() -> None:
    """Usual: 4 bad of 80 castings, 5 %. One of forty is under it, three of twenty over it."""
    batches = [ReadUnit("a", 4.0, 40, 1), ReadUnit("b", 5.0, 20, 3), ReadUnit("c", 4.1, 20, 0)]
    found = own_range(batches)
    assert found.usual == 0.05
    assert (found.good, found.bad, found.unclear) == (2, 1, 0)


def test_a_unit_that_could_be_either_is_left_out() -> None:
    found = own_range([ReadUnit("a", 4.0, 4, 0, unclear=1), ReadUnit("b", 5.0, 4, 1), ReadUnit("c", 5.0, 40, 0)])
    assert (found.good, found.bad, found.unclear) == (1, 1, 1)


def test_no_units_at_all_are_too_few() -> None:
    assert own_range([]).too_few
