"""Rates between off and on: against brute force, and against scipy's integrals."""

import itertools
from math import exp, log

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import integrate, stats
from scipy.special import expit

from defectlog.diagnosis import graded
from defectlog.diagnosis.graded import (
    MEASURING_ERROR,
    POINT_WEIGHTS,
    POINTS,
    STEPS,
    WIDTH,
    graded_likelihood,
    graded_log_evidence,
    is_graded,
    step_weights,
    weights_by_limit,
)
from defectlog.diagnosis.likelihood import Cells, cell_log_likelihood, log_evidence, make_cells, unit_likelihood
from defectlog.diagnosis.rates import rate_grid
from defectlog.diagnosis.states import LEAST_CHANCE, states_of
from tests.diagnosis.small_books import (
    COLD,
    DAMP_LADLE,
    NO_FLOW_OFF,
    WET,
    WET_BY_HAND,
    array,
    candidate,
    evidence_of,
    history,
    mould,
    sand,
)

GRID = rate_grid(0.05, off_points=3, on_points=4)
RHO = 0.03
USUAL = np.array([0.1, 0.2, 0.3, 0.4])


def four_units(seed: int) -> tuple[Cells, np.ndarray]:
    """Four units of a few moulds on one or two days each, two of them alike, and weights over the steps."""
    rng = np.random.default_rng(seed)
    units, days = np.repeat(np.arange(4), 3), rng.integers(0, 2, size=12)
    castings, bad = rng.integers(1, 5, size=12), np.zeros(12, dtype=np.int64)
    bad[:6] = rng.binomial(castings[:6], 0.5)
    days[6:], castings[6:] = 0, 4
    return make_cells(units, days, bad, castings), rng.dirichlet(np.ones(len(STEPS)), size=4)


@pytest.mark.parametrize("seed", range(5))
def test_the_evidence_is_the_sum_over_every_step_of_every_unit(seed: int) -> None:
    cells, weights = four_units(seed)
    whole = 0.0
    for (a, off), (b, on) in itertools.product(enumerate(GRID.off), enumerate(GRID.on)):
        if not np.isfinite(GRID.log_pair[a, b]):
            continue
        of_cells = cell_log_likelihood(cells.bad, cells.castings, off + (on - off) * STEPS, RHO)
        of_units = np.add.reduceat(of_cells, cells.starts, axis=1)
        for steps in itertools.product(range(len(STEPS)), repeat=4):
            if not any(steps):
                continue
            logs = [log(weights[unit, step]) + of_units[step, unit] for unit, step in enumerate(steps)]
            whole += exp(GRID.log_pair[a, b] + sum(logs))
    ours = graded_log_evidence(graded_likelihood(cells, GRID, RHO), weights, USUAL, GRID)
    assert ours == pytest.approx(log(whole / (1 - 0.9 * 0.8 * 0.7 * 0.6)), abs=1e-9)


@pytest.mark.parametrize("seed", range(5))
def test_units_that_are_wholly_on_or_off_are_those_of_a_hidden_state(seed: int) -> None:
    cells, _ = four_units(seed)
    chance = np.random.default_rng(seed).uniform(0.1, 0.9, size=4)
    ours = graded_log_evidence(graded_likelihood(cells, GRID, RHO), graded.on_or_off(chance), USUAL, GRID)
    assert ours == pytest.approx(log_evidence(unit_likelihood(cells, GRID, RHO), chance, USUAL, GRID), abs=1e-9)


def test_many_units_are_worked_a_part_at_a_time(monkeypatch: pytest.MonkeyPatch) -> None:
    cells, weights = four_units(1)
    likelihood = graded_likelihood(cells, GRID, RHO)
    whole = graded_log_evidence(likelihood, weights, USUAL, GRID)
    monkeypatch.setattr(graded, "UNITS_AT_ONCE", 1)
    assert graded_log_evidence(likelihood, weights, USUAL, GRID) == pytest.approx(whole, abs=1e-9)


def test_the_points_are_those_of_gauss_and_hermite() -> None:
    points, weights = np.polynomial.hermite_e.hermegauss(5)
    np.testing.assert_allclose(POINTS, points, atol=1e-6)
    np.testing.assert_allclose(POINT_WEIGHTS, weights / weights.sum(), atol=1e-6)


@given(st.floats(-30, 30))
def test_the_mean_degree_is_the_integral_over_the_true_reading(past: float) -> None:
    """Sharing a degree between two steps keeps its mean; five points come within a hundredth of scipy's integral."""
    weights = step_weights(array(past))
    assert weights.sum() == pytest.approx(1, abs=1e-6)
    expected, _ = integrate.quad(
        lambda error: stats.norm.pdf(error) * expit((past + MEASURING_ERROR * error) / WIDTH), -8, 8
    )
    assert float((weights @ STEPS)[0]) == pytest.approx(expected, abs=0.01)


@given(st.floats(-20, 20), st.floats(0, 5))
def test_further_past_the_limit_is_never_less(past: float, further: float) -> None:
    before, after = (step_weights(array(value)) @ STEPS for value in (past, past + further))
    assert float(after[0]) >= float(before[0]) - 1e-9


def test_what_nobody_measured_has_the_weights_of_the_hand_or_of_the_shop() -> None:
    sands = [sand("S1", squeeze="sticks"), sand("S2"), sand("S3", moisture_pct=9.0)]
    evidence = evidence_of(history([mould(f"M{row}", sand=f"S{row}") for row in (1, 2, 3)], sands=sands))
    states = states_of(candidate(WET_BY_HAND), evidence, {})
    for weights in weights_by_limit(candidate(WET_BY_HAND), states):
        np.testing.assert_allclose(weights.sum(axis=1), 1, atol=1e-6)
        degrees = weights @ STEPS
        assert degrees[2] == pytest.approx(1 - LEAST_CHANCE, abs=1e-3)
        assert degrees[1] == pytest.approx(0.96 * 0.12 + LEAST_CHANCE)
        assert degrees[1] < degrees[0] < degrees[2]


def test_below_a_limit_it_is_the_mirror_image() -> None:
    evidence = evidence_of(history([mould("M1", pour_c=692.0), mould("M2", pour_c=708.0)]))
    states = states_of(candidate(COLD), evidence, {})
    middle = list(weights_by_limit(candidate(COLD), states))[1]
    np.testing.assert_allclose(middle[0], middle[1][::-1], atol=1e-9)


def test_the_plate_and_what_no_reading_shows_have_no_degrees() -> None:
    assert is_graded(candidate(WET))
    assert is_graded(candidate(COLD))
    assert not is_graded(candidate(DAMP_LADLE))
    assert not is_graded(candidate(NO_FLOW_OFF))
