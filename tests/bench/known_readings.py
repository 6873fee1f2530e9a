"""What the readings on record say of the true ones, to somebody who knows how a simulated shop's readings are made."""

from dataclasses import dataclass

import numpy as np

from defectlog.diagnosis.arrays import Floats
from defectlog.diagnosis.candidates import Candidate
from defectlog.diagnosis.evidence import YES_NO_READINGS
from tests.bench import shops
from tests.bench.rankings import Case
from tests.bench.shop_records import FIRST_DAY
from tests.bench.true_readings import MEMORY_OF_UNITS, SHARE_OF_THE_DAY, memory_of

# True readings are averaged over, in softnesses past the limit.
STEPS = np.linspace(-10.0, 8.0, 37)


@dataclass(frozen=True)
class KnownReadings:
    case: Case

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


def at_step(values: Floats) -> Floats:
    """(units, STEPS) all weight on the step nearest to the value."""
    return (np.abs(values[:, None] - STEPS).argmin(axis=1)[:, None] == np.arange(len(STEPS))).astype(np.float64)


def log_normal(values: Floats | float, middle: Floats | float, spread: Floats | float) -> Floats:
    return np.asarray(-0.5 * ((values - middle) / spread) ** 2 - np.log(spread))
