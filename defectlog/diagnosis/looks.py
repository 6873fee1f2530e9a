"""What the look and the place of the bad castings say for or against each cause.

Likelihood ratios from the rule base, averaged over the findings and counted at most three times: twenty findings
of the same look are not twenty independent witnesses.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from defectlog.diagnosis.arrays import Floats
from defectlog.diagnosis.candidates import Candidate
from defectlog.rulebase.shapes import Cause
from defectlog.rulebase.strengths import RATIO

MOST_WITNESSES = 3
# One finding's words may shift a cause by no more than this factor, however much they say.
MOST_FROM_ONE = float(np.log(8))


@dataclass(frozen=True, slots=True)
class Look:
    """What one finding shows: `signs` seen (True) or seen not to be there (False), and `places`, all ids."""

    signs: Mapping[str, bool]
    places: tuple[str, ...] = ()


def look_ratios(candidates: Sequence[Candidate], looks: Sequence[Look]) -> tuple[Floats, Floats]:
    """(candidates,) natural-log likelihood ratios of the looks, and of the places."""
    signs = [item for item in looks if item.signs]
    places = [item for item in looks if item.places]
    return (
        np.array([witnessed([sign_ratio(candidate.cause, item) for item in signs]) for candidate in candidates]),
        np.array([witnessed([place_ratio(candidate.cause, item) for item in places]) for candidate in candidates]),
    )


def witnessed(ratios: Sequence[float]) -> float:
    if not ratios:
        return 0.0
    return float(np.mean(np.clip(ratios, -MOST_FROM_ONE, MOST_FROM_ONE))) * min(len(ratios), MOST_WITNESSES)


def sign_ratio(cause: Cause, look: Look) -> float:
    """A favoured sign seen speaks for the cause, one seen to be missing against it; opposed ones the other way."""
    total = 0.0
    for sign, seen in look.signs.items():
        step = step_of(cause.favoured_by.signs, sign) - step_of(cause.opposed_by.signs, sign)
        total += step if seen else -step / 2
    return total


def place_ratio(cause: Cause, look: Look) -> float:
    return sum(
        step_of(cause.favoured_by.places, place) - step_of(cause.opposed_by.places, place) for place in look.places
    )


def step_of(strengths: Mapping[str, str], name: str) -> float:
    strength = strengths.get(name)
    return float(np.log(RATIO[strength])) if strength else 0.0


def telling_signs(cause: Cause, looks: Sequence[Look], *, favouring: bool) -> tuple[str, ...]:
    """Ids of the signs and places seen that speak for the cause (or against it), the commonest first."""
    side = cause.favoured_by if favouring else cause.opposed_by
    counts: dict[str, int] = {}
    for look in looks:
        for name in [sign for sign, seen in look.signs.items() if seen and sign in side.signs]:
            counts[name] = counts.get(name, 0) + 1
        for name in look.places:
            if name in side.places:
                counts[name] = counts.get(name, 0) + 1
    return tuple(sorted(counts, key=lambda name: (-counts[name], name)))
