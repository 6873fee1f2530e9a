"""Runs and patterns on a chart, each with the share of false alarms it brings, so that nobody switches all of them on.

The eight rules are L. S. Nelson's (J. Quality Technology 16 (1984) 237-239). Points are standard scores. The popular
rule of five or six rising points was found useless in simulation (Davis and Woodall, J. Quality Technology 20 (1988);
from memory): it stands here as rule 3 and the review does not use it.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from defectlog.review.distributions import normal_tail

# A run on one side of the centre: 9 by Nelson, 8 in the Western Electric handbook (1956), 7 in some texts.
RUN_NELSON, RUN_WESTERN_ELECTRIC = 9, 8
# Ways of putting 14 different points in strict up-and-down order, starting upwards (Euler's zigzag number).
ZIGZAG_14 = 199360981
Window = Sequence[float]


@dataclass(frozen=True, slots=True)
class RunRule:
    """`holds` looks at the last `points` scores; `false_alarm` is its chance there when nothing has changed."""

    number: int
    says: str
    points: int
    holds: Callable[[Window], bool]
    false_alarm: float


def beyond(window: Window, sigmas: float, least: int) -> bool:
    """At least so many of the window beyond so many sigmas, all on one side."""
    above = sum(z > sigmas for z in window)
    return above >= least or sum(z < -sigmas for z in window) >= least


def one_side(window: Window) -> bool:
    return all(z > 0 for z in window) or all(z < 0 for z in window)


def steady(window: Window) -> bool:
    steps = [after - before for before, after in pairwise(window)]
    return all(step > 0 for step in steps) or all(step < 0 for step in steps)


def alternating(window: Window) -> bool:
    steps = [after - before for before, after in pairwise(window)]
    return all(one * two < 0 for one, two in pairwise(steps))


def far_both_sides(window: Window) -> bool:
    return all(abs(z) > 1 for z in window) and not one_side(window)


def chance_beyond(sigmas: float, points: int, least: int) -> float:
    """Both sides together; at least `least` of `points` on one side."""
    tail = normal_tail(sigmas)
    ways = (math.comb(points, k) * tail**k * (1 - tail) ** (points - k) for k in range(least, points + 1))
    return 2 * math.fsum(ways)


def run_rule(length: int) -> RunRule:
    """So many in a row on one side of the centre."""
    return RunRule(2, f"{length} in a row on one side", length, one_side, 2 * 0.5**length)


ONE_SIGMA = normal_tail(1)
NELSON: tuple[RunRule, ...] = (
    RunRule(1, "one beyond three sigma", 1, lambda w: beyond(w, 3, 1), chance_beyond(3, 1, 1)),
    run_rule(RUN_NELSON),
    RunRule(3, "six in a row rising or falling", 6, steady, 2 / math.factorial(6)),
    RunRule(4, "fourteen in a row up and down by turns", 14, alternating, 2 * ZIGZAG_14 / math.factorial(14)),
    RunRule(5, "two of three beyond two sigma on one side", 3, lambda w: beyond(w, 2, 2), chance_beyond(2, 3, 2)),
    RunRule(6, "four of five beyond one sigma on one side", 5, lambda w: beyond(w, 1, 4), chance_beyond(1, 5, 4)),
    RunRule(
        7, "fifteen in a row within one sigma", 15, lambda w: all(abs(z) < 1 for z in w), (1 - 2 * ONE_SIGMA) ** 15
    ),
    RunRule(
        8, "eight in a row beyond one sigma, on both sides", 8, far_both_sides, (2 * ONE_SIGMA) ** 8 - 2 * ONE_SIGMA**8
    ),
)


def signals(scores: Sequence[float], rule: RunRule) -> list[int]:
    """Positions, counted from 1, at which the rule is complete."""
    ends = range(rule.points, len(scores) + 1)
    return [end for end in ends if rule.holds(scores[end - rule.points : end])]


def first_signal(scores: Sequence[float], rule: RunRule) -> int:
    """The first of `signals`, or 0."""
    return next(iter(signals(scores, rule)), 0)


def points_between_false_alarms(chance: float) -> float:
    """How many points an unchanged process runs on average until a point that has this chance: 370 at three sigma."""
    return 1 / chance
