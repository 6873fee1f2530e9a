"""Odds worked out in full for small counts: two groups of moulds, a month against its past, many tests at once."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from defectlog.review.distributions import log_beta

Floats = NDArray[np.float64]
# Tables as likely as the one seen, but for rounding, belong to it in a two-sided test.
AS_LIKELY = 1 + 1e-7


@dataclass(frozen=True, slots=True)
class Fisher:
    """Chances, were both groups alike, of the first having so few bad or fewer, so many or more, and either way."""

    fewer: float
    more: float
    either: float


def log_choose(n: float, k: float) -> float:
    return math.lgamma(n + 1) - math.lgamma(k + 1) - math.lgamma(n - k + 1)


def hypergeometric(bad: int, of: int, drawn: int) -> tuple[int, Floats]:
    """The least possible number of bad ones among `drawn`, and the chances from there on (of them `bad` of `of`)."""
    least, most = max(0, drawn - (of - bad)), min(bad, drawn)
    k = np.arange(least, most, dtype=np.float64)
    steps = np.log((bad - k) * (drawn - k)) - np.log((k + 1) * (of - bad - drawn + k + 1))
    start = log_choose(bad, least) + log_choose(of - bad, drawn - least) - log_choose(of, drawn)
    return least, np.exp(start + np.concatenate([[0.0], np.cumsum(steps)]))


def fisher_exact(bad_1: int, of_1: int, bad_2: int, of_2: int) -> Fisher:
    """R. A. Fisher's exact test on two counts. Raises ValueError when more are bad than there are."""
    if not (0 <= bad_1 <= of_1 and 0 <= bad_2 <= of_2):
        raise ValueError("there cannot be more bad ones than there are")
    least, chances = hypergeometric(bad_1 + bad_2, of_1 + of_2, of_1)
    at = bad_1 - least
    either = float(chances[chances <= chances[at] * AS_LIKELY].sum())
    return Fisher(capped(chances[: at + 1].sum()), capped(chances[at:].sum()), capped(either))


def beta_binomial(units: int, a: float, b: float) -> Floats:
    """(units + 1,) chances of 0, 1, … bad of `units` whose rate is itself Beta(a, b)."""
    k = np.arange(units, dtype=np.float64)
    steps = np.log((units - k) * (k + a)) - np.log((k + 1) * (units - k - 1 + b))
    start = log_beta(a, b + units) - log_beta(a, b)
    return np.asarray(np.exp(start + np.concatenate([[0.0], np.cumsum(steps)])), dtype=np.float64)


def still_stand_out(chances: Sequence[float], share_false: float = 0.05) -> list[bool]:
    """Which of many results stand out even though so many were looked at, at most `share_false` of them by luck.

    Y. Benjamini and Y. Hochberg, J. R. Statist. Soc. B 57 (1995) 289-300.
    """
    order = sorted(range(len(chances)), key=lambda index: chances[index])
    last = 0
    for rank, index in enumerate(order, start=1):
        if chances[index] <= share_false * rank / len(chances):
            last = rank
    kept = set(order[:last])
    return [index in kept for index in range(len(chances))]


def capped(chance: float) -> float:
    return min(max(float(chance), 0.0), 1.0)
