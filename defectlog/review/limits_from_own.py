"""Where the shop's own good work lies: the range of a reading that holds 95 % of the units that came out well.

A range is no proof that trouble begins outside it. The units that went wrong are counted against it, so that the
reader sees whether it tells the two apart at all.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from defectlog.review.exact import fisher_exact

SHARE_HELD = 0.95
# Under this many the two ends are single castings' luck. Judgement; at 30 each end rests on the outermost one or two.
FEWEST_UNITS = 30


@dataclass(frozen=True, slots=True)
class ReadUnit:
    """One sand batch, heat, mould or pattern card: its reading (metric), its castings (1 or more) and the bad ones.

    `bad` castings have a defect that the reading can be to blame for; `unclear` ones a finding that names no defect.
    """

    name: str
    value: float
    castings: int
    bad: int
    unclear: int = 0


@dataclass(frozen=True, slots=True)
class OwnRange:
    """The middle `share` of the good units: `low` to `high` in the reading's metric unit, None when too few to tell.

    `usual` is the share (0..1) of castings that are bad over all units; a good unit has no more than that, a bad one
    more, and `unclear` units could be either. `good_below`, `bad_above` … count those strictly outside the range.
    """

    share: float
    usual: float
    good: int
    bad: int
    unclear: int
    low: float | None = None
    high: float | None = None
    good_below: int = 0
    good_above: int = 0
    bad_below: int = 0
    bad_above: int = 0

    @property
    def too_few(self) -> bool:
        return self.low is None

    @property
    def more_needed(self) -> int:
        return max(0, FEWEST_UNITS - self.good)


def own_range(units: Iterable[ReadUnit], share: float = SHARE_HELD) -> OwnRange:
    """The range between the (1 − share)/2 and (1 + share)/2 quantiles of the good units' readings.

    A batch of forty castings with one bad one is good where one in twenty is usual; a single mould with a bad one is
    not. A unit that would be bad only with its unclear castings is left out.
    """
    read = tuple(units)
    usual = usual_share(read)
    good = sorted(unit.value for unit in read if unit.bad + unit.unclear <= usual * unit.castings)
    bad = [unit.value for unit in read if unit.bad > usual * unit.castings]
    unclear = len(read) - len(good) - len(bad)
    if len(good) < FEWEST_UNITS:
        return OwnRange(share, usual, len(good), len(bad), unclear)
    low, high = quantile(good, (1 - share) / 2), quantile(good, (1 + share) / 2)
    return OwnRange(
        share=share,
        usual=usual,
        good=len(good),
        bad=len(bad),
        unclear=unclear,
        low=low,
        high=high,
        good_below=below(good, low),
        good_above=above(good, high),
        bad_below=below(bad, low),
        bad_above=above(bad, high),
    )


def usual_share(units: Iterable[ReadUnit]) -> float:
    """Bad castings over castings of all units together, 0.0 where there are none."""
    read = tuple(units)
    castings = sum(unit.castings for unit in read)
    return sum(unit.bad for unit in read) / castings if castings else 0.0


def quantile(ordered: Sequence[float], share: float) -> float:
    """Between the two neighbours in proportion: definition 7 of Hyndman & Fan, The American Statistician 50 (1996) 361.

    `ordered` rising and not empty, `share` 0 to 1.
    """
    place = share * (len(ordered) - 1)
    before = int(place)
    if before + 1 >= len(ordered):
        return ordered[-1]
    return ordered[before] + (place - before) * (ordered[before + 1] - ordered[before])


def below(values: Iterable[float], end: float) -> int:
    return sum(value < end for value in values)


def above(values: Iterable[float], end: float) -> int:
    return sum(value > end for value in values)


def luck(found: OwnRange, side: str) -> float | None:
    """Were bad units like good ones: the chance of so many bad ones outside on this `side` ("above", "below") or more.

    R. A. Fisher's exact test, one-sided; None where nothing is bad or nothing can be told.
    """
    if found.too_few or not found.bad:
        return None
    outside_good, outside_bad = outside(found, side)
    return fisher_exact(outside_bad, found.bad, outside_good, found.good).more


def outside(found: OwnRange, side: str) -> tuple[int, int]:
    """(good, bad) units beyond the end on this side."""
    return (found.good_below, found.bad_below) if side == "below" else (found.good_above, found.bad_above)
