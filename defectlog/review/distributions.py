"""The few probability distributions that the review needs, worked here so that no statistics library is loaded.

Formulas: NIST Digital Library of Mathematical Functions, 8.17 (incomplete beta), 8.9 and 8.11 (incomplete gamma).
"""

import math
from collections.abc import Callable
from statistics import NormalDist

STANDARD = NormalDist()
SMALLEST = 1e-300
PRECISION = 1e-15
MOST_STEPS = 10_000
QUANTILE_PRECISION = 1e-13


def normal_quantile(chance: float) -> float:
    return STANDARD.inv_cdf(chance)


def normal_tail(z: float) -> float:
    """P(Z > z) of the standard normal."""
    return 0.5 * math.erfc(z / math.sqrt(2))


def log_beta(a: float, b: float) -> float:
    return math.lgamma(a) + math.lgamma(b) - math.lgamma(a + b)


def beta_cdf(x: float, a: float, b: float) -> float:
    """P(X ≤ x) of a beta distribution, a and b above 0."""
    if x <= 0:
        return 0.0
    if x >= 1:
        return 1.0
    front = math.exp(a * math.log(x) + b * math.log1p(-x) - log_beta(a, b))
    if x < (a + 1) / (a + b + 2):
        return front * beta_fraction(x, a, b) / a
    return 1 - front * beta_fraction(1 - x, b, a) / b


def beta_fraction(x: float, a: float, b: float) -> float:
    """The continued fraction 8.17.22 by Lentz's method."""

    def term(step: int) -> float:
        m, odd = divmod(step, 2)
        if odd:
            return -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1))
        return m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m))

    return 1 / continued_fraction(1.0, term, lambda _step: 1.0)


def continued_fraction(start: float, above: Callable[[int], float], below: Callable[[int], float]) -> float:
    """start + above(1) / (below(1) + above(2) / (below(2) + …)), modified Lentz."""
    value = start or SMALLEST
    c, d = value, 0.0
    for step in range(1, MOST_STEPS):
        d = 1 / ((below(step) + above(step) * d) or SMALLEST)
        c = (below(step) + above(step) / c) or SMALLEST
        value *= c * d
        if abs(c * d - 1) < PRECISION:
            break
    return value


def beta_quantile(chance: float, a: float, b: float) -> float:
    """The x with P(X ≤ x) = chance: Newton's steps, and a halving wherever one would leave what is known to hold it."""
    low, high, x = 0.0, 1.0, a / (a + b)
    scale = log_beta(a, b)
    while high - low > QUANTILE_PRECISION:
        over = beta_cdf(x, a, b) - chance
        low, high = (x, high) if over < 0 else (low, x)
        density = math.exp((a - 1) * math.log(x) + (b - 1) * math.log1p(-x) - scale)
        following = x - over / density if density > 0 else low
        if not low < following < high:
            following = (low + high) / 2
        if abs(following - x) <= QUANTILE_PRECISION or following in (0.0, 1.0):
            return following
        x = following
    return x


def chi_square_tail(x: float, degrees: int) -> float:
    """P(X > x) of chi-square."""
    a, half = degrees / 2, x / 2
    if half <= 0:
        return 1.0
    front = math.exp(a * math.log(half) - half - math.lgamma(a))
    if half < a + 1:
        return 1 - front * gamma_series(a, half)
    fraction = continued_fraction(half + 1 - a, lambda n: -n * (n - a), lambda n: half + 2 * n + 1 - a)
    return front / fraction


def gamma_series(a: float, x: float) -> float:
    term = total = 1 / a
    for step in range(1, MOST_STEPS):
        term *= x / (a + step)
        total += term
        if term < total * PRECISION:
            break
    return total
