"""How far a rate may be off. One interval is used all through the program: `rate_interval`.

It is Wilson's score interval on the number of castings that the moulds are worth. Wilson's: it stays between 0 and 1,
has width at no scrap at all, and covers close to what it says at small numbers, which the textbook p ± 1.96 s does
not (Brown, Cai, DasGupta, Statistical Science 16 (2001) 101-133). On moulds' worth: castings of one mould fail
together, so twenty bad castings out of five bad moulds tell less than twenty bad ones out of twenty.
Clopper-Pearson's and Jeffreys's stand here to be compared with.
"""

import math
from dataclasses import dataclass

from defectlog.review.distributions import beta_quantile, normal_quantile

CONFIDENCE = 0.95


@dataclass(frozen=True, slots=True)
class Interval:
    """Two ends, each between 0 and 1 for a rate; `low` ≤ `high`."""

    low: float
    high: float


def wilson(rate: float, of: float, confidence: float = CONFIDENCE) -> Interval:
    """Score interval, no continuity correction. `of` may be an effective number and need not be whole.

    E. B. Wilson, J. Am. Stat. Assoc. 22 (1927) 209-212. Raises ValueError for of ≤ 0 or a rate outside 0 to 1.
    """
    refuse(rate, of)
    z2 = normal_quantile(0.5 + confidence / 2) ** 2
    middle = (rate + z2 / (2 * of)) / (1 + z2 / of)
    half = math.sqrt(z2 * (rate * (1 - rate) / of + z2 / (4 * of * of))) / (1 + z2 / of)
    low = 0.0 if rate == 0 else min(max(0.0, middle - half), rate)
    high = 1.0 if rate == 1 else max(min(1.0, middle + half), rate)
    return Interval(low, high)


def clopper_pearson(bad: float, of: float, confidence: float = CONFIDENCE) -> Interval:
    """The exact interval: never covers less than it says, usually more. Raises ValueError as `wilson`."""
    refuse(bad / of if of > 0 else 0.0, of)
    tail = (1 - confidence) / 2
    low = 0.0 if bad <= 0 else beta_quantile(tail, bad, of - bad + 1)
    high = 1.0 if bad >= of else beta_quantile(1 - tail, bad + 1, of - bad)
    return Interval(low, high)


def jeffreys(bad: float, of: float, confidence: float = CONFIDENCE) -> Interval:
    """Equal tails of Beta(bad + ½, good + ½); the end at nothing bad is 0 and at all bad is 1."""
    refuse(bad / of if of > 0 else 0.0, of)
    tail = (1 - confidence) / 2
    low = 0.0 if bad <= 0 else beta_quantile(tail, bad + 0.5, of - bad + 0.5)
    high = 1.0 if bad >= of else beta_quantile(1 - tail, bad + 0.5, of - bad + 0.5)
    return Interval(low, high)


def highest_rate_unseen(of: float, confidence: float = CONFIDENCE) -> float:
    """None bad of `of`: the rate is below this, 1 − (1 − confidence)^(1/of). About 3/of: the rule of three."""
    refuse(0.0, of)
    return -math.expm1(math.log(1 - confidence) / of)


def rate_interval(bad: float, castings: float, design_effect: float = 1.0) -> Interval | None:
    """The program's 95 % interval for a scrap rate; None when nothing was cast.

    `design_effect` (≥ 1, from clusters.py) says how many castings count as one. More bad than cast is a book out of
    balance, reported elsewhere; here it counts as all bad.
    """
    if castings <= 0:
        return None
    return wilson(min(bad / castings, 1.0), castings / max(design_effect, 1.0))


def difference_interval(
    bad_1: float, of_1: float, bad_2: float, of_2: float, confidence: float = CONFIDENCE
) -> Interval:
    """Interval for rate 1 less rate 2, −1 to 1: R. G. Newcombe, Statist. Med. 17 (1998) 873-890, method 10."""
    rate_1, rate_2 = bad_1 / of_1, bad_2 / of_2
    one, two = wilson(rate_1, of_1, confidence), wilson(rate_2, of_2, confidence)
    down = math.hypot(rate_1 - one.low, two.high - rate_2)
    up = math.hypot(one.high - rate_1, rate_2 - two.low)
    return Interval(rate_1 - rate_2 - down, rate_1 - rate_2 + up)


def refuse(rate: float, of: float) -> None:
    if of <= 0 or not 0 <= rate <= 1:
        raise ValueError("an interval needs a rate between 0 and 1 of more than nothing")
