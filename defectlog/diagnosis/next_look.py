"""Which missing reading would be expected to move the ranking most, if somebody found or took it.

The gain is the expected fall in the entropy of the shares, in bits: how many of the units with no reading would prove
to be past the limit if the cause were the right one, against how many if it were not.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from defectlog.diagnosis.arrays import Floats
from defectlog.diagnosis.hypotheses import Field
from defectlog.diagnosis.likelihood import chance_on
from defectlog.diagnosis.ranking import Ranked, Ranking

# Units are nearly exchangeable when it comes to what they would teach, so more of them than this adds nothing.
MOST_UNITS = 40
# Bits that are not worth asking anybody for.
LEAST_GAIN = 0.01
# How often a look at the thing itself tells rightly whether a cause is on. Judgement: a careful hand, no laboratory.
CHECK_TELLS_RIGHT = 0.85


@dataclass(frozen=True, slots=True)
class NextLook:
    """`reading`, which shows `cause`, is on record for `on_record` of `of` units; `gain_bits` if all the rest were.

    A cause that leaves no reading has a `check` instead, and the gain is that of looking once.
    """

    reading: str
    cause: str
    unit: str
    on_record: int
    of: int
    gain_bits: float
    check: str = ""


def next_looks(field: Field, ranking: Ranking, most: int = 3) -> tuple[NextLook, ...]:
    """The missing readings worth most, best first; what would add next to nothing is left out."""
    found: dict[str, NextLook] = {}
    for ranked in ranking.causes:
        look = look_for(field, ranked)
        if look is not None and look.gain_bits > found.get(look.reading, look).gain_bits - 1e-12:
            found[look.reading] = look
    checks = [check for ranked in ranking.causes if (check := check_for(ranked)) is not None]
    ordered = sorted([*found.values(), *checks], key=lambda look: (-look.gain_bits, look.reading, look.cause))
    return tuple(look for look in ordered if look.gain_bits >= LEAST_GAIN)[:most]


def look_for(field: Field, ranked: Ranked) -> NextLook | None:
    cause, states = ranked.candidate.cause, ranked.states
    if cause.reading is None or ranked.candidate.limit is None or states is None:
        return None
    # Nothing can tell more about a cause than there is doubt about it.
    if entropy(np.array([ranked.share, 1 - ranked.share])) < LEAST_GAIN:
        return None
    missing = np.isnan(states.values)
    if not missing.any():
        return None
    likelihood = field.likelihood(cause.acts_at)
    if_cause = chance_on(likelihood, np.clip(states.chance, 1e-6, 1 - 1e-6), field.grid)[missing]
    otherwise = states.blanked[missing]
    return NextLook(
        reading=cause.reading.quantity,
        cause=cause.id,
        unit=cause.acts_at,
        on_record=int((~missing).sum()),
        of=len(missing),
        gain_bits=expected_gain(ranked.share, if_cause, otherwise),
    )


def check_for(ranked: Ranked) -> NextLook | None:
    """The cheapest check of a cause that no reading shows, as a yes or no that is usually right."""
    cause = ranked.candidate.cause
    if cause.look_next is None or (cause.reading is not None and ranked.candidate.limit is not None):
        return None
    yes = CHECK_TELLS_RIGHT
    gain = expected_gain(ranked.share, np.array([yes]), np.array([1 - yes]))
    return NextLook("", cause.id, cause.acts_at, 0, 0, gain, cause.look_next.check)


def expected_gain(share: float, if_cause: Floats, otherwise: Floats) -> float:
    """Mutual information, in bits, between "it is this cause" and how many of the units would be past the limit.

    The units that differ most are taken; their count past the limit is Poisson-binomial under either story.
    """
    telling = np.argsort(-np.abs(if_cause - otherwise))[:MOST_UNITS]
    with_cause = count_distribution(if_cause[telling])
    without = count_distribution(otherwise[telling])
    mixed = share * with_cause + (1 - share) * without
    return max(entropy(mixed) - share * entropy(with_cause) - (1 - share) * entropy(without), 0.0)


def count_distribution(chances: Sequence[float] | Floats) -> Floats:
    """(n + 1,) distribution of the number of successes among independent trials of unequal chance."""
    total = np.ones(1)
    for chance in chances:
        total = np.convolve(total, [1 - chance, chance])
    return total


def entropy(shares: Floats) -> float:
    """In bits."""
    kept = shares[shares > 1e-300]
    return float(-(kept * np.log2(kept)).sum())
