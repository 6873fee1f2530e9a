"""The trial that parts two causes, and how many moulds it takes."""

import itertools

import pytest
from statsmodels.stats.power import NormalIndPower
from statsmodels.stats.proportion import proportion_effectsize

from defectlog.diagnosis.hypotheses import LEVELS
from defectlog.diagnosis.trials import FEWEST, TRIALS, moulds_each


@pytest.mark.parametrize(("on", "off"), [(0.5, 0.1), (0.3, 0.05), (0.8, 0.2), (0.2, 0.1)])
def test_the_moulds_needed_are_those_of_a_published_power_calculation(on: float, off: float) -> None:
    """statsmodels' NormalIndPower (Cohen's h, one-sided 5 %, power 0.8) as the reference."""
    reference = NormalIndPower().solve_power(
        proportion_effectsize(on, off), alpha=0.05, power=0.8, ratio=1, alternative="larger"
    )
    assert moulds_each(on, off) == pytest.approx(max(reference, FEWEST), abs=1)


def test_the_further_apart_the_rates_the_fewer_moulds() -> None:
    needed = [moulds_each(on, 0.05) for on in (0.2, 0.4, 0.6, 0.9)]
    assert all(number is not None for number in needed)
    assert needed == sorted(needed, reverse=True, key=lambda number: number or 0)


@pytest.mark.parametrize(("on", "off"), [(0.1, 0.1), (0.05, 0.2), (0.101, 0.1)])
def test_rates_that_hardly_differ_are_not_worth_pouring_for(on: float, off: float) -> None:
    assert moulds_each(on, off) is None


def test_there_is_a_trial_for_every_pair_of_levels() -> None:
    assert {tuple(sorted(pair)) for pair in itertools.combinations_with_replacement(LEVELS, 2)} == set(TRIALS)
