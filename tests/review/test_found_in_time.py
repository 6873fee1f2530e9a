"""A lasting change of the rate is marked within the number of months that signals.py states. Invented shops."""

import numpy as np
import pytest

from defectlog.records.ledgers import PatternMonth
from defectlog.review.signals import judge
from defectlog.review.usual import month_before, past_of, spread_of_shop
from tests.review.months import MARCH
from tests.review.test_signals import invented_month

NEVER = 99


def months_to_a_mark(times_usual: float, moulds: int, rates: tuple[float, float], months: int) -> list[int]:
    """Of 40 patterns in shops of ten: the first month marked above, counted from 1. A year of past before each."""
    dice = np.random.default_rng(20260302)
    found: list[int] = []
    for _ in range(4):
        usual = {f"P-{number}": float(dice.uniform(*rates)) for number in range(10)}
        history: dict[str, list[PatternMonth]] = {
            name: [invented_month(dice, name, month_before(MARCH, back), rate, moulds) for back in range(12, 0, -1)]
            for name, rate in usual.items()
        }
        first = dict.fromkeys(usual, NEVER)
        for number in range(1, months + 1):
            month = month_before(MARCH, 1 - number)
            pasts = {name: past_of(rows, month) for name, rows in history.items()}
            shop = spread_of_shop(pasts)
            for name, rate in usual.items():
                now = invented_month(dice, name, month, rate * times_usual, moulds)
                if judge(now, pasts[name], shop).signal == "above":
                    first[name] = min(first[name], number)
                history[name].append(now)
        found += first.values()
    return found


@pytest.mark.parametrize(
    ("times_usual", "moulds", "rates", "within"),
    [
        (2.0, 80, (0.06, 0.12), 3),
        (2.0, 200, (0.02, 0.12), 2),
        (3.0, 80, (0.02, 0.12), 1),
        (3.0, 30, (0.02, 0.12), 5),
    ],
    ids=["doubled at 80 moulds", "doubled at 200", "tripled at 80", "tripled at 30"],
)
def test_a_worse_pattern_is_marked_in_time(
    times_usual: float, moulds: int, rates: tuple[float, float], within: int
) -> None:
    """Four patterns of five are stated; 28 of 40 leaves room for the luck of one simulation (about 1 in 25)."""
    found = months_to_a_mark(times_usual, moulds, rates, within)
    assert sum(first <= within for first in found) >= 28


def test_an_unchanged_shop_keeps_quiet_month_after_month() -> None:
    """40 patterns, six months: about 2.4 marks either way by luck, so at most as many above; seven have odds of 1 in
    100 even so."""
    found = months_to_a_mark(1.0, 80, (0.02, 0.12), 6)
    assert sum(first != NEVER for first in found) < 7
