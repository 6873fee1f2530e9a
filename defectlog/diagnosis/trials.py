"""The trial that would tell two causes apart, in the shop's own terms, and how many moulds it takes.

Causes that were on and off together in the records can only be parted by moulding with one of them changed and the
other not, on the same day, from the same plate.
"""

from dataclasses import dataclass
from math import asin, ceil, sqrt

import numpy as np

from defectlog.diagnosis.hypotheses import Field
from defectlog.diagnosis.likelihood import chance_on
from defectlog.diagnosis.ranking import Ranked

# One-sided 5 % and four chances in five of seeing it: the standard normal quantiles.
AT_LEVEL, WITH_POWER = 1.6449, 0.8416
FEWEST, MOST = 5, 300

TRIALS = {
    ("sand", "sand"): "mull two batches alike but for one of the two, and mould this plate from both on one day",
    ("heat", "heat"): "melt two heats alike but for one of the two, and pour moulds of one batch of sand from both",
    ("mould", "mould"): "make moulds by turns with only one of the two changed, from one batch, poured from one heat",
    (
        "moulder",
        "moulder",
    ): "let one moulder make moulds by turns, with only one of the two changed, from one batch of sand",
    ("pattern", "pattern"): "split the plate: change only one of the two, on half of its impressions",
    (
        "heat",
        "sand",
    ): "split the heat: pour moulds of two batches of sand from one heat, and of one batch from two heats",
    ("mould", "sand"): "make moulds from one batch of sand, half with the moulding changed and half as usual",
    ("moulder", "sand"): "same sand, two moulders: both mould this plate from one batch on one day",
    ("pattern", "sand"): "split the plate: change half of its impressions and mould it from one batch of sand",
    ("heat", "mould"): "pour one heat into moulds made both ways, turn and turn about",
    ("heat", "moulder"): "pour one heat into moulds of two moulders, turn and turn about",
    ("heat", "pattern"): "split the plate: change half of its impressions and pour it from one heat",
    ("mould", "moulder"): "let one moulder make moulds both ways, turn and turn about",
    ("mould", "pattern"): "split the plate: change half of its impressions and make the moulds alike",
    ("moulder", "pattern"): "split the plate: change half of its impressions and let one moulder make the moulds",
}
WITH_AN_IMPRESSION = "look at each impression by its number: only a fault of one impression stays with the number"


@dataclass(frozen=True, slots=True)
class Trial:
    """What to do, against which other cause, and moulds needed on each side (None: more than is worth pouring)."""

    rival: str
    do: str
    moulds_each: int | None


def trial_between(field: Field, leader: Ranked, rival: Ranked) -> Trial:
    levels = sorted((leader.candidate.cause.acts_at, rival.candidate.cause.acts_at))
    do = WITH_AN_IMPRESSION if "impression" in levels else TRIALS[(levels[0], levels[1])]
    on, off = mould_rates(field, leader)
    return Trial(rival.candidate.id, do, moulds_each(on, off))


def mould_rates(field: Field, leader: Ranked) -> tuple[float, float]:
    """Share of moulds with the defect where the leader was on, and where it was off, each half a mould off nothing."""
    bad = (field.bad > 0).astype(np.float64)
    if leader.states is None:
        return float(bad.mean()), 0.5 / (len(bad) + 1)
    level = leader.candidate.cause.acts_at
    on = chance_on(field.likelihood(level), leader.states.chance, field.grid)[field.evidence.units[level].codes]
    return (
        float(((bad * on).sum() + 0.5) / (on.sum() + 1)),
        float(((bad * (1 - on)).sum() + 0.5) / ((1 - on).sum() + 1)),
    )


def moulds_each(on: float, off: float) -> int | None:
    """Moulds on each side to see rate `on` against `off`: 2 · ((z_α + z_β) / (2 asin √on − 2 asin √off))².

    J. Cohen, Statistical Power Analysis for the Behavioral Sciences, 2nd ed. (1988), section 6.4 (from memory).
    """
    apart = 2 * asin(sqrt(min(max(on, 0.0), 1.0))) - 2 * asin(sqrt(min(max(off, 0.0), 1.0)))
    if apart <= 0:
        return None
    needed = max(ceil(2 * ((AT_LEVEL + WITH_POWER) / apart) ** 2), FEWEST)
    return needed if needed <= MOST else None
