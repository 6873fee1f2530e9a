"""How alike the castings of one day are, learnt from the shop's other patterns."""

from datetime import date, timedelta

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.stats import betabinom

from defectlog.diagnosis.overdispersion import CHOICES, SPREAD_OF_LOG_RHO, STARTING_RHO, estimate_rho
from defectlog.records.histories import DefectDay

START = date(2026, 3, 2)


def days(pattern: str, *counts: tuple[int, int]) -> list[DefectDay]:
    """(bad, castings) day after day."""
    return [
        DefectDay(pattern, START + timedelta(days=number), of // 4, of, bad) for number, (bad, of) in enumerate(counts)
    ]


CLUMPED = days("P-2", *[(0, 24)] * 20, *[(1, 24)] * 6, *[(6, 24)] * 4)
EVEN = days("P-3", *[(1, 24)] * 30)


def test_with_no_record_it_starts_near_its_start() -> None:
    assert STARTING_RHO < estimate_rho([]) < 2 * STARTING_RHO


def test_days_that_clump_raise_it_and_even_days_lower_it() -> None:
    assert estimate_rho(EVEN) < estimate_rho([]) < estimate_rho(CLUMPED)


def test_the_pattern_in_question_does_not_excuse_itself() -> None:
    assert estimate_rho([*CLUMPED, *EVEN], leave_out="P-2") == estimate_rho(EVEN)


def test_a_pattern_with_hardly_any_bad_castings_says_nothing() -> None:
    assert estimate_rho(days("P-4", (2, 24), *[(0, 24)] * 20)) == estimate_rho([])


def test_a_count_higher_than_the_castings_is_taken_as_all_of_them() -> None:
    assert estimate_rho(days("P-5", (30, 24), (0, 24))) == estimate_rho(days("P-5", (24, 24), (0, 24)))


@pytest.mark.parametrize("rows", [CLUMPED, EVEN, [*CLUMPED, *EVEN]], ids=["clumped", "even", "both"])
def test_it_is_the_posterior_mean_by_direct_integration(rows: list[DefectDay]) -> None:
    """scipy.integrate.quad over log ρ with SciPy's beta-binomial. Ours takes twelve points, so within a tenth."""

    def log_posterior(log_rho: float) -> float:
        rho = float(np.exp(log_rho))
        total = -0.5 * ((log_rho - np.log(STARTING_RHO)) / SPREAD_OF_LOG_RHO) ** 2
        for pattern in {row.pattern for row in rows}:
            bad = np.array([row.bad for row in rows if row.pattern == pattern])
            of = np.array([row.castings for row in rows if row.pattern == pattern])
            rate = (bad.sum() + 0.5) / (of.sum() + 1)
            size = (1 - rho) / rho
            total += betabinom.logpmf(bad, of, rate * size, (1 - rate) * size).sum()
        return float(total)

    low, high = float(np.log(CHOICES[0])), float(np.log(CHOICES[-1]))
    top = max(log_posterior(point) for point in np.linspace(low, high, 60))
    whole = quad(lambda point: np.exp(log_posterior(point) - top), low, high)[0]
    first = quad(lambda point: np.exp(log_posterior(point) - top + point), low, high)[0]
    assert estimate_rho(rows) == pytest.approx(first / whole, rel=0.1)


def test_true_overdispersion_is_found_again() -> None:
    """Sixty days of 24 castings on four patterns drawn from SciPy's beta-binomial at a rate of 0.08 and ρ of 0.12."""
    size = (1 - 0.12) / 0.12
    drawn = betabinom.rvs(24, 0.08 * size, 0.92 * size, size=(4, 60), random_state=np.random.default_rng(3))
    rows = [row for number in range(4) for row in days(f"P-{number}", *[(int(bad), 24) for bad in drawn[number]])]
    assert 0.08 < estimate_rho(rows) < 0.15
