"""What the readings of a simulated shop truly were, standardised: how they drift by the day and go together.

Sand runs in a circle: a batch is yesterday's sand with a little new sand, clay and water. So a day hands most of its
departure from the usual on to the next, batches of one day are alike, and readings that show the same thing move
together.

Sources of the relations (`GOES_WITH`):

- moisture, clay, compactability: equilibrium moisture = MB clay / (2.583 − 0.01185 compactability) below 47.5 %, and
  green strength = working bond × (132.1 − compactability) / 15.29 (ICRI report 610, 2003: green sand evaluation
  parameters). Linearised at 8 % clay and 43 % compactability, with clay varying by 0.3 and compactability by 5.
- hot sand loses compactability: Aklinski & Granlund, AFS, on sand cooling. Size judged.
- fine grain, clay and water lower permeability: direction from the handbooks' tables of causes, size judged.
- hydrogen in the melt rises with its temperature, log S = 3.07 − 2980/T (J. Mater. Sci., Sieverts' method in liquid
  aluminium), with the water in the air and with waiting after degassing: directions published, sizes judged.
- metal cools from the first mould of a heat to the last: common practice, no source. Size judged.

New sand of 300 lb a ton of metal (Joyce, LaFay & Ziegler 2005) at five parts of sand to one of metal renews 3 % a turn;
with one turn a day, what a day hands on of its composition is 0.97.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from defectlog.diagnosis.arrays import Floats, Ints
from tests.bench.shop_records import Floor

# How much of a reading's departure from the usual is that of its day; the rest is the batch's, heat's or mould's own.
SHARE_OF_THE_DAY = {"sand": 0.7, "heat": 0.5, "mould": 0.3}
COMPOSITION = frozenset({"clay", "fines", "active_clay_pct", "gfn", "loi_pct"})
COMPOSITION_MEMORY = 0.97
# Without a memory by the day, each unit remembers this much of the unit before it.
MEMORY_OF_UNITS = 0.4
# What is behind several readings, and the units at which it varies.
FACTORS = {
    "clay": "sand", "temper": "sand", "fines": "sand", "mulling": "sand", "melt": "heat", "waiting": "heat",
    "weather": "day", "order": "mould",
}  # fmt: skip
# Reading → what is behind it, and how strongly, as correlations; the rest of its variance is its own.
GOES_WITH: Mapping[str, Mapping[str, float]] = {
    "active_clay_pct": {"clay": 0.95},
    "compactability_pct": {"temper": 0.95},
    "moisture_pct": {"clay": 0.73, "temper": 0.55},
    "green_strength_kpa": {"clay": 0.50, "temper": -0.75, "mulling": 0.40},
    "mull_min": {"mulling": 0.80},
    "sand_c": {"temper": -0.40},
    "gfn": {"fines": 0.80},
    "permeability": {"fines": -0.50, "clay": -0.35, "temper": -0.35},
    "melt_c": {"melt": 0.95},
    "humidity_pct": {"weather": 0.95},
    "holding_min": {"waiting": 0.70},
    "since_degassing_min": {"waiting": 0.70},
    "density_index_pct": {"melt": 0.40, "weather": 0.40, "waiting": 0.40},
    "pour_c": {"melt": 0.70, "order": -0.40},
}


@dataclass
class TrueReadings:
    """Draws standardised series of one shop: one value a unit, mean 0, variance 1, upwards as the instrument reads.

    `memory`: what a day hands on to the next, None for none by the day; `related`: readings go together.
    """

    floor: Floor
    rng: np.random.Generator
    memory: float | None
    related: bool
    behind: dict[str, Floats] = field(default_factory=dict)

    def series(self, reading: str, level: str) -> Floats:
        together = GOES_WITH.get(reading, {}) if self.related else {}
        own = self.drawn(reading, level)
        if not together:
            return own
        values = np.sqrt(1 - sum(part**2 for part in together.values())) * own
        for factor, part in together.items():
            values = values + part * self.at_units(factor, level)
        return values

    def drawn(self, name: str, level: str) -> Floats:
        days = self.day_of(level)
        if self.memory is None:
            return remembering(self.rng, len(days), MEMORY_OF_UNITS)
        of_day = remembering(self.rng, self.floor.days, memory_of(name, self.memory))[days]
        if level == "day":
            return of_day
        share = SHARE_OF_THE_DAY[level]
        return np.asarray(np.sqrt(share) * of_day + np.sqrt(1 - share) * self.rng.normal(size=len(days)))

    def at_units(self, factor: str, level: str) -> Floats:
        """(units of `level`,) the factor's values there."""
        at = FACTORS[factor]
        if factor == "order":
            order = self.floor.order.astype(np.float64)
            return np.asarray((order - order.mean()) / order.std())
        if factor not in self.behind:
            self.behind[factor] = self.drawn(factor, at)
        values = self.behind[factor]
        if at == level:
            return values
        return values[self.day_of(level)] if at == "day" else values[self.floor.heat]

    def day_of(self, level: str) -> Ints:
        """(units of `level`,) the pouring day of each."""
        floor = self.floor
        if level == "day":
            return np.arange(floor.days)
        if level == "mould":
            return floor.day
        codes = {"sand": floor.sand, "heat": floor.heat}[level]
        days = np.zeros(int(codes.max()) + 1, dtype=np.int64)
        days[codes] = floor.day
        # A batch from which nothing was moulded is of the day of the one before.
        return np.maximum.accumulate(days)


def memory_of(name: str, memory: float) -> float:
    return COMPOSITION_MEMORY if name in COMPOSITION else memory


def remembering(rng: np.random.Generator, size: int, memory: float) -> Floats:
    """Standardised values, each of which remembers `memory` of the one before."""
    noise = rng.normal(size=size)
    values = noise.copy()
    for index in range(1, size):
        values[index] = memory * values[index - 1] + np.sqrt(1 - memory**2) * noise[index]
    return values
