"""When the rate changed, against a sum over every possible day of change."""

from math import exp, log

import numpy as np
import pytest
from scipy.special import logsumexp
from scipy.stats import betabinom

from defectlog.diagnosis.changes import FEWEST_DAYS, Change, find_change
from defectlog.diagnosis.evidence import gather_evidence
from defectlog.diagnosis.rates import rate_grid
from tests.diagnosis.small_books import GAS, day, heat, history, mould, seen

GRID, RHO = rate_grid(0.03), 0.03
BAD_FROM_DAY_8 = [0, 0, 1, 0, 0, 0, 0, 3, 4, 2, 3, 5]
STEADY = [1, 0, 1, 1, 0, 1, 0, 1, 1, 0, 1, 1]


def change(counts: list[int], **units) -> Change | None:
    """Twelve castings a day, so many bad; `units` name what the moulds of a day share."""
    moulds = [
        mould(f"M{number}", number, 12, **{name: of(number) for name, of in units.items()})
        for number in range(1, len(counts) + 1)
    ]
    lots = [heat(f"H{number}", ingot_lot="L1" if number < 7 else "L2") for number in range(1, len(counts) + 1)]
    book = history(moulds, [seen(f"M{n}", count) for n, count in enumerate(counts, start=1) if count], heats=lots)
    evidence = gather_evidence(book)
    return find_change(evidence, evidence.bad(GAS), GRID, RHO, book)


@pytest.mark.parametrize("counts", [BAD_FROM_DAY_8, STEADY], ids=["changed", "steady"])
def test_the_chance_is_the_sum_over_every_day_of_change(counts: list[int]) -> None:
    """SciPy's beta-binomial; a rate before and one after, each drawn afresh from the same prior, every day as likely.

    The numbers of orders are the same with and without a change, so they fall out.
    """
    rates = np.concatenate([GRID.off, GRID.on])
    prior = np.concatenate([GRID.log_off, GRID.log_on]) + log(0.5)
    size = (1 - RHO) / RHO

    def segment(some: list[int]) -> float:
        each = [betabinom.logpmf(some, 12, rate * size, (1 - rate) * size).sum() for rate in rates]
        return float(logsumexp(prior + each))

    splits = range(FEWEST_DAYS, len(counts) - FEWEST_DAYS + 1)
    by_split = {first: segment(counts[:first]) + segment(counts[first:]) for first in splits}
    changed = exp(logsumexp(list(by_split.values())) - log(len(by_split)))
    found = change(counts)
    assert found is not None
    assert found.chance == pytest.approx(changed / (changed + exp(segment(counts))))
    assert found.on == day(1 + max(by_split, key=lambda first: by_split[first])).date()


def test_a_rate_that_rose_is_found_with_its_day() -> None:
    found = change(BAD_FROM_DAY_8)
    assert found is not None
    assert found.chance > 0.95
    assert found.on == day(8).date()
    assert found.from_rate < 0.05 < 0.2 < found.to_rate


def test_a_rate_that_fell_is_found_too() -> None:
    found = change(BAD_FROM_DAY_8[::-1])
    assert found is not None
    assert (found.on, found.to_rate < found.from_rate) == (day(6).date(), True)


def test_a_steady_rate_is_called_steady_and_nothing_is_named_beside_it() -> None:
    found = change(STEADY, heat=lambda number: f"H{number}")
    assert found is not None
    assert found.chance < 0.5
    assert found.near_it == ()


def test_what_began_about_then_is_named_beside_it_and_people_are_not() -> None:
    found = change(
        BAD_FROM_DAY_8,
        heat=lambda number: f"H{number}",
        moulder=lambda number: "Ann" if number < 8 else "Bob",
        revision=lambda number: "A" if number < 3 else "B",
    )
    assert found is not None
    assert found.near_it == ("ingot lot L2", "another moulder (2)")


@pytest.mark.parametrize("counts", [[1, 2, 0, 3, 1], [0] * 12], ids=["too few days", "nothing bad"])
def test_there_is_no_before_and_after(counts: list[int]) -> None:
    assert change(counts) is None
