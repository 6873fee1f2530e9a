"""The distributions are those of SciPy, to ten figures and more, wherever the review can get to."""

import pytest
from hypothesis import given
from hypothesis import strategies as some
from scipy import special, stats

from defectlog.review.distributions import beta_cdf, beta_quantile, chi_square_tail, normal_quantile, normal_tail

shapes = some.floats(min_value=0.05, max_value=5000)
chances = some.floats(min_value=0.0005, max_value=0.9995)


@given(x=some.floats(0, 1), a=shapes, b=shapes)
def test_beta_distribution(x: float, a: float, b: float) -> None:
    assert beta_cdf(x, a, b) == pytest.approx(special.betainc(a, b, x), abs=1e-10)


@given(chance=chances, a=some.floats(0.5, 500), b=some.floats(0.5, 500))
def test_the_beta_quantile_undoes_the_distribution(chance: float, a: float, b: float) -> None:
    assert special.betainc(a, b, beta_quantile(chance, a, b)) == pytest.approx(chance, abs=1e-7)


@given(x=some.floats(0, 300), degrees=some.integers(1, 60))
def test_chi_square_tail(x: float, degrees: int) -> None:
    assert chi_square_tail(x, degrees) == pytest.approx(stats.chi2.sf(x, degrees), abs=1e-11)


@given(chance=chances)
def test_normal_quantile_and_tail(chance: float) -> None:
    assert normal_quantile(chance) == pytest.approx(special.ndtri(chance), abs=1e-9)
    assert normal_tail(normal_quantile(1 - chance)) == pytest.approx(chance, abs=1e-12)
