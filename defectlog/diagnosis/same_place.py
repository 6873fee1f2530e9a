"""Always the same impression, or wandering: the counts in moulds, and the odds that luck alone did it."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, lgamma, log

import numpy as np

from defectlog.diagnosis.evidence import Evidence
from defectlog.diagnosis.impressions import impression_moulds

# Below this the tail is taken from its first term: one minus a number that close to one has no digits left.
SMALLEST_BY_DIFFERENCE = 1e-6


@dataclass(frozen=True, slots=True)
class SamePlace:
    """`impressions`: number on the plate → moulds in which it was bad. `odds_of_luck` of so uneven a count, or more."""

    impressions: dict[int, int]
    odds_of_luck: float | None
    not_on_record: int


def same_place(evidence: Evidence, defect: str) -> SamePlace | None:
    """None for a plate of one impression. The odds are None while no impression is on record."""
    if evidence.impressions < 2:
        return None
    counts = [int(count) for count in impression_moulds(evidence, defect)]
    placed = range(1, evidence.impressions + 1)
    unplaced = sum(item.impression not in placed for item in evidence.findings_of(defect))
    odds = odds_of_luck(counts) if sum(counts) else None
    return SamePlace({number + 1: count for number, count in enumerate(counts)}, odds, unplaced)


def odds_of_luck(counts: Sequence[int]) -> float:
    """P(the fullest of k equal boxes holds as many as seen, or more), for `sum(counts)` balls thrown at random.

    Exact, by Levin's representation of the multinomial as Poisson counts given their sum (B. Levin, Annals of
    Statistics 9 (1981) 1123–1126); for very small odds the first Bonferroni term, which is then exact to many digits.
    """
    boxes, balls, most = len(counts), sum(counts), max(counts)
    if boxes < 2 or most <= -(-balls // boxes):
        return 1.0
    first_term = boxes * binomial_tail(balls, 1 / boxes, most)
    if first_term < SMALLEST_BY_DIFFERENCE:
        return first_term
    return float(min(max(1.0 - all_below(balls, boxes, most), 0.0), 1.0))


def all_below(balls: int, boxes: int, most: int) -> float:
    """P(every box holds fewer than `most`)."""
    mean = balls / boxes
    one = np.array([exp(count * log(mean) - mean - lgamma(count + 1)) for count in range(most)])
    total = np.ones(1)
    for _ in range(boxes):
        total = np.convolve(total, one)[: balls + 1]
    if len(total) <= balls:
        return 0.0
    return float(total[balls] / exp(balls * log(balls) - balls - lgamma(balls + 1)))


def binomial_tail(trials: int, chance: float, least: int) -> float:
    """P(X ≥ least), summed from the small end."""
    terms = [
        exp(
            lgamma(trials + 1)
            - lgamma(count + 1)
            - lgamma(trials - count + 1)
            + count * log(chance)
            + (trials - count) * log(1 - chance)
        )
        for count in range(least, trials + 1)
    ]
    return sum(reversed(terms))
