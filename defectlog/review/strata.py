"""Two times compared with the job mix held still: Mantel and Haenszel's common odds ratio over patterns.

Adding all patterns up can turn an answer round (E. H. Simpson): a month of harder jobs looks like a worse shop.
Sources: Mantel and Haenszel (1959); Robins, Breslow and Greenland (1986) for the interval; Breslow and Day (1980) for
whether one figure may stand for all patterns.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from defectlog.review.distributions import chi_square_tail, normal_quantile
from defectlog.review.intervals import CONFIDENCE, Interval


@dataclass(frozen=True, slots=True)
class Stratum:
    """One pattern: bad and good in the first time, bad and good in the second."""

    bad_1: float
    good_1: float
    bad_2: float
    good_2: float

    @property
    def total(self) -> float:
        return self.bad_1 + self.good_1 + self.bad_2 + self.good_2


@dataclass(frozen=True, slots=True)
class TestResult:
    statistic: float
    chance: float


def odds_ratio(stratum: Stratum) -> float:
    """Odds of being bad in the first time over those in the second; infinite when nothing stands below the line."""
    below = stratum.good_1 * stratum.bad_2
    return stratum.bad_1 * stratum.good_2 / below if below else math.inf


def common_odds_ratio(strata: Sequence[Stratum]) -> float | None:
    """None when no pattern can tell: nothing bad on one of the two sides."""
    above = sum(s.bad_1 * s.good_2 / s.total for s in strata if s.total)
    below = sum(s.good_1 * s.bad_2 / s.total for s in strata if s.total)
    return above / below if above and below else None


def common_interval(strata: Sequence[Stratum], confidence: float = CONFIDENCE) -> Interval | None:
    """Robins-Breslow-Greenland interval of the common odds ratio."""
    ratio = common_odds_ratio(strata)
    if ratio is None:
        return None
    filled = [s for s in strata if s.total]
    r = [s.bad_1 * s.good_2 / s.total for s in filled]
    t = [s.good_1 * s.bad_2 / s.total for s in filled]
    p = [(s.bad_1 + s.good_2) / s.total for s in filled]
    pairs = list(zip(p, r, t, strict=True))
    variance = sum(a * b for a, b, _ in pairs) / (2 * sum(r) ** 2)
    variance += sum(a * c + (1 - a) * b for a, b, c in pairs) / (2 * sum(r) * sum(t))
    variance += sum((1 - a) * c for a, _, c in pairs) / (2 * sum(t) ** 2)
    half = normal_quantile(0.5 + confidence / 2) * math.sqrt(variance)
    return Interval(ratio * math.exp(-half), ratio * math.exp(half))


def no_difference(strata: Sequence[Stratum], continuity: bool = True) -> TestResult | None:
    """Cochran-Mantel-Haenszel chi-square, one degree of freedom; None when no pattern can tell."""
    excess = variance = 0.0
    for s in strata:
        if s.total < 2:
            continue
        first, bad = s.bad_1 + s.good_1, s.bad_1 + s.bad_2
        excess += s.bad_1 - first * bad / s.total
        variance += first * (s.total - first) * bad * (s.total - bad) / (s.total**2 * (s.total - 1))
    if variance <= 0:
        return None
    statistic = max(0.0, abs(excess) - (0.5 if continuity else 0.0)) ** 2 / variance
    return TestResult(statistic, chi_square_tail(statistic, 1))


def one_figure_for_all(strata: Sequence[Stratum]) -> TestResult | None:
    """Breslow and Day's test that the odds ratio is the same in every pattern; a small chance says it is not."""
    ratio = common_odds_ratio(strata)
    filled = [s for s in strata if 0 < s.bad_1 + s.bad_2 < s.total and 0 < s.bad_1 + s.good_1 < s.total]
    if ratio is None or len(filled) < 2:
        return None
    statistic = sum(departure(s, ratio) for s in filled)
    return TestResult(statistic, chi_square_tail(statistic, len(filled) - 1))


def departure(s: Stratum, ratio: float) -> float:
    """(seen − fitted)² / variance of bad_1, fitted so that the margins stay and the odds ratio is the common one."""
    first, bad = s.bad_1 + s.good_1, s.bad_1 + s.bad_2
    fitted = fitted_bad(first, bad, s.total, ratio)
    cells = (fitted, first - fitted, bad - fitted, s.total - first - bad + fitted)
    if min(cells) <= 0:
        return 0.0
    return (s.bad_1 - fitted) ** 2 * sum(1 / cell for cell in cells)


def fitted_bad(first: float, bad: float, total: float, ratio: float) -> float:
    """The root of x(total − first − bad + x) = ratio (first − x)(bad − x) that the margins allow."""
    square, straight = 1 - ratio, total - first - bad + ratio * (first + bad)
    root = math.sqrt(straight**2 + 4 * square * ratio * first * bad)
    return 2 * ratio * first * bad / (root + straight)  # the form that also holds at a ratio of 1
