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

import numpy as np

from defectlog.diagnosis.arrays import Floats, Ints
from defectlog.diagnosis.candidates import Candidate
from defectlog.diagnosis.evidence import YES_NO_READINGS
from defectlog.diagnosis.ranking import STANDS_OUT_BEFORE
from defectlog.diagnosis.rates import log_sum
from tests.bench import shops
from tests.bench.rankings import Case, Said
from tests.bench.shop_records import FIRST_DAY
from tests.bench.true_readings import MEMORY_OF_UNITS, SHARE_OF_THE_DAY, memory_of

# True readings are averaged over, in softnesses past the limit.
STEPS = np.linspace(-10.0, 8.0, 37)
SHARES_UNSEEN = np.linspace(*shops.UNSEEN_SHARE, 5)


def by_oracle(case: Case) -> Said:
    known = Known(case)
    logs = known.log_of_causes() + log_planted(case)
    nothing = known.log_constant(np.zeros(1))
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
class Known:
    """One case seen with the shop's true figures. `beside` (moulds,): how strongly a second cause is to be expected."""

    case: Case
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
        harm = (shop.on_rate - base) / (1 - base)
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

    def true_steps(self, candidate: Candidate) -> Floats:
        """(units, STEPS) chance of each true value given the readings."""
        reading, limit = candidate.cause.reading, candidate.limit
        assert reading is not None
        assert limit is not None
        level = candidate.cause.acts_at
        grouping = self.case.evidence.units[level]
        sign = 1.0 if limit.side == "above" else -1.0
        values = np.full(len(grouping.names), np.nan)
        # Sand, heat and mould readings are the same for all moulds of a unit.
        values[grouping.codes] = self.case.evidence.readings.get(reading.quantity, np.full(len(grouping.codes), np.nan))
        measured = sign * (values - limit.value) / limit.softness
        if reading.quantity == "pour_order":
            return at_step(measured)
        if reading.quantity in YES_NO_READINGS:
            return self.yes_or_no(measured)
        if level == "pattern":
            return self.of_pattern(measured)
        return self.smoothed(measured, self.likeness(reading.quantity, level))

    def log_card(self, candidate: Candidate) -> float:
        """log P(the card's reading | planted ∕ not planted): a harmless one is past the limit only now and then.

        All faults of the plate spread over everything alike; only this tells them apart.
        """
        reading, limit = candidate.cause.reading, candidate.limit
        if candidate.cause.acts_at != "pattern" or reading is None or limit is None:
            return 0.0
        sign = 1.0 if limit.side == "above" else -1.0
        measured = sign * (self.case.evidence.readings[reading.quantity][:1] - limit.value) / limit.softness
        spread, habits = np.hypot(shops.PATTERN_SPREAD, shops.MEASURING_ERROR), self.case.shop.condition.habits
        past, short = (log_normal(measured, middle, spread) for middle in (shops.PATTERN_PAST, shops.PATTERN_SHORT))
        harmless = np.logaddexp(np.log(habits) + past, np.log1p(-habits) + short)
        return float((past - harmless)[0])

    def of_pattern(self, measured: Floats) -> Floats:
        """The card's reading, measured as the others are."""
        chance = np.exp(log_normal(STEPS, measured[0], shops.MEASURING_ERROR))
        return np.tile(chance / chance.sum(), (len(measured), 1))

    def yes_or_no(self, measured: Floats) -> Floats:
        """The truth lies on the side that was written down."""
        usual = np.exp(log_normal(STEPS, shops.SPREAD * shops.USUAL_PLACE, shops.SPREAD))
        fits = np.where(np.isnan(measured)[:, None], 1.0, (STEPS > 0)[None, :] == (measured > 0)[:, None])
        chance = usual * fits
        return np.asarray(chance / chance.sum(axis=1, keepdims=True))

    def smoothed(self, measured: Floats, likeness: Floats) -> Floats:
        """Each unit's true value from its own reading and from those of its neighbours in time."""
        known = ~np.isnan(measured)
        usual = shops.SPREAD * shops.USUAL_PLACE
        covariance = shops.SPREAD**2 * likeness
        middle, spread = np.full(len(measured), usual), np.full(len(measured), shops.SPREAD)
        if known.any():
            seen = covariance[np.ix_(known, known)] + shops.MEASURING_ERROR**2 * np.eye(int(known.sum()))
            gain = np.linalg.solve(seen, covariance[known]).T
            middle = usual + gain @ (measured[known] - usual)
            left = np.maximum(shops.SPREAD**2 - np.einsum("uk,ku->u", gain, covariance[known]), 1e-4)
            spread = np.sqrt(left)
        chance = np.exp(log_normal(STEPS[None, :], middle[:, None], np.maximum(spread, 0.3)[:, None]))
        return np.asarray(chance / np.maximum(chance.sum(axis=1, keepdims=True), 1e-300))

    def likeness(self, reading: str, level: str) -> Floats:
        """(units, units) correlation of the true values of a reading, as the simulation draws them."""
        evidence, memory = self.case.evidence, self.case.shop.condition.memory
        grouping = evidence.units[level]
        if memory is None:
            number = np.array([int(name.lstrip("SHM")) for name in grouping.names])
            return np.asarray(MEMORY_OF_UNITS ** np.abs(number[:, None] - number[None, :]), dtype=np.float64)
        day = np.zeros(len(grouping.names))
        day[grouping.codes] = np.array([(found - FIRST_DAY).days for found in evidence.day_names])[evidence.days]
        share = SHARE_OF_THE_DAY[level]
        of_days = memory_of(reading, memory) ** np.abs(day[:, None] - day[None, :])
        return np.asarray(share * of_days + (1 - share) * np.eye(len(day)))


def added(values: Floats, codes: Ints, size: int) -> Floats:
    """Sums of rows by code."""
    total = np.zeros((size, *values.shape[1:]))
    if len(codes):
        order = np.argsort(codes, kind="stable")
        starts = np.flatnonzero(np.diff(codes[order], prepend=-1))
        total[codes[order][starts]] = np.add.reduceat(values[order], starts, axis=0)
    return total


def at_step(values: Floats) -> Floats:
    """(units, STEPS) all weight on the step nearest to the value."""
    return (np.abs(values[:, None] - STEPS).argmin(axis=1)[:, None] == np.arange(len(STEPS))).astype(np.float64)


def log_normal(values: Floats | float, middle: Floats | float, spread: Floats | float) -> Floats:
    return np.asarray(-0.5 * ((values - middle) / spread) ** 2 - np.log(spread))
