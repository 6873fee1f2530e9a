"""Invented shops with one fault planted in them, for measuring how often the reasoning finds it.

They are written from how foundries run, not from the reasoning's own likelihood: readings drift from day to day and
go together (true_readings.py), a reading past its limit raises the failure rate smoothly, some days are bad for no
recorded reason, people misname defects and skip readings. Every figure here is an invention for testing and says
nothing about any real shop.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from defectlog.diagnosis.arrays import Floats, Ints
from defectlog.diagnosis.evidence import YES_NO_READINGS
from defectlog.records.histories import PatternHistory, ShopUsual
from defectlog.rulebase.limits import limit_for
from defectlog.rulebase.shapes import Cause, Limit, RuleBase
from tests.bench.conditions import Condition
from tests.bench.shop_records import PATTERNS, Castings, Floor, computed, pattern_history, shop_usual
from tests.bench.true_readings import TrueReadings

# The planted pattern is moulded three times as often as each other one.
HOW_OFTEN_MOULDED = (0.3, *[0.7 / (PATTERNS - 1)] * (PATTERNS - 1))
# The same cause hurts the other patterns less, but hurts them.
OTHERS_SENSITIVITY = 0.3
MEASURING_ERROR = 0.5
# True values spread by so many softnesses, and lie this far from the limit, in spreads: about one unit in eight is past
# it. Where the handbook's limit does not suit the shop, a harmless reading is past it more often than not.
SPREAD, USUAL_PLACE, HABITUAL_PLACE = 2.0, -1.15, 0.3
# The same for what belongs to the pattern, where the planted cause is there from the first day to the last.
PATTERN_PAST, PATTERN_SHORT, PATTERN_SPREAD = 2.5, -2.0, 0.8
# How many softnesses the failure rate takes to rise past the limit; what a bad day does to the odds of a bad casting.
RESPONSE, BAD_DAY_ODDS = 0.7, 5.0
# How often a casting is bad for another reason, and how many units have a cause that leaves no reading.
OTHER_DEFECT, UNSEEN_SHARE = 0.02, (0.08, 0.25)
# How often the impression of a bad casting is noted.
NOTED = 0.7
# Nobody asks why for fewer spoiled castings than this; judgement.
FEWEST_SPOILT, MOST_DRAWS = 5.0, 50
ANOTHER = "another"


@dataclass(frozen=True)
class Shop:
    """A simulated shop as the reasoning meets it, and the truth that it does not see.

    `planted` is empty where nothing is wrong; `off_rate` is the shop's, `base_rate` this pattern's own.
    """

    history: PatternHistory
    usual: ShopUsual
    computed: dict[str, list[float | None]]
    defect: str
    condition: Condition
    planted: tuple[str, ...]
    off_rate: float
    base_rate: float
    on_rate: float


def causes_of(rules: RuleBase, defect: str) -> list[Cause]:
    return [
        cause
        for cause in rules.causes.values()
        if cause.status == "in force" and any(pair.defect == defect for pair in cause.explains)
    ]


def simulate(rules: RuleBase, defect: str, planted: Sequence[str], condition: Condition, seed: int) -> Shop:
    """One shop of eight patterns in which P-1 fails with `defect` because of the causes `planted`.

    Where the condition plants nothing, the first of them only says how the plates are laid out.
    """
    return Simulation(rules, defect, planted, condition, np.random.default_rng(seed)).shop()


class Simulation:
    def __init__(
        self, rules: RuleBase, defect: str, planted: Sequence[str], condition: Condition, rng: np.random.Generator
    ) -> None:
        self.rules, self.defect, self.condition, self.rng = rules, defect, condition, rng
        self.named = [rules.causes[cause] for cause in planted]
        self.planted = self.named[: condition.planted]
        self.causes = causes_of(rules, defect)
        self.off_rate = float(rng.uniform(0.01, 0.04))
        self.on_rate = float(rng.uniform(0.2, 0.6))
        self.floor = self.laid_out()

    def shop(self) -> Shop:
        usual = np.clip(self.off_rate * np.exp(self.rng.normal(0, 0.4, size=PATTERNS)), 0.002, 0.2)
        ordinary = self.with_bad_days(usual[self.floor.pattern])
        readings, states = self.at_work(ordinary)
        castings = self.castings(self.rates(ordinary, states))
        return Shop(
            history=pattern_history(self.floor, readings, castings),
            usual=shop_usual(self.floor, readings, castings, self.defect),
            computed=computed(self.floor, readings),
            defect=self.defect,
            condition=self.condition,
            planted=tuple(cause.id for cause in self.planted),
            off_rate=self.off_rate,
            base_rate=float(usual[0]),
            on_rate=self.on_rate,
        )

    def laid_out(self) -> Floor:
        """A few heats a day of seven to ten moulds each, one or two batches of sand a day, three moulders."""
        rng, days, (fewest, most) = self.rng, self.condition.days, self.condition.heats
        at_impression = any(cause.acts_at == "impression" for cause in self.named)
        plates = rng.integers(2 if at_impression else 1, 7, size=PATTERNS)
        heats, batches = rng.integers(fewest, most + 1, size=days), rng.integers(1, 3, size=days)
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

    def at_work(self, ordinary: Floats) -> tuple[dict[str, Floats], list[Floats]]:
        """Measured readings, and how strongly each planted cause is on (moulds,); drawn again until each has done harm.

        In slow drift a reading may stay within its limit for all of a short window, and then nobody has cause to ask.
        """
        for _ in range(MOST_DRAWS):
            readings, past = self.readings()
            states = [self.state(cause, past) for cause in self.planted]
            if all(
                map(lambda cause, state: self.spoilt(cause, state, ordinary) >= FEWEST_SPOILT, self.planted, states)
            ):
                break
        return readings, states

    def spoilt(self, cause: Cause, state: Floats, ordinary: Floats) -> float:
        """How many castings of the pattern the cause is to be expected to have spoiled."""
        if cause.acts_at == "impression":
            state = 1 / self.floor.castings
        ours = self.floor.pattern == 0
        return float((self.floor.castings * state * (self.on_rate - ordinary))[ours].sum())

    def readings(self) -> tuple[dict[str, Floats], dict[str, Floats]]:
        """Measured readings by name (one a unit, nan missing), and how far the truth is past the limit by cause."""
        series = TrueReadings(self.floor, self.rng, self.condition.memory, self.condition.related)
        measured: dict[str, Floats] = {}
        past: dict[str, Floats] = {}
        true: dict[str, Floats] = {"pour_order": self.floor.order.astype(np.float64)}
        for cause in sorted(self.causes, key=lambda one: one not in self.named):
            limit = limit_of(self.rules, cause)
            if limit is None:
                continue
            sign = 1.0 if limit.side == "above" else -1.0
            if limit.reading not in true:
                planted = cause in self.planted
                steps = self.steps_past(series, limit.reading, sign, cause.acts_at, planted=planted)
                true[limit.reading] = limit.value + sign * limit.softness * steps
                measured[limit.reading] = self.measured(true[limit.reading], limit, cause.acts_at)
            past[cause.id] = sign * (true[limit.reading] - limit.value) / limit.softness
        return measured, past

    def steps_past(self, series: TrueReadings, reading: str, sign: float, level: str, *, planted: bool) -> Floats:
        """(units,) softnesses by which the true value lies past the handbook's limit."""
        habit = not planted and self.rng.random() < self.condition.habits
        if level == "pattern":
            own = PATTERN_PAST if planted or habit else PATTERN_SHORT
            middle = np.where(np.arange(PATTERNS) == 0, own, PATTERN_SHORT)
            return np.asarray(middle + self.rng.normal(0, PATTERN_SPREAD, PATTERNS))
        return SPREAD * (sign * series.series(reading, level) + (HABITUAL_PLACE if habit else USUAL_PLACE))

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

    def rates(self, ordinary: Floats, states: Sequence[Floats]) -> Floats:
        """(moulds,) chance of the defect, before any impression is singled out; several causes add as chances do."""
        sensitive = np.where(self.floor.pattern == 0, 1.0, OTHERS_SENSITIVITY)
        sound = 1 - ordinary
        for state in states:
            sound = sound * (1 - state * (self.on_rate - ordinary) / (1 - ordinary) * sensitive)
        return 1 - sound

    def with_bad_days(self, rate: Floats) -> Floats:
        bad = self.rng.random(self.condition.days) < self.condition.bad_days
        odds = rate / (1 - rate) * np.where(bad[self.floor.day], BAD_DAY_ODDS, 1.0)
        return odds / (1 + odds)

    def state(self, cause: Cause, past: dict[str, Floats]) -> Floats:
        """(moulds,) how strongly a planted cause is on, 0 to 1."""
        if cause.acts_at == "impression":
            return np.zeros(len(self.floor.day))
        codes, size = self.units(cause.acts_at)
        if cause.id not in past:
            on = self.rng.random(size) < self.rng.uniform(*UNSEEN_SHARE)
            if cause.acts_at in ("pattern", "moulder"):
                on = np.arange(size) == 0
            return on[codes].astype(np.float64)
        shift = self.condition.limit_shift * float(self.rng.choice([-1.0, 1.0]))
        return response(past[cause.id] - shift, smooth=self.condition.smooth)[codes]

    def castings(self, rate: Floats) -> Castings:
        """Every casting is good or bad by chance; bad ones are labelled, and in one of ten hard cases mislabelled."""
        floor, rng = self.floor, self.rng
        row = np.repeat(np.arange(len(floor.day)), floor.castings)
        impression = np.arange(len(row)) - np.repeat(np.cumsum(floor.castings) - floor.castings, floor.castings) + 1
        odd = (impression == self.odd_impression()) & (floor.pattern[row] == 0)
        truly = rng.random(len(row)) < np.where(odd, self.on_rate, rate[row])
        other = ~truly & (rng.random(len(row)) < OTHER_DEFECT)
        wrong = rng.random(len(row)) < self.condition.mislabelled
        as_asked = np.where(wrong, other, truly)
        seen = np.flatnonzero(truly | other)
        return Castings(
            row=row[seen],
            impression=impression[seen],
            noted=rng.random(len(seen)) < NOTED,
            label=tuple(self.defect if yes else ANOTHER for yes in as_asked[seen]),
        )

    def odd_impression(self) -> int:
        """The impression that fails, 0 for none."""
        if not any(cause.acts_at == "impression" for cause in self.planted):
            return 0
        return int(self.rng.integers(1, int(self.floor.plates[0]) + 1))


def response(past: Floats, *, smooth: bool) -> Floats:
    """How strongly a cause is on where its reading lies `past` the true limit, in softnesses."""
    return np.asarray(1 / (1 + np.exp(-past / RESPONSE)) if smooth else past > 0, dtype=np.float64)


def limit_of(rules: RuleBase, cause: Cause) -> Limit | None:
    """The handbook's limit where nothing is known of alloy or sand."""
    if cause.reading is None:
        return None
    return limit_for(rules.limits, cause.reading.quantity, cause.reading.side, {})
