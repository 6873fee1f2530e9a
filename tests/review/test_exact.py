"""Exact odds are SciPy's, and luck is stated as a hand calculation would state it."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as some
from scipy import stats

from defectlog.review.exact import beta_binomial, fisher_exact, still_stand_out

groups = some.integers(0, 120).flatmap(lambda of: some.tuples(some.integers(0, of), some.just(of)))


@given(groups, groups)
def test_fisher_is_that_of_scipy(one: tuple[int, int], two: tuple[int, int]) -> None:
    table = np.array([[one[0], one[1] - one[0]], [two[0], two[1] - two[0]]])
    found = fisher_exact(*one, *two)
    if one[1] == 0 or two[1] == 0 or one[0] + two[0] in (0, one[1] + two[1]):
        assert (found.fewer, found.more, found.either) == pytest.approx((1, 1, 1))
        return
    assert found.fewer == pytest.approx(stats.fisher_exact(table, alternative="less").pvalue, rel=1e-8, abs=1e-300)
    assert found.more == pytest.approx(stats.fisher_exact(table, alternative="greater").pvalue, rel=1e-8, abs=1e-300)
    assert found.either == pytest.approx(stats.fisher_exact(table).pvalue, rel=1e-6, abs=1e-300)


@given(some.integers(1, 200), some.floats(0.1, 300), some.floats(0.1, 300))
def test_the_beta_binomial_is_that_of_scipy(units: int, a: float, b: float) -> None:
    found = beta_binomial(units, a, b)
    assert found.sum() == pytest.approx(1.0, abs=1e-9)
    assert found == pytest.approx(stats.betabinom.pmf(range(units + 1), units, a, b), abs=1e-9)


@given(some.lists(some.floats(0, 1), min_size=1, max_size=40))
def test_what_still_stands_out_is_what_scipy_says(chances: list[float]) -> None:
    # On the line itself a rounding decides; there both answers are right.
    adjusted = [float(value) for value in stats.false_discovery_control(chances)]
    for kept, value in zip(still_stand_out(chances, 0.05), adjusted, strict=True):
        assert kept == (value <= 0.05) or abs(value - 0.05) < 1e-12


def test_more_bad_than_there_are_is_refused() -> None:
    with pytest.raises(ValueError, match="more bad ones"):
        fisher_exact(5, 4, 0, 10)
