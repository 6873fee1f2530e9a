"""An interval holds its rate, is as wide as the moulds deserve, and is the one that statsmodels gives."""

import warnings

import pytest
from hypothesis import given
from hypothesis import strategies as some
from statsmodels.stats.proportion import confint_proportions_2indep, proportion_confint

from defectlog.review.clusters import design_effect, intraclass, mould_sums, pattern_rho, shop_rho
from defectlog.review.intervals import (
    clopper_pearson,
    difference_interval,
    highest_rate_unseen,
    jeffreys,
    rate_interval,
    wilson,
)
from tests.review.months import month_of

counts = some.integers(1, 3000).flatmap(lambda of: some.tuples(some.integers(0, of), some.just(of)))


@given(counts)
def test_wilson_is_that_of_statsmodels(count: tuple[int, int]) -> None:
    bad, of = count
    interval = wilson(bad / of, of)
    assert (interval.low, interval.high) == pytest.approx(proportion_confint(bad, of, method="wilson"), abs=1e-10)


@given(counts)
def test_clopper_pearson_and_jeffreys_are_those_of_statsmodels(count: tuple[int, int]) -> None:
    bad, of = count
    exact = clopper_pearson(bad, of)
    assert (exact.low, exact.high) == pytest.approx(proportion_confint(bad, of, method="beta"), abs=1e-9)
    bayes = jeffreys(bad, of)
    low, high = proportion_confint(bad, of, method="jeffreys")
    # The ends at nothing and at all are set to 0 and 1 (Brown, Cai and DasGupta 2001), which statsmodels does not do.
    assert (bayes.low, bayes.high) == pytest.approx((low if bad else 0.0, high if bad < of else 1.0), abs=1e-9)


@given(counts, some.floats(1, 20))
def test_the_interval_holds_the_rate_and_stays_between_nothing_and_all(count: tuple[int, int], effect: float) -> None:
    bad, of = count
    interval = rate_interval(bad, of, effect)
    assert interval is not None
    assert 0 <= interval.low <= bad / of <= interval.high <= 1
    assert interval.low < interval.high


@given(counts, some.floats(1, 10), some.floats(1.01, 3))
def test_castings_that_fail_together_tell_less(count: tuple[int, int], effect: float, more: float) -> None:
    bad, of = count
    apart, together = rate_interval(bad, of, effect), rate_interval(bad, of, effect * more)
    assert apart is not None and together is not None
    assert together.low <= apart.low and together.high >= apart.high


@given(counts, counts)
def test_the_difference_is_newcombes_and_turns_round(one: tuple[int, int], two: tuple[int, int]) -> None:
    found = difference_interval(*one, *two)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # statsmodels takes the log of nothing on the way
        expected = confint_proportions_2indep(*one, *two, method="newcomb", compare="diff")
    assert (found.low, found.high) == pytest.approx(expected, abs=1e-9)
    back = difference_interval(*two, *one)
    assert (back.low, back.high) == pytest.approx((-found.high, -found.low), abs=1e-12)


def test_nothing_cast_has_no_rate() -> None:
    assert rate_interval(0, 0) is None


def test_more_scrapped_than_cast_counts_as_all_and_does_not_stop_the_review() -> None:
    interval = rate_interval(7, 6)
    assert interval is not None
    assert interval.high == 1


def test_none_of_twenty_still_allows_one_in_seven() -> None:
    """The exact form of the rule of three; 1 − 0.05^(1/20), by hand."""
    assert highest_rate_unseen(20) == pytest.approx(1 - 0.05 ** (1 / 20), abs=1e-12)


@pytest.mark.parametrize(("rate", "of"), [(0.5, 0), (1.2, 10), (-0.1, 10)])
def test_what_is_no_rate_is_refused(rate: float, of: float) -> None:
    with pytest.raises(ValueError, match="a rate between 0 and 1"):
        wilson(rate, of)


class TestClusters:
    def test_moulds_all_good_or_all_bad_count_once_each(self) -> None:
        """Ten of forty moulds of four scrapped whole: 160 castings tell as much as 40."""
        sums = mould_sums([month_of([4] * 10 + [0] * 30)])
        rho = intraclass([sums])
        assert rho == pytest.approx(1.0, abs=0.05)
        assert design_effect(sums, 1.0) == 4.0

    def test_one_bad_casting_a_mould_does_not_count_as_clumping(self) -> None:
        assert intraclass([mould_sums([month_of([1] * 10 + [0] * 30)])]) == 0.0

    def test_rho_by_hand(self) -> None:
        """Moulds of two with 2, 0, 1, 1 bad: p = ½, spread Σ(s − 1)² = 2, times 4/3; (8/3 − 2) / (¼·(16 − 8)) = 1/3."""
        assert intraclass([mould_sums([month_of([2, 0, 1, 1], castings=2)])]) == pytest.approx(1 / 3)

    def test_while_little_is_known_a_mould_counts_once(self) -> None:
        few = [month_of([1, 1, 2] + [0] * 30)]
        assert shop_rho({"P-104": few}) == 1.0
        assert pattern_rho(few, of_shop=0.3) == 0.3

    def test_a_mould_of_one_casting_cannot_clump(self) -> None:
        sums = mould_sums([month_of([1] * 20 + [0] * 20, castings=1)])
        assert intraclass([sums]) is None
        assert design_effect(sums, 1.0) == 1.0
