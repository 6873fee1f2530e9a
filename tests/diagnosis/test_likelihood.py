"""How well a hidden on/off state explains where the bad castings fell, against sums over every possible state."""

from itertools import product
from math import exp, log

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.special import logsumexp

from defectlog.diagnosis.likelihood import (
    cell_log_likelihood,
    chance_on,
    log_constant,
    log_evidence,
    make_cells,
    unit_likelihood,
)
from defectlog.diagnosis.rates import rate_grid

GRID = rate_grid(0.03)
RHO = 0.04
# Six batches; moulds of 1 to 5 castings; two pairs of batches show the very same.
UNITS = np.array([0, 0, 1, 2, 3, 3, 4, 5])
DAYS = np.array([0, 1, 1, 2, 2, 2, 3, 4])
BAD = np.array([2, 1, 0, 0, 3, 0, 1, 1])
CASTINGS = np.array([4, 3, 4, 4, 5, 1, 4, 4])
ON_CHANCE, USUAL = np.array([0.9, 0.12, 0.12, 0.5, 0.12, 0.12]), np.full(6, 0.12)


def test_the_urn_by_hand() -> None:
    """p = 0.1, ρ = 0.2: an urn of 0.4 bad and 3.6 good balls, each draw put back with one more of its colour.

    Bad, bad, good: 0.4/4 · 1.4/5 · 3.6/6 = 0.0168.
    """
    found = cell_log_likelihood(np.array([2]), np.array([3]), np.array([0.1]), 0.2)
    assert exp(found[0, 0]) == pytest.approx(0.0168)


def test_no_castings_say_nothing() -> None:
    found = cell_log_likelihood(np.array([0, 0]), np.array([0, 1]), np.array([0.1]), 0.2)
    assert found[0].tolist() == [0.0, pytest.approx(log(0.9))]


def test_a_bad_day_of_ten_castings_surprises_less_than_ten_bad_days() -> None:
    """The point of ρ: castings of one day are not so many proofs."""
    together = cell_log_likelihood(np.array([10]), np.array([10]), np.array([0.02]), RHO)
    apart = 10 * cell_log_likelihood(np.array([1]), np.array([1]), np.array([0.02]), RHO)
    assert together[0, 0] > apart[0, 0] + 10


def test_cells_are_units_by_day() -> None:
    cells = make_cells(UNITS, DAYS, BAD, CASTINGS)
    assert cells.units.tolist() == [0, 0, 1, 2, 3, 4, 5]
    assert cells.bad.tolist() == [2, 1, 0, 0, 3, 1, 1]
    assert cells.castings.tolist() == [4, 3, 4, 4, 6, 4, 4]
    assert cells.starts.tolist() == [0, 2, 3, 4, 5, 6]


def cell_by_cell(unit: int, rate: float) -> float:
    """log L of one unit, a loop over its days."""
    total = 0.0
    for day in range(5):
        rows = (unit == UNITS) & (day == DAYS)
        counts = np.array([BAD[rows].sum()]), np.array([CASTINGS[rows].sum()])
        total += float(cell_log_likelihood(*counts, np.array([rate]), RHO)[0, 0])
    return total


def every_story() -> dict[tuple[int, ...], float]:
    """State of the six units → log of its joint probability with the data, summed over both rates: all 63 by name.

    A cause that is on in none of them is no cause.
    """
    off = [[cell_by_cell(unit, rate) for unit in range(6)] for rate in GRID.off]
    on = [[cell_by_cell(unit, rate) for unit in range(6)] for rate in GRID.on]
    stories = {}
    for state in product((0, 1), repeat=6):
        if not any(state):
            continue
        before = sum(log(z if is_on else 1 - z) for is_on, z in zip(state, ON_CHANCE, strict=True))
        terms = [
            GRID.log_pair[a, b] + sum(on[b][unit] if state[unit] else off[a][unit] for unit in range(6))
            for a in range(len(GRID.off))
            for b in range(len(GRID.on))
        ]
        stories[state] = before + float(logsumexp(terms))
    return stories


def test_the_evidence_is_the_sum_over_every_state_and_both_rates() -> None:
    likelihood = unit_likelihood(make_cells(UNITS, DAYS, BAD, CASTINGS), GRID, RHO)
    expected = float(logsumexp(list(every_story().values()))) - log(1 - 0.88**6)
    assert log_evidence(likelihood, ON_CHANCE, USUAL, GRID) == pytest.approx(expected, abs=1e-9)


def test_the_chance_that_a_unit_was_on_is_its_share_of_those_sums() -> None:
    likelihood = unit_likelihood(make_cells(UNITS, DAYS, BAD, CASTINGS), GRID, RHO)
    stories = every_story()
    whole = logsumexp(list(stories.values()))
    expected = [exp(logsumexp([value for state, value in stories.items() if state[unit]]) - whole) for unit in range(6)]
    np.testing.assert_allclose(chance_on(likelihood, ON_CHANCE, GRID), expected, atol=1e-9)


def test_units_that_show_the_same_are_worked_out_once_and_counted() -> None:
    """One mould a unit: forty sound moulds and two bad ones."""
    bad = np.array([0] * 40 + [3, 2])
    units, castings = np.arange(42), np.full(42, 4)
    likelihood = unit_likelihood(make_cells(units, units // 6, bad, castings), GRID, RHO)
    assert len(set(likelihood.alike.tolist())) == 3
    on_chance = np.full(42, 0.1)
    whole = 0.0
    for a, b in product(range(len(GRID.off)), range(len(GRID.on))):
        off, on = log(0.9) + likelihood.off[a], log(0.1) + likelihood.on[b]
        whole += exp(GRID.log_pair[a, b]) * (exp(np.logaddexp(on, off).sum()) - exp(off.sum()))
    expected = log(whole / (1 - 0.9**42))
    assert log_evidence(likelihood, on_chance, on_chance, GRID) == pytest.approx(expected, abs=1e-9)


def test_what_is_hardly_on_anywhere_keeps_a_number() -> None:
    """A sound unit, and a cause that is all but ruled out there: a very small chance, never none."""
    likelihood = unit_likelihood(
        make_cells(np.zeros(1, int), np.zeros(1, int), np.zeros(1), np.array([400])), GRID, RHO
    )
    chance = np.array([1e-9])
    found = log_evidence(likelihood, chance, np.array([0.1]), GRID)
    assert np.isfinite(found)
    assert found < log_evidence(likelihood, np.array([0.02]), np.array([0.1]), GRID)


def test_one_constant_rate_is_the_average_over_its_prior() -> None:
    one = make_cells(np.zeros(8, dtype=np.int64), DAYS, BAD, CASTINGS)
    by_rate = cell_log_likelihood(one.bad, one.castings, GRID.off, RHO)
    expected = float(logsumexp(by_rate.sum(axis=1) + GRID.log_off))
    assert log_constant(by_rate, GRID.log_off) == pytest.approx(expected, abs=1e-12)


@settings(max_examples=15, deadline=None)
@given(st.permutations(range(8)))
def test_the_order_of_the_rows_does_not_matter(order: list[int]) -> None:
    rows = np.array(order)
    likelihood = unit_likelihood(make_cells(UNITS[rows], DAYS[rows], BAD[rows], CASTINGS[rows]), GRID, RHO)
    straight = unit_likelihood(make_cells(UNITS, DAYS, BAD, CASTINGS), GRID, RHO)
    expected = log_evidence(straight, ON_CHANCE, USUAL, GRID)
    assert log_evidence(likelihood, ON_CHANCE, USUAL, GRID) == pytest.approx(expected)
