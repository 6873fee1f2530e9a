"""From evidence to shares: what each part adds, in bits, and how sure the whole is.

    score(c) = handbook + looks + place + spread + readings + history        bits, log2
    share(c) = stands out × softmax(score)                                   with a small floor

Two questions are answered apart: does anything stand out at all, and if so, in which order.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from defectlog.diagnosis.arrays import Floats
from defectlog.diagnosis.candidates import Candidate
from defectlog.diagnosis.hypotheses import Told
from defectlog.diagnosis.rates import log_sum
from defectlog.diagnosis.recurrence import Prior
from defectlog.diagnosis.states import States

# The chance, before looking, that anything at all stands out. With it at a half, shops with nothing wrong were told so.
STANDS_OUT_BEFORE = 0.5
# Of that, what is set aside for causes that the rule base does not know or that nobody recorded.
SOMETHING_ELSE_BEFORE = 0.15
# Taken off every share and spread evenly, so that no cause is ever ruled out by arithmetic alone.
FLOOR_IN_ALL = 0.02
# 1 counts the evidence in full, less guards against overconfidence; 1 served best with ρ in place.
TEMPER = 1.0
BIT = float(np.log(2))


@dataclass(frozen=True, slots=True)
class Parts:
    """What each kind of evidence adds to a cause's score, in bits."""

    handbook: float
    looks: float
    place: float
    spread: float
    readings: float
    history: float

    @property
    def total(self) -> float:
        return self.handbook + self.looks + self.place + self.spread + self.readings + self.history


@dataclass(frozen=True, slots=True)
class Ranked:
    candidate: Candidate
    share: float
    parts: Parts
    states: States | None


@dataclass(frozen=True, slots=True)
class Ranking:
    """Causes by share; shares and `unexplained` add up to one. `latent`: level → share of "something at this level"."""

    causes: tuple[Ranked, ...]
    stands_out: float
    unexplained: float
    latent: dict[str, float]


def rank(
    told: Sequence[Told],
    prior: Prior,
    looks: Floats,
    places: Floats,
    latent: dict[str, float],
    nothing: float,
    *,
    with_history: bool = True,
) -> Ranking:
    """`looks`, `places` (candidates,): natural-log likelihood ratios; `latent`, `nothing`: log evidence.

    With no candidate at all (a shop's own defect that no cause explains yet) whatever stands out stays unexplained.
    """
    parts = [
        parts_of(item, index, prior, looks, places, nothing, with_history=with_history)
        for index, item in enumerate(told)
    ]
    shares_before = prior.with_history if with_history else prior.handbook
    # Looks and places say which cause it is, not whether there is one: they only move weight between candidates.
    log_prior = np.log(shares_before) + looks + places
    if told:
        log_prior += np.log(1 - SOMETHING_ELSE_BEFORE) - log_sum(log_prior)
    log_causes = log_prior + TEMPER * (np.array([item.log_evidence for item in told]) - nothing)
    log_latent = TEMPER * (np.array(list(latent.values())) - nothing) + np.log(SOMETHING_ELSE_BEFORE / len(latent))
    scores = np.concatenate([log_causes, log_latent])
    something = float(log_sum(scores))
    stands_out = float(
        1 / (1 + np.exp(-np.clip(something + np.log(STANDS_OUT_BEFORE / (1 - STANDS_OUT_BEFORE)), -700, 700)))
    )
    conditional = (1 - FLOOR_IN_ALL) * np.exp(scores - something) + FLOOR_IN_ALL / len(scores)
    shares = stands_out * conditional
    ranked = [
        Ranked(item.candidate, float(shares[index]), parts[index], item.states) for index, item in enumerate(told)
    ]
    ranked.sort(key=lambda item: (-item.share, item.candidate.id))
    levels = {level: float(shares[len(told) + index]) for index, level in enumerate(latent)}
    return Ranking(tuple(ranked), stands_out, float(1 - shares[: len(told)].sum()), levels)


def parts_of(
    item: Told, index: int, prior: Prior, looks: Floats, places: Floats, nothing: float, *, with_history: bool
) -> Parts:
    even = 1 / len(prior.handbook)
    history = np.log(prior.with_history[index] / prior.handbook[index]) if with_history else 0.0
    return Parts(
        handbook=float(np.log(prior.handbook[index] / even)) / BIT,
        looks=float(looks[index]) / BIT,
        place=float(places[index]) / BIT,
        spread=TEMPER * (item.log_blanked - nothing) / BIT,
        readings=TEMPER * (item.log_evidence - item.log_blanked) / BIT,
        history=float(history) / BIT,
    )
