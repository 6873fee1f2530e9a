"""The likelihood of `why` against outside libraries: scipy's beta-binomial, and every hidden state enumerated."""

import itertools
from math import exp, log

import numpy as np
import pytest
from scipy.special import betaln, comb, logsumexp
from scipy.stats import betabinom, binom

from defectlog.diagnosis.likelihood import (
    UnitLikelihood,
    cell_log_likelihood,
    chance_on,
    log_evidence,
    make_cells,
    unit_likelihood,
)
from defectlog.diagnosis.rates import RateGrid, rate_grid

CELLS = [(0, 1), (1, 1), (0, 6), (2, 6), (6, 6), (3, 48), (40, 48), (0, 400), (17, 400)]


@pytest.mark.parametrize("rho", [0.005, 0.03, 0.2, 0.6])
@pytest.mark.parametrize("rate", [0.002, 0.03, 0.4, 0.95])
@pytest.mark.parametrize(("bad", "castings"), CELLS)
def test_a_cell_has_the_beta_binomial_probability_of_scipy(bad: int, castings: int, rate: float, rho: float) -> None:
    """scipy.stats.betabinom counts the orders in which the bad ones may fall; ours is for one order."""
    a, b = rate * (1 - rho) / rho, (1 - rate) * (1 - rho) / rho
    ours = cell_log_likelihood(np.array([bad]), np.array([castings]), np.array([rate]), rho)[0, 0]
    assert ours + log(comb(castings, bad, exact=True)) == pytest.approx(betabinom.logpmf(bad, castings, a, b), abs=1e-8)


@pytest.mark.parametrize(("bad", "castings"), CELLS)
def test_with_no_overdispersion_left_it_is_the_binomial_of_scipy(bad: int, castings: int) -> None:
    ours = cell_log_likelihood(np.array([bad]), np.array([castings]), np.array([0.1]), 0.0)[0, 0]
    assert ours + log(comb(castings, bad, exact=True)) == pytest.approx(binom.logpmf(bad, castings, 0.1), rel=1e-3)


@pytest.mark.parametrize("bad", [0.5, 1.3, 2.75])
def test_between_whole_castings_it_lies_close_to_the_gamma_function(bad: float) -> None:
    """scipy.special.betaln, which knows no whole numbers, as the reference; the straight line is within a tenth."""
    rate, rho, castings = 0.1, 0.03, 6
    a, b = rate * (1 - rho) / rho, (1 - rate) * (1 - rho) / rho
    ours = cell_log_likelihood(np.array([bad]), np.array([castings]), np.array([rate]), rho)[0, 0]
    assert ours == pytest.approx(betaln(a + bad, b + castings - bad) - betaln(a, b), abs=0.1)


def small_units(seed: int) -> tuple[UnitLikelihood, np.ndarray, RateGrid]:
    """Five units of a few moulds on one or two days each."""
    rng = np.random.default_rng(seed)
    units = np.repeat(np.arange(5), 4)
    days = rng.integers(0, 2, size=20)
    castings = rng.integers(1, 5, size=20)
    bad = rng.binomial(castings, np.where(units < 2, 0.5, 0.05))
    grid = rate_grid(0.05, off_points=3, on_points=4)
    return unit_likelihood(make_cells(units, days, bad, castings), grid, 0.03), rng.uniform(0.05, 0.9, size=5), grid


def every_state(likelihood: UnitLikelihood, chance: np.ndarray, grid: RateGrid) -> list[tuple[tuple[int, ...], float]]:
    """(states of the five units, joint probability) summed over the rates by brute force; on nowhere is no story."""
    found = []
    for states in itertools.product((0, 1), repeat=5):
        if not any(states):
            continue
        total = 0.0
        for off, on in itertools.product(range(len(grid.off)), range(len(grid.on))):
            log_joint = grid.log_pair[off, on]
            for unit, state in enumerate(states):
                log_joint += log(chance[unit] if state else 1 - chance[unit])
                log_joint += likelihood.on[on, unit] if state else likelihood.off[off, unit]
            total += exp(log_joint)
        found.append((states, total))
    return found


@pytest.mark.parametrize("seed", range(5))
def test_the_evidence_is_the_sum_over_every_hidden_state(seed: int) -> None:
    likelihood, chance, grid = small_units(seed)
    whole = sum(joint for _, joint in every_state(likelihood, chance, grid))
    usual = np.random.default_rng(seed).uniform(0.05, 0.3, size=5)
    some = 1 - binom.pmf(0, 1, usual).prod()
    assert log_evidence(likelihood, chance, usual, grid) == pytest.approx(log(whole / some), abs=1e-9)


def test_of_one_unit_a_reading_says_what_bayes_rule_says() -> None:
    """Usually on in one of ten, by its reading on in nine of ten: nine times as likely to be read so if it is on."""
    grid, chance, usual = rate_grid(0.05), np.array([0.9]), np.array([0.1])
    likelihood = unit_likelihood(make_cells(np.zeros(3, int), np.arange(3), np.ones(3), np.full(3, 6)), grid, 0.03)
    unread = log_evidence(likelihood, usual, usual, grid)
    assert log_evidence(likelihood, chance, usual, grid) - unread == pytest.approx(log(9), abs=1e-6)
    assert unread == pytest.approx(float(logsumexp(grid.log_pair + likelihood.on[:, 0])), abs=1e-6)


@pytest.mark.parametrize("seed", range(5))
def test_a_unit_was_on_as_often_as_the_states_in_which_it_was(seed: int) -> None:
    likelihood, chance, grid = small_units(seed)
    states = every_state(likelihood, chance, grid)
    whole = sum(joint for _, joint in states)
    by_hand = [sum(joint for state, joint in states if state[unit]) / whole for unit in range(5)]
    assert chance_on(likelihood, chance, grid) == pytest.approx(by_hand, abs=1e-9)
