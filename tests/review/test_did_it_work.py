"""Whether a remedy worked: exact odds on moulds, four answers, and how many are still needed for one."""

import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as some
from scipy import stats

from defectlog.records.ledgers import Tally
from defectlog.review.did_it_work import chance_of_clean, clean_moulds_needed, clean_run_needed, did_it_work


def tally(bad: int, moulds: int, castings: int = 1) -> Tally:
    return Tally(moulds, bad, moulds * castings, bad)


tallies = some.integers(1, 150).flatmap(lambda moulds: some.builds(tally, some.integers(0, moulds), some.just(moulds)))


@pytest.mark.parametrize(("rate", "run"), [(0.50, 5), (0.20, 14), (0.10, 29), (0.05, 59), (0.02, 149)])
def test_the_clean_run_that_would_surprise_an_unchanged_process(rate: float, run: int) -> None:
    """Worked out from ceil(log 0.05 / log(1 − p)), and by the binomial of SciPy."""
    assert clean_run_needed(rate) == run
    assert stats.binom.pmf(0, run, rate) <= 0.05 < stats.binom.pmf(0, run - 1, rate)


def test_six_of_forty_to_two_of_forty_is_no_proof_and_to_none_is() -> None:
    """Odds by SciPy: two-sided 0.26 and 0.026, one-sided half as much or so."""
    assert stats.fisher_exact(np.array([[6, 34], [2, 38]])).pvalue == pytest.approx(0.26, abs=0.01)
    assert did_it_work(tally(6, 40), tally(2, 40)).answer == "no effect seen"
    found = did_it_work(tally(6, 40), tally(0, 40))
    assert found.answer == "worked"
    assert found.odds_of_luck == pytest.approx(
        stats.fisher_exact(np.array([[0, 40], [6, 34]]), alternative="less").pvalue
    )


def test_too_soon_names_the_number_still_needed() -> None:
    found = did_it_work(tally(6, 40), tally(0, 10))
    assert found.answer == "too soon"
    assert found.needed == 25
    assert found.still_needed == 15
    assert math.comb(40, 6) / math.comb(65, 6) <= 0.05 < math.comb(40, 6) / math.comb(64, 6)


def test_the_number_set_beforehand_is_waited_for() -> None:
    """Forty clean moulds of two would do; 200 castings were agreed on."""
    found = did_it_work(tally(6, 40, castings=2), tally(0, 40, castings=2), check_castings=200)
    assert found.answer == "too soon"
    assert found.still_needed == 60
    assert did_it_work(tally(6, 40, castings=2), tally(0, 100, castings=2), check_castings=200).answer == "worked"


def test_a_change_for_the_worse_is_said_at_once() -> None:
    found = did_it_work(tally(2, 40), tally(5, 8), check_castings=200)
    assert found.answer == "made worse"
    assert found.difference is not None and found.difference < 0


def test_a_short_record_before_asks_for_more_than_the_clean_run() -> None:
    """2 of 10 may have been luck: 14 clean ones at a known 20 %, but 33 with ten moulds to know it from."""
    assert clean_run_needed(0.2) == 14
    assert clean_moulds_needed(tally(2, 10)) == 33


@pytest.mark.parametrize(("before", "after"), [((0, 0), (0, 9)), ((3, 20), (0, 0)), ((0, 30), (0, 30))])
def test_with_nothing_on_one_side_or_nothing_to_cure_it_is_too_soon(
    before: tuple[int, int], after: tuple[int, int]
) -> None:
    assert did_it_work(tally(*before), tally(*after)).answer == "too soon"


def test_where_every_mould_failed_a_few_clean_ones_settle_it() -> None:
    found = did_it_work(tally(6, 6), tally(0, 4))
    assert found.answer == "worked"
    assert found.odds_of_luck == pytest.approx(1 / math.comb(10, 4))


@given(tallies, tallies)
def test_the_answer_agrees_with_the_exact_odds(before: Tally, after: Tally) -> None:
    found = did_it_work(before, after)
    table = [
        [after.bad_moulds, after.moulds - after.bad_moulds],
        [before.bad_moulds, before.moulds - before.bad_moulds],
    ]
    less = stats.fisher_exact(np.array(table), alternative="less").pvalue
    assume(abs(less - 0.05) > 1e-9)
    assert (found.answer == "worked") == (less <= 0.05 and before.bad_moulds > 0)
    if found.interval is not None and found.difference is not None:
        assert found.interval.low <= found.difference <= found.interval.high
    assert (found.answer == "too soon") or found.still_needed == 0


@given(tallies)
def test_one_clean_mould_fewer_than_needed_would_not_do(before: Tally) -> None:
    needed = clean_moulds_needed(before)
    assume(needed is not None and needed > 1)
    assert needed is not None
    assert chance_of_clean(before, needed) <= 0.05
    rate = before.bad_moulds / before.moulds
    known = clean_run_needed(rate) if rate < 1 else 1
    assert needed == known or chance_of_clean(before, needed - 1) > 0.05


def test_a_run_needs_a_rate() -> None:
    with pytest.raises(ValueError, match="above 0 and below 100"):
        clean_run_needed(0.0)
