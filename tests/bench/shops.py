"""Invented shops with one fault planted in them, for measuring how often the reasoning finds it.

They are written from how foundries run, not from the reasoning's own likelihood: readings drift from day to day,
a reading past its limit raises the failure rate smoothly, some days are bad for no recorded reason, people misname
defects and skip readings. Every figure here is an invention for testing and says nothing about any real shop.
"""

from dataclasses import dataclass

import numpy as np

from defectlog.diagnosis.arrays import Floats, Ints
from defectlog.diagnosis.evidence import YES_NO_READINGS
from defectlog.records.histories import PatternHistory, ShopUsual
from defectlog.rulebase.limits import limit_for
from defectlog.rulebase.shapes import Cause, Limit, RuleBase
from tests.bench.shop_records import PATTERNS, Castings, Floor, computed, pattern_history, shop_usual


@dataclass(frozen=True)
class Condition:
    """How kind the shop is to whoever must find the fault.

    `missing`, `bad_days`, `mislabelled` are shares; `limit_shift` is how far the true limit lies from the handbook's,
    in softnesses, either way; `smooth`: the failure rate rises gradually past it; `habits` as HABITS below.
    """

    name: str
    days: int
    missing: float
    limit_shift: float
    smooth: bool
    bad_days: float
    mislabelled: float
    habits: float
    planted: bool = True


# How many harmless readings lie past the handbook's limit more often than not, because it does not suit the shop.
HABITS = 0.2
PLAIN = Condition("plain", 105, 0.30, 0.0, False, 0.0, 0.0, HABITS)
HARD = Condition("hard", 105, 0.30, 1.0, True, 0.06, 0.10, HABITS)
HARD_TWO_MONTHS = Condition("hard, 2 months, half missing", 42, 0.50, 1.0, True, 0.06, 0.10, HABITS)
HARD_ONE_MONTH = Condition("hard, 1 month, half missing", 21, 0.50, 1.0, True, 0.06, 0.10, HABITS)
NOTHING_FIVE_MONTHS = Condition("nothing planted, 5 months", 105, 0.30, 1.0, True, 0.06, 0.10, HABITS, planted=False)
NOTHING_ONE_MONTH = Condition("nothing planted, 1 month", 21, 0.50, 1.0, True, 0.06, 0.10, HABITS, planted=False)

# The planted pattern is moulded three times as often as each other one.
HOW_OFTEN_MOULDED = (0.3, *[0.7 / (PATTERNS - 1)] * (PATTERNS - 1))
# The same cause hurts the other patterns less, but hurts them.
OTHERS_SENSITIVITY = 0.3
MEASURING_ERROR = 0.5
ANOTHER = "another"


@dataclass(frozen=True)
class Shop:
    """A simulated shop as the reasoning meets it, and the truth that it does not see."""

    history: PatternHistory
    usual: ShopUsual
    computed: dict[str, list[float | None]]
    defect: str
    planted: str
    off_rate: float
    on_rate: float


def causes_of(rules: RuleBase, defect: str) -> list[Cause]:
    return [
        cause
        for cause in rules.causes.values()
        if cause.status == "in force" and any(pair.defect == defect for pair in cause.explains)
    ]


def simulate(rules: RuleBase, defect: str, cause_id: str, condition: Condition, seed: int) -> Shop:
    """One shop of eight patterns in which P-1 fails with `defect` because of `cause_id` (or for no cause)."""
    return Simulation(rules, defect, cause_id, condition, np.random.default_rng(seed)).shop()


class Simulation:
    def __init__(
        self, rules: RuleBase, defect: str, cause_id: str, condition: Condition, rng: np.random.Generator
    ) -> None:
        self.rules, self.defect, self.condition, self.rng = rules, defect, condition, rng
        self.cause = rules.causes[cause_id]
        self.causes = causes_of(rules, defect)
        self.off_rate = float(rng.uniform(0.01, 0.04))
        self.on_rate = float(rng.uniform(0.2, 0.6))
        self.floor = self.laid_out()

    def shop(self) -> Shop:
        readings, past = self.readings()
        castings = self.castings(self.rates(past))
        return Shop(
            history=pattern_history(self.floor, readings, castings),
            usual=shop_usual(self.floor, readings, castings, self.defect),
            computed=computed(self.floor, readings),
            defect=self.defect,
            planted=self.cause.id if self.condition.planted else "",
            off_rate=self.off_rate,
            on_rate=self.on_rate,
        )

    def laid_out(self) -> Floor:
        """Two or three heats a day of seven to ten moulds each, one or two batches of sand a day, three moulders."""
        rng, days = self.rng, self.condition.days
        plates = rng.integers(2 if self.cause.acts_at == "impression" else 1, 7, size=PATTERNS)
        heats, batches = rng.integers(2, 4, size=days), rng.integers(1, 3, size=days)
        moulds = rng.integers(7, 11, size=int(heats.sum()))
        heat = np.repeat(np.arange(len(moulds)), moulds)
        day = np.repeat(np.arange(days), heats)[heat]
        first_batch = np.cumsum(batches) - batches
        return Floor(
            days=days,
            day=day,
            order=np.arange(len(heat)) - np.repeat(np.cumsum(moulds) - moulds, moulds) + 1,
            heat=heat,
            sand=first_batch[day] + (rng.random(len(heat)) * batches[day]).astype(np.int64),
            moulder=rng.integers(0, 3, size=len(heat)),
            pattern=rng.choice(PATTERNS, size=len(heat), p=HOW_OFTEN_MOULDED),
            plates=plates,
        )

    def units(self, level: str) -> tuple[Ints, int]:
        """(moulds,) unit of each mould at a level, and how many there are."""
        floor = self.floor
        codes = {
            "sand": floor.sand,
            "heat": floor.heat,
            "mould": np.arange(len(floor.day)),
            "moulder": floor.moulder,
            "pattern": floor.pattern,
        }[level]
        return codes, PATTERNS if level == "pattern" else int(codes.max()) + 1

    def readings(self) -> tuple[dict[str, Floats], dict[str, Floats]]:
        """Measured readings by name (one a unit, nan missing), and how far the truth is past the limit by cause."""
        measured: dict[str, Floats] = {}
        past: dict[str, Floats] = {}
        true: dict[str, Floats] = {"pour_order": self.floor.order.astype(np.float64)}
        for cause in sorted(self.causes, key=lambda one: one is not self.cause):
            limit = limit_of(self.rules, cause)
            if limit is None:
                continue
            sign = 1.0 if limit.side == "above" else -1.0
            if limit.reading not in true:
                planted = cause is self.cause and self.condition.planted
                steps = self.steps_past(cause.acts_at, planted=planted)
                true[limit.reading] = limit.value + sign * limit.softness * steps
                measured[limit.reading] = self.measured(true[limit.reading], limit, cause.acts_at)
            past[cause.id] = sign * (true[limit.reading] - limit.value) / limit.softness
        return measured, past

    def steps_past(self, level: str, *, planted: bool) -> Floats:
        """(units,) softnesses by which the true value lies past the handbook's limit: about one unit in eight does.

        Where the handbook's limit does not suit the shop, a harmless reading is past it more often than not.
        """
        _, size = self.units(level)
        habit = not planted and self.rng.random() < self.condition.habits
        if level == "pattern":
            out = planted or habit
            return np.where(np.arange(size) == 0, 2.5 if out else -2.0, -2.0) + self.rng.normal(0, 0.8, size)
        return 2.0 * (self.drifting(size) + (0.3 if habit else -1.15))

    def drifting(self, size: int) -> Floats:
        """Standardised values of successive units: each remembers four tenths of the one before."""
        noise = self.rng.normal(size=size)
        values = noise.copy()
        for index in range(1, size):
            values[index] = 0.4 * values[index - 1] + np.sqrt(1 - 0.16) * noise[index]
        return values

    def measured(self, true: Floats, limit: Limit, level: str) -> Floats:
        """What is written down: with a measuring error, and not always. A pattern card is filled in once and whole."""
        if limit.reading in YES_NO_READINGS:
            values = (true > limit.value).astype(np.float64)
        else:
            values = true + self.rng.normal(0, MEASURING_ERROR * limit.softness, len(true))
            # Per cents run from nothing to a hundred, and no other instrument here reads below nothing.
            values = np.clip(values, 0.0, 100.0 if limit.reading.endswith("_pct") else np.inf)
        if level != "pattern":
            values[self.rng.random(len(values)) < self.condition.missing] = np.nan
        return values

    def rates(self, past: dict[str, Floats]) -> Floats:
        """(moulds,) chance of the defect, before any impression is singled out."""
        usual = self.off_rate * np.exp(self.rng.normal(0, 0.4, size=PATTERNS))[self.floor.pattern]
        rate = self.with_bad_days(np.clip(usual, 0.002, 0.2))
        if not self.condition.planted:
            return rate
        sensitive = np.where(self.floor.pattern == 0, 1.0, OTHERS_SENSITIVITY)
        return rate + self.planted_state(past) * (self.on_rate - rate) * sensitive

    def with_bad_days(self, rate: Floats) -> Floats:
        bad = self.rng.random(self.condition.days) < self.condition.bad_days
        odds = rate / (1 - rate) * np.where(bad[self.floor.day], 5.0, 1.0)
        return odds / (1 + odds)

    def planted_state(self, past: dict[str, Floats]) -> Floats:
        """(moulds,) how strongly the planted cause is on, 0 to 1."""
        if self.cause.acts_at == "impression":
            return np.zeros(len(self.floor.day))
        codes, size = self.units(self.cause.acts_at)
        if self.cause.id not in past:
            on = self.rng.random(size) < self.rng.uniform(0.08, 0.25)
            if self.cause.acts_at in ("pattern", "moulder"):
                on = np.arange(size) == 0
            return on[codes].astype(np.float64)
        shift = self.condition.limit_shift * float(self.rng.choice([-1.0, 1.0]))
        beyond = past[self.cause.id] - shift
        soft = 1 / (1 + np.exp(-beyond / 0.7)) if self.condition.smooth else (beyond > 0).astype(np.float64)
        return np.asarray(soft[codes], dtype=np.float64)

    def castings(self, rate: Floats) -> Castings:
        """Every casting is good or bad by chance; bad ones are labelled, and in one of ten hard cases mislabelled."""
        floor, rng = self.floor, self.rng
        row = np.repeat(np.arange(len(floor.day)), floor.castings)
        impression = np.arange(len(row)) - np.repeat(np.cumsum(floor.castings) - floor.castings, floor.castings) + 1
        odd = (impression == self.odd_impression()) & (floor.pattern[row] == 0)
        truly = rng.random(len(row)) < np.where(odd, self.on_rate, rate[row])
        other = ~truly & (rng.random(len(row)) < 0.02)
        wrong = rng.random(len(row)) < self.condition.mislabelled
        as_asked = np.where(wrong, other, truly)
        seen = np.flatnonzero(truly | other)
        return Castings(
            row=row[seen],
            impression=impression[seen],
            noted=rng.random(len(seen)) < 0.7,
            label=tuple(self.defect if yes else ANOTHER for yes in as_asked[seen]),
        )

    def odd_impression(self) -> int:
        """The impression that fails, 0 for none."""
        if self.cause.acts_at != "impression" or not self.condition.planted:
            return 0
        return int(self.rng.integers(1, int(self.floor.plates[0]) + 1))


def limit_of(rules: RuleBase, cause: Cause) -> Limit | None:
    """The handbook's limit where nothing is known of alloy or sand."""
    if cause.reading is None:
        return None
    return limit_for(rules.limits, cause.reading.quantity, cause.reading.side, {})
