"""The best that could be said of a simulated shop: a ranking that knows how the shop was made.

It knows this pattern's own rate and the rate under the fault, how the fault rises past its limit and how far the limit
may be shifted, how often days are bad and labels wrong, how readings spread, are measured and drift. It does not know
which cause was planted, which days were bad, which way the limit was shifted, or a reading that was not taken; over
those it averages. Every candidate is as likely as the condition plants it. It looks at this pattern's castings alone.

Three things it leaves out: what one reading tells of another that is missing; that the true readings of two batches are
still alike after the measured ones are known; and that in these shops a reading past its limit most of the time is
always a harmless one. The last is an accident of how they are made, and alone would find the cause in ten more of a
hundred shops. Where two causes are planted it knows that there are two, and weighs
every pair: each of the two in full, beside what is to be expected of the other from its readings.
"""

from dataclasses import dataclass, replace
from functools import cached_property
from itertools import product

import numpy as np

from defectlog.diagnosis.arrays import Floats, Ints
from defectlog.diagnosis.candidates import Candidate
from defectlog.diagnosis.ranking import STANDS_OUT_BEFORE
from defectlog.diagnosis.rates import log_sum
from tests.bench import shops
from tests.bench.known_readings import STEPS, KnownReadings
from tests.bench.rankings import Case, Said, field_of

SHARES_UNSEEN = np.linspace(*shops.UNSEEN_SHARE, 5)
# Off and on rates tried where they are not known.
RATES_TRIED = (7, 6)


def by_oracle(case: Case) -> Said:
    known = Known(case)
    return said_of(case, known.log_of_causes(), known.log_constant(np.zeros(1)))


def by_oracle_without_rates(case: Case) -> Said:
    """The same, but the two rates are known no better than `why` knows them: by the shop's other patterns.

    No shop knows them: what is missing to this is missing for want of reasoning.
    """
    grid, logs, nothing, weights = field_of(case).grid, [], [], []
    for off, on in product(*map(spread_out, (len(grid.off), len(grid.on)), RATES_TRIED)):
        if grid.on[on] > grid.off[off]:
            shop = replace(case.shop, base_rate=float(grid.off[off]), on_rate=float(grid.on[on]))
            known = Known(replace(case, shop=shop))
            logs.append(known.log_of_causes())
            nothing.append(known.log_constant(np.zeros(1)))
            weights.append(grid.log_pair[off, on])
    before = np.array(weights) - log_sum(np.array(weights))
    averaged = log_sum(np.array(logs) + before[:, None], axis=0)
    return said_of(case, averaged, log_sum(np.array(nothing) + before))


def spread_out(size: int, number: int) -> Ints:
    """So many evenly spaced points of a grid, both ends among them."""
    return np.linspace(0, size - 1, number).round().astype(np.int64)


def said_of(case: Case, log_of_causes: Floats, nothing: Floats | float) -> Said:
    logs = log_of_causes + log_planted(case)
    shares = np.exp(logs - log_sum(logs))
    odds = log_sum(logs) - nothing + np.log(STANDS_OUT_BEFORE / (1 - STANDS_OUT_BEFORE))
    stands_out = float(1 / (1 + np.exp(-np.clip(odds, -700, 700))))
    found = {item.id: float(share) * stands_out for item, share in zip(case.candidates, shares, strict=True)}
    return Said(tuple(sorted(found, key=lambda cause: -found[cause])), found, stands_out)


def log_planted(case: Case) -> Floats:
    """(candidates,) how likely each is to be planted; of two, the first."""
    even = not case.shop.condition.as_named
    weights = np.array([1.0 if even else candidate.weight for candidate in case.candidates])
    return np.asarray(np.log(weights / weights.sum()))


@dataclass(frozen=True)
class Known(KnownReadings):
    """One case seen with the shop's true figures. `beside` (moulds,): how strongly a second cause is to be expected."""

    beside: Floats | None = None

    def log_of_causes(self) -> Floats:
        """(candidates,) log evidence of each cause, over all that may be planted with it."""
        candidates = self.case.candidates
        if self.case.shop.condition.planted < 2:
            return np.array([self.log_evidence(candidate) for candidate in candidates])
        pairs = np.full((len(candidates), len(candidates)), -np.inf)
        planted = log_planted(self.case)
        for second, other in enumerate(candidates):
            beside = replace(self, beside=self.expected_state(other))
            for first, candidate in enumerate(candidates):
                if first != second:
                    pairs[first, second] = beside.log_evidence(candidate) + planted[second]
        return log_sum(np.logaddexp(pairs, pairs.T), axis=1)

    def expected_state(self, candidate: Candidate) -> Floats:
        """(moulds,) how strongly the cause is on, from its readings alone."""
        level, moulds = candidate.cause.acts_at, len(self.case.bad)
        if candidate.limit is None or candidate.cause.reading is None:
            usual = {"pattern": 1.0, "moulder": 1 / 3, "impression": 1 / self.case.evidence.impressions}
            return np.full(moulds, usual.get(level, float(SHARES_UNSEEN.mean())))
        by_limit = np.mean(self.responses(), axis=0)
        return np.asarray((self.true_steps(candidate) @ by_limit)[self.case.evidence.units[level].codes])

    def responses(self) -> list[Floats]:
        """(STEPS,) how strongly a cause is on at each step, with the limit shifted one way and the other."""
        condition = self.case.shop.condition
        return [shops.response(STEPS - way * condition.limit_shift, smooth=condition.smooth) for way in (-1.0, 1.0)]

    def log_evidence(self, candidate: Candidate) -> float:
        """log P(castings | the cause, and its readings), limit shifted either way."""
        if candidate.cause.acts_at == "impression":
            return self.log_impression()
        if candidate.limit is None or candidate.cause.reading is None:
            return self.log_unseen(candidate.cause.acts_at)
        weights, log_card = self.true_steps(candidate), self.log_card(candidate)
        codes = self.case.evidence.units[candidate.cause.acts_at].codes
        logs = [self.log_castings(codes, weights, each) for each in self.responses()]
        return log_card + float(log_sum(np.array(logs))) - float(np.log(2))

    def of_moulds(self, rates: Floats) -> Floats:
        """(moulds, bad day or not, states) log chance of each mould's castings."""
        bad, castings = self.case.bad, self.case.evidence.castings
        return np.asarray(bad[:, None, None] * np.log(rates) + (castings - bad)[:, None, None] * np.log1p(-rates))

    def rates(self, states: Floats) -> Floats:
        """(bad day or not, states) chance that a casting is labelled with the defect; by moulds if a second is on."""
        shop, wrong = self.case.shop, self.case.shop.condition.mislabelled
        odds = shop.base_rate / (1 - shop.base_rate) * np.array([1.0, shops.BAD_DAY_ODDS])[:, None]
        base = odds / (1 + odds)
        harm = np.maximum((shop.on_rate - base) / (1 - base), 0.0)
        sound = (1 - base) * (1 - states * harm)
        if self.beside is not None:
            sound = sound * (1 - self.beside[:, None, None] * harm)
        return np.asarray((1 - sound) * (1 - wrong) + sound * shops.OTHER_DEFECT * wrong)

    @cached_property
    def log_days(self) -> Floats:
        """(2,) log chance of an ordinary and of a bad day."""
        bad = max(self.case.shop.condition.bad_days, 1e-12)
        return np.log([1 - bad, bad])

    def log_castings(self, codes: Ints, weights: Floats, states: Floats) -> float:
        """log P(castings): `codes` (moulds,) units, `weights` (units, states) chance of each state.

        A unit's moulds share its state, and a day's moulds share whether it was bad. A unit of several days (a moulder,
        the pattern) keeps its state over all of them.
        """
        evidence, of_mould = self.case.evidence, self.of_moulds(self.rates(states))
        days = len(evidence.day_names)
        with np.errstate(divide="ignore"):
            log_weights = np.log(weights)
        if len(np.unique(evidence.days * len(weights) + codes)) == len(np.unique(codes)):
            of_unit = added(of_mould, codes, len(weights))
            mixed = log_sum(of_unit + log_weights[:, None, :], axis=2)
            day_of_unit = np.zeros(len(weights), dtype=np.int64)
            day_of_unit[codes] = evidence.days
            return float(log_sum(added(mixed, day_of_unit, days) + self.log_days, axis=1).sum())
        return sum(
            self.log_lasting(of_mould[codes == unit], evidence.days[codes == unit], log_weights[unit])
            for unit in range(len(weights))
        )

    def log_lasting(self, of_mould: Floats, days: Ints, log_weights: Floats) -> float:
        """A unit of many days: its state holds throughout; each of its days is bad or not by itself."""
        by_day = added(of_mould, days, int(days.max(initial=0)) + 1)
        over_days = log_sum(by_day + self.log_days[None, :, None], axis=1).sum(axis=0)
        return float(log_sum(over_days + log_weights))

    def log_constant(self, state: Floats) -> float:
        """log P(castings | every mould in one and the same state)."""
        return self.log_lasting(self.of_moulds(self.rates(state)), self.case.evidence.days, np.zeros(1))

    def log_unseen(self, level: str) -> float:
        """A cause that leaves no reading: on in a few units, in one moulder of three, or in all of the pattern."""
        grouping = self.case.evidence.units[level]
        size, on = len(grouping.names), np.array([0.0, 1.0])
        if level == "pattern":
            return self.log_constant(np.ones(1))
        if level == "moulder":
            chosen = [np.where(np.arange(size)[:, None] == unit, [0.0, 1.0], [1.0, 0.0]) for unit in range(size)]
        else:
            chosen = [np.tile([1 - share, share], (size, 1)) for share in SHARES_UNSEEN]
        logs = np.array([self.log_castings(grouping.codes, weights, on) for weights in chosen])
        return float(log_sum(logs) - np.log(len(logs)))

    def log_impression(self) -> float:
        """One impression of the plate fails, any of them: where it was noted, and how many were bad in each mould."""
        evidence, defect = self.case.evidence, self.case.shop.defect
        plates = evidence.impressions
        noted = np.zeros((len(self.case.bad), plates))
        for finding in evidence.findings_of(defect):
            if finding.impression is not None:
                noted[evidence.row_of[finding.mould], finding.impression - 1] += 1
        low, high = replace(self, beside=None).rates(np.array([0.0, 1.0])).T
        rest = evidence.castings - noted.sum(axis=1)
        unnoted = self.case.bad - noted.sum(axis=1)
        logs = []
        for odd in range(plates):
            there = noted[:, odd][:, None]
            # Where the odd one was not noted bad it is among the rest: one of the unnoted bad ones, or good.
            share = (unnoted / np.maximum(rest, 1))[:, None]
            among = share * high / low + (1 - share) * (1 - high) / (1 - low)
            per_mould = (
                self.case.bad[:, None] * np.log(low) + (evidence.castings - self.case.bad)[:, None] * np.log1p(-low)
                + np.where(there > 0, np.log(high / low), np.log(among))
            )  # fmt: skip
            logs.append(self.log_lasting(per_mould[:, :, None], evidence.days, np.zeros(1)))
        return float(log_sum(np.array(logs)) - np.log(plates))


def added(values: Floats, codes: Ints, size: int) -> Floats:
    """Sums of rows by code."""
    total = np.zeros((size, *values.shape[1:]))
    if len(codes):
        order = np.argsort(codes, kind="stable")
        starts = np.flatnonzero(np.diff(codes[order], prepend=-1))
        total[codes[order][starts]] = np.add.reduceat(values[order], starts, axis=0)
    return total
