"""Control charts: where the points of an unchanged process fall, and which points do not.

A point exactly on a limit is inside. Limits are given as they come out of the formula: a lower one below nothing means
that there is none. Formulas: NIST/SEMATECH e-Handbook of Statistical Methods, 6.3; D. C. Montgomery, Introduction to
Statistical Quality Control, chapter 7; for the p′ chart D. B. Laney, Quality Engineering 14 (2002) 531-537.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

# Mean moving range of two over standard deviation, normal points.
MOVING_RANGE_FACTOR = 1.128
# Days between rare events are made nearly normal by this power (L. S. Nelson, J. Qual. Technol. 26 (1994) 239-240).
TIME_POWER = 1 / 3.6
SIGMAS = 3.0


@dataclass(frozen=True, slots=True)
class Chart:
    """`points`, their `centre`, and a `lower` and `upper` limit for each. `sigmas` are one standard deviation each."""

    points: tuple[float, ...]
    centre: float
    sigmas: tuple[float, ...]
    lower: tuple[float, ...]
    upper: tuple[float, ...]

    @property
    def outside(self) -> tuple[int, ...]:
        """Positions, counted from 1, of the points beyond a limit."""
        rows = zip(self.points, self.lower, self.upper, strict=True)
        return tuple(place for place, (point, low, high) in enumerate(rows, start=1) if not low <= point <= high)

    @property
    def scores(self) -> tuple[float, ...]:
        """How many standard deviations each point lies from the centre; 0 where nothing could vary."""
        pairs = zip(self.points, self.sigmas, strict=True)
        return tuple((point - self.centre) / sigma if sigma > 0 else 0.0 for point, sigma in pairs)


def chart(points: Sequence[float], centre: float, sigmas: Sequence[float], wide: float = SIGMAS) -> Chart:
    lower = tuple(centre - wide * sigma for sigma in sigmas)
    upper = tuple(centre + wide * sigma for sigma in sigmas)
    return Chart(tuple(points), centre, tuple(sigmas), lower, upper)


def p_chart(bad: Sequence[float], of: Sequence[float], centre: float | None = None, widen: float = 1.0) -> Chart:
    """Share bad, each point with its own number. `centre` when it is already known; `widen` is Laney's σz."""
    middle = sum(bad) / sum(of) if centre is None else centre
    sigmas = [widen * math.sqrt(middle * (1 - middle) / number) for number in of]
    return chart([count / number for count, number in zip(bad, of, strict=True)], middle, sigmas)


def u_chart(events: Sequence[float], units: Sequence[float], centre: float | None = None) -> Chart:
    """Events per unit, where one unit can have several. With one unit a point it is the c chart."""
    middle = sum(events) / sum(units) if centre is None else centre
    sigmas = [math.sqrt(middle / number) for number in units]
    return chart([count / number for count, number in zip(events, units, strict=True)], middle, sigmas)


def c_chart(events: Sequence[float]) -> Chart:
    return u_chart(events, [1.0] * len(events))


def moving_range(points: Sequence[float]) -> float:
    """Mean distance from each point to the next. Raises ValueError for fewer than two points."""
    if len(points) < 2:
        raise ValueError("a moving range needs two points")
    return sum(abs(after - before) for before, after in pairwise(points)) / (len(points) - 1)


def laney_sigma(scores: Sequence[float]) -> float:
    """Laney's σz: how much wider the points lie than counting alone makes them. About 1 when counting is all."""
    return moving_range(scores) / MOVING_RANGE_FACTOR


def laney_chart(bad: Sequence[float], of: Sequence[float]) -> Chart:
    """The p′ chart: a p chart widened (or narrowed) by σz."""
    plain = p_chart(bad, of)
    return p_chart(bad, of, widen=laney_sigma(plain.scores))


def individuals_chart(points: Sequence[float]) -> Chart:
    """Readings one by one (XmR): the spread is taken from the moving range, so that a step does not widen it."""
    sigma = moving_range(points) / MOVING_RANGE_FACTOR
    return chart(points, sum(points) / len(points), [sigma] * len(points))


def gap_limits(rate: float, chance: float) -> tuple[float, float]:
    """g chart by probability: the good ones in a row between bad ones, as short and as long as `chance` allows.

    Gaps are geometric: P(gap ≥ n) = (1 − rate)^n. The first is often 0: no gap is then too short by itself.
    Raises ValueError for a rate outside 0 to 1.
    """
    if not 0 < rate < 1:
        raise ValueError("gaps need a rate above 0 and below 1")
    shortest = math.log1p(-chance) / math.log1p(-rate)
    return float(math.floor(shortest)), float(math.ceil(math.log(chance) / math.log1p(-rate)))


def g_chart(gaps: Sequence[float], chance: float = 0.00135) -> Chart:
    """Good moulds between moulds with scrap, at the rate that the gaps themselves show (1 / (1 + mean gap))."""
    mean = sum(gaps) / len(gaps)
    if mean <= 0:
        raise ValueError("there is no gap to chart")
    low, high = gap_limits(1 / (1 + mean), chance)
    sigma = math.sqrt(mean * (1 + mean))
    count = len(gaps)
    return Chart(tuple(gaps), mean, (sigma,) * count, (low,) * count, (high,) * count)


def t_chart(days: Sequence[float]) -> Chart:
    """Days between rare events: an individuals chart of days^(1/3.6), turned back into days.

    `centre` and limits are in days; `sigmas` stay on the scale on which the points are nearly normal.
    """
    straight = individuals_chart([day**TIME_POWER for day in days])
    back = 1 / TIME_POWER
    lower = tuple(max(value, 0.0) ** back for value in straight.lower)
    upper = tuple(value**back for value in straight.upper)
    return Chart(tuple(days), straight.centre**back, straight.sigmas, lower, upper)
