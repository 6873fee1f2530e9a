"""How likely each unit is to have a cause switched on, given what is on record for it: the z of the reasoning.

With a reading, a soft step at the limit; without one, what the hand test says, or the share of the shop's own units
that are on; where no reading is possible, the rule base's usual share. Nothing is ever certain: readings are wrong and
limits are soft.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from defectlog.diagnosis.arrays import Flags, Floats
from defectlog.diagnosis.candidates import Candidate
from defectlog.diagnosis.evidence import HAND_CODES, HAND_TEST, YES_NO_READINGS, Evidence, Grouping
from defectlog.diagnosis.neighbours import Usual, alike, like_neighbours
from defectlog.rulebase.shapes import Limit, ReadingRule

LEAST_CHANCE, MOST_CHANCE = 0.02, 0.98
# Sand, melt and moulding of one day are like those of the next; a moulder and a plate are one throughout.
HANDED_ON = ("sand", "heat", "mould")
# How many of the shop's own readings weigh as much as the rule base's usual share. Judgement: a fortnight of batches.
USUAL_SHARE_COUNTS_AS = 10.0
# How often a squeezed handful shows a cause that is there, and how often it seems to show one that is not. Judgement: a
# hand tells sand that sticks or crumbles, but not by how much, nor which of several causes it is.
HAND_SHOWS, HAND_MISLEADS = 0.7, 0.1
# The limit that holds in this shop may lie a softness to either side of the handbook's, and nobody knows which: all
# three are tried, as likely as each other. That is the greater part of the softness; so much is left once the limit is
# settled (measuring error, and how gradually things go wrong). On simulated shops (tests/bench/bench_why.py, 200 a
# condition) this found the cause in up to five more of a hundred, and called something out no oftener for no reason.
SHOPS_LIMITS, SOFTNESS_LEFT = (-1.0, 0.0, 1.0), 0.7


@dataclass(frozen=True, slots=True)
class States:
    """(units,) chance that the cause is on with the readings on record, the same with all blanked, and the readings.

    `values` is nan where nothing is on record for the unit; `out` marks readings past the limit; `hand` (units,) is 1
    where the hand test shows the cause, 0 where it does not, nan where nobody squeezed a handful. `usual`: what the
    shop's other readings say of a unit that was not measured.
    """

    chance: Floats
    blanked: Floats
    values: Floats
    out: Flags
    hand: Floats
    usual: Usual


def soft_step(values: Floats, limit: Limit) -> Floats:
    """z = logistic(side · (v − limit) / softness), held inside [0.02, 0.98]."""
    sign = 1.0 if limit.side == "above" else -1.0
    steps = np.clip(sign * (values - limit.value) / max(limit.softness, 1e-9), -50, 50)
    return np.clip(1 / (1 + np.exp(-steps)), LEAST_CHANCE, MOST_CHANCE)


def share_on(candidate: Candidate, shop_readings: Mapping[str, Sequence[float]]) -> float:
    """Share of the shop's units of that kind that are on, started at the rule base's usual share."""
    return float(shares_on(candidate, alike(of_shop(candidate, shop_readings), 1))[0])


def of_shop(candidate: Candidate, shop_readings: Mapping[str, Sequence[float]]) -> Floats:
    reading = candidate.cause.reading
    return np.array(shop_readings.get(reading.quantity, ()) if reading else (), dtype=np.float64)


def shares_on(candidate: Candidate, usual: Usual) -> Floats:
    """(units,) share on of units like each one, by the shop's readings as they count for it."""
    share, limit = candidate.cause.usual_share, candidate.limit
    if limit is None or not len(usual.readings):
        return np.full(len(usual.kinds), share)
    on = usual.counts @ soft_step(usual.readings, limit) + USUAL_SHARE_COUNTS_AS * share
    whole = usual.counts.sum(axis=1) + USUAL_SHARE_COUNTS_AS
    return np.asarray(np.clip(on / whole, LEAST_CHANCE, MOST_CHANCE)[usual.kinds])


def usual_of(candidate: Candidate, evidence: Evidence, values: Floats, readings: Floats) -> Usual:
    """What the shop's readings say of each unit: those that are like its neighbours in time count more."""
    reading, level = candidate.cause.reading, candidate.cause.acts_at
    measures = reading is not None and reading.quantity not in YES_NO_READINGS
    if not measures or level not in HANDED_ON or not np.isnan(values).any():
        return alike(readings, len(values))
    grouping = evidence.units[level]
    days = np.zeros(len(values), dtype=np.int64)
    days[grouping.codes] = np.array([day.toordinal() for day in evidence.day_names])[evidence.days]
    return like_neighbours(values, days, readings)


def unit_values(grouping: Grouping, per_mould: Floats) -> Floats:
    """(units,) the reading of each unit: the mean of what its moulds say, nan where none says anything."""
    known = ~np.isnan(per_mould)
    size = len(grouping.names)
    count = np.bincount(grouping.codes[known], minlength=size)
    total = np.bincount(grouping.codes[known], weights=per_mould[known], minlength=size)
    return np.where(count > 0, total / np.maximum(count, 1), np.nan)


def states_of(candidate: Candidate, evidence: Evidence, shop_readings: Mapping[str, Sequence[float]]) -> States:
    """The states of every unit at which the candidate acts (not for causes that act at an impression)."""
    grouping = evidence.units[candidate.cause.acts_at]
    readings = of_shop(candidate, shop_readings)
    size = len(grouping.names)
    blanked, nowhere = np.full(size, share_on(candidate, shop_readings)), np.full(size, np.nan)
    reading, limit = candidate.cause.reading, candidate.limit
    if reading is None or limit is None:
        return States(blanked, blanked, nowhere, np.zeros(size, dtype=np.bool_), nowhere, alike(readings, size))
    values = unit_values(grouping, evidence.readings.get(reading.quantity, np.full(len(grouping.codes), np.nan)))
    hand = hand_test(reading, grouping, evidence)
    known = ~np.isnan(values)
    if not known.any() and np.isnan(hand).all():
        return States(blanked, blanked, nowhere, np.zeros(size, dtype=np.bool_), nowhere, alike(readings, size))
    beyond = values > limit.value if limit.side == "above" else values < limit.value
    usual = usual_of(candidate, evidence, values, readings)
    found = chances(values, hand, limit, shares_on(candidate, usual))
    return States(found, blanked, values, known & beyond, hand, usual)


def hand_test(reading: ReadingRule, grouping: Grouping, evidence: Evidence) -> Floats:
    """(units,) 1 where a squeezed handful does what it does where the cause is there, 0 where it does not."""
    tested = unit_values(grouping, evidence.readings.get(HAND_TEST, np.full(len(grouping.codes), np.nan)))
    if not reading.hand_test:
        return np.full(len(tested), np.nan)
    return np.where(np.isnan(tested), np.nan, (tested == HAND_CODES[reading.hand_test]).astype(np.float64))


def chances(values: Floats, hand: Floats, limit: Limit, share: Floats) -> Floats:
    """(units,) by the reading where there is one, else by the hand test, else the usual `share` (units,)."""
    unread = np.where(np.isnan(hand), share, after_hand_test(hand, share))
    return np.where(np.isnan(values), unread, soft_step(np.where(np.isnan(values), limit.value, values), limit))


def after_hand_test(hand: Floats, share: Floats) -> Floats:
    """The share after a hand test, by Bayes' rule."""
    there = np.where(hand > 0, HAND_SHOWS, 1 - HAND_SHOWS) * share
    not_there = np.where(hand > 0, HAND_MISLEADS, 1 - HAND_MISLEADS) * (1 - share)
    return np.asarray(there / (there + not_there))


def chances_by_limit(candidate: Candidate, states: States) -> Iterator[Floats]:
    """(units,) chances that the cause is on, for each limit that may be this shop's; once where nothing was read."""
    limit = candidate.limit
    if limit is None or np.isnan(states.values).all():
        yield states.chance
        return
    for steps in SHOPS_LIMITS:
        value, softness = limit.value + steps * limit.softness, SOFTNESS_LEFT * limit.softness
        here = replace(limit, value=value, softness=softness)
        yield chances(states.values, states.hand, here, shares_on(replace(candidate, limit=here), states.usual))
