"""A quarter of a year of an invented shop's sheets, the same every time. Nobody real, no real figures.

Three people, five patterns. Three faults are planted: from the start of March the sand is tempered by eye and many
batches are too wet, which the pump cover shows as gas holes; the fifth impression of the lamp base has a poor gate; and
the bearing bracket shrank over its boss until the feeder was made wider in February.
"""

import csv
from collections.abc import Mapping, Sequence
from datetime import date, datetime, time, timedelta
from pathlib import Path
from random import Random

FIRST_DAY, LAST_DAY = date(2026, 1, 5), date(2026, 3, 31)
TEMPERED_BY_EYE_FROM = date(2026, 3, 2)
FEEDER_WIDENED = date(2026, 2, 2)
MOULDERS = ("first moulder", "second moulder", "third moulder")

Row = dict[str, object]

PATTERNS: Sequence[Row] = (
    {"pattern": "P-104", "name": "pump cover", "impressions": 4, "casting_kg": 0.62, "poured_kg": 4.1,
     "min_section_mm": 5, "max_section_mm": 11, "draft_deg": 2, "gate_mm2": 420, "gates": 4,
     "casting_modulus_mm": 4.1, "feeder_modulus_mm": 5.2},
    {"pattern": "P-117", "name": "bearing bracket", "impressions": 2, "casting_kg": 1.3, "poured_kg": 4.6,
     "min_section_mm": 7, "max_section_mm": 18, "draft_deg": 1.5, "gate_mm2": 480, "gates": 2,
     "casting_modulus_mm": 6.5, "feeder_modulus_mm": 8.0},
    {"pattern": "P-121", "name": "hand wheel", "impressions": 1, "casting_kg": 1.9, "poured_kg": 3.8,
     "min_section_mm": 8, "max_section_mm": 16, "draft_deg": 2, "gate_mm2": 390, "gates": 2,
     "casting_modulus_mm": 6.0, "feeder_modulus_mm": 7.4},
    {"pattern": "P-130", "name": "lamp base", "impressions": 6, "casting_kg": 0.34, "poured_kg": 4.0,
     "min_section_mm": 4, "max_section_mm": 8, "draft_deg": 2, "gate_mm2": 510, "gates": 6,
     "casting_modulus_mm": 3.2, "feeder_modulus_mm": 4.1},
    {"pattern": "P-135", "name": "rail end", "impressions": 4, "casting_kg": 0.71, "poured_kg": 4.9,
     "min_section_mm": 6, "max_section_mm": 9, "draft_deg": 1, "gate_mm2": 450, "gates": 4,
     "casting_modulus_mm": 3.9, "feeder_modulus_mm": 4.9},
)  # fmt: skip
SAME_FOR_ALL: Row = {
    "revision": "A", "in_force_from": "2025-09-01", "alloy": "356", "sprue_height_mm": 150, "choke_mm2": 110,
}  # fmt: skip
SHARE_OF_MOULDS = {"P-104": 5, "P-117": 4, "P-121": 2, "P-130": 4, "P-135": 3}

LOOKS: Mapping[str, Sequence[tuple[str, str]]] = {
    "gas-holes": (
        ("round shiny holes just under the top skin", "cope-face"),
        ("smooth round hole opened by the wire brush", "cope-face"),
        ("bubbles under the skin, smooth inside", "below-skin"),
    ),
    "cold-shut": (
        ("rounded seam, the two streams did not join", "far-from-gate"),
        ("line you can get a nail in, edges round", "thin-section"),
    ),
    "misrun": (("corner did not fill, edge rounded", "thin-section"),),
    "sand-inclusion": (
        ("sand grains in the face after brushing", "cope-face"),
        ("loose sand in a pocket", "near-gate"),
    ),
    "shrinkage-cavity": (("rough hole at the heavy end, frosty inside", "heavy-section"),),
    "dross": (("grey skins folded in the top", "cope-face"),),
    "sticker": (("torn lump on the side wall, sand left on the plate", "side-wall"),),
}
BACKGROUND = ("misrun", "sand-inclusion", "shrinkage-cavity", "dross", "sticker", "gas-holes")


def invented_sheets() -> dict[str, list[Row]]:
    """Sheet name → rows, as a shop would have typed them: two readings in ten or more are missing."""
    return Quarter(Random(104)).sheets()


def write_sheets(folder: Path) -> None:
    """The sheets as CSV files."""
    folder.mkdir(parents=True, exist_ok=True)
    for name, rows in invented_sheets().items():
        columns = list(dict.fromkeys(column for row in rows for column in row))
        with (folder / f"{name}.csv").open("w", encoding="utf-8", newline="") as file:
            writer = csv.DictWriter(file, columns)
            writer.writeheader()
            writer.writerows(rows)


class Quarter:
    """The days of the quarter one after another, so that numbers run on as they do in a shop."""

    def __init__(self, random: Random) -> None:
        self.random = random
        self.sand: list[Row] = []
        self.heats: list[Row] = []
        self.moulds: list[Row] = []
        self.findings: list[Row] = []
        self.wet: dict[str, bool] = {}
        self.day = FIRST_DAY

    def sheets(self) -> dict[str, list[Row]]:
        day = FIRST_DAY
        while day <= LAST_DAY:
            if day.weekday() < 5:
                self.one_day(day)
            day += timedelta(days=1)
        return {
            "patterns": [SAME_FOR_ALL | card for card in PATTERNS],
            "sand": self.sand,
            "heats": self.heats,
            "moulds": self.moulds,
            "findings": self.findings,
            "causes": [
                {"pattern": "P-121", "defect": "gas-holes", "cause": "sand-too-wet", "verdict": "confirmed",
                 "decided_on": "2026-01-20", "basis": "batch dried, next twelve moulds sound"},
            ],
            "remedies": [
                {"pattern": "P-117", "defect": "shrinkage-cavity", "cause": "feeder-too-small",
                 "change": "feeder over the boss made 8 mm wider", "from_date": FEEDER_WIDENED.isoformat(),
                 "check_castings": 60},
            ],
        }  # fmt: skip

    def one_day(self, day: date) -> None:
        self.day = day
        batches = [self.batch(day, time(6, 30)), self.batch(day, time(10, 0))]
        for number, start in enumerate((time(9, 30), time(14, 0))):
            heat = self.heat(day, start)
            for order in range(1, 9):
                self.mould(day, start, order, batches[number], heat)

    def sometimes(self, value: object, share: float = 0.8) -> object:
        """The value, or nothing where nobody wrote it down."""
        return value if self.random.random() < share else ""

    def batch(self, day: date, at: time) -> str:
        name = f"S-{len(self.sand) + 1:03}"
        by_eye = day >= TEMPERED_BY_EYE_FROM
        moisture = self.random.gauss(4.5 if by_eye else 3.6, 0.65 if by_eye else 0.3)
        self.wet[name] = moisture > 4.7
        self.sand.append(
            {
                "sand": name,
                "mixed_at": datetime.combine(day, at).isoformat(timespec="minutes"),
                "compactability_pct": self.sometimes(round(40 + 6 * (moisture - 3.6) + self.random.gauss(0, 2)), 0.7),
                "moisture_pct": self.sometimes(round(moisture + self.random.gauss(0, 0.1), 1), 0.75),
                "permeability": self.sometimes(round(self.random.gauss(92, 6)), 0.5),
                "green_strength_kpa": self.sometimes(round(self.random.gauss(78, 6)), 0.5),
                "mull_min": self.sometimes(round(self.random.gauss(6, 0.6), 1), 0.6),
                "squeeze": self.sometimes("sticks" if moisture > 5 else "holds", 0.6),
                "note": "water added by eye, meter broken" if day == TEMPERED_BY_EYE_FROM else "",
            }
        )
        return name

    def heat(self, day: date, start: time) -> str:
        name = f"H-{len(self.heats) + 1:03}"
        self.heats.append(
            {
                "heat": name,
                "melted_at": (datetime.combine(day, start) - timedelta(minutes=50)).isoformat(timespec="minutes"),
                "alloy": "356",
                "ingot_lot": f"I-{1 + (day - FIRST_DAY).days // 28}",
                "returns_pct": self.sometimes(round(self.random.gauss(38, 8))),
                "melt_c": self.sometimes(round(self.random.gauss(758, 9)), 0.7),
                "degas_min": self.sometimes(round(self.random.gauss(9, 1.5)), 0.6),
                "density_index_pct": self.sometimes(round(abs(self.random.gauss(2.0, 0.7)), 1), 0.5),
                "skimmed": self.sometimes("yes", 0.7),
            }
        )
        return name

    def mould(self, day: date, start: time, order: int, sand: str, heat: str) -> None:
        name = f"M-{len(self.moulds) + 1:04}"
        names = list(SHARE_OF_MOULDS)
        pattern = self.random.choices(names, [SHARE_OF_MOULDS[each] for each in names])[0]
        poured = datetime.combine(day, start) + timedelta(minutes=5 * order)
        self.moulds.append(
            {
                "mould": name,
                "pattern": pattern,
                "made_at": (poured - timedelta(hours=1, minutes=40)).isoformat(timespec="minutes"),
                "sand": sand,
                "moulder": self.random.choice(MOULDERS),
                "hardness_b": self.sometimes(round(self.random.gauss(79, 3)), 0.5),
                "facing_riddled": self.sometimes("yes", 0.8),
                "vented": self.sometimes("yes", 0.6),
                "heat": heat,
                "poured_at": poured.isoformat(timespec="minutes"),
                "pour_order": order,
                "pour_c": self.sometimes(round(self.random.gauss(728 - 1.5 * order, 7)), 0.75),
                "pour_s": self.sometimes(round(self.random.gauss(6.5, 0.7), 1), 0.5),
            }
        )
        card = next(card for card in PATTERNS if card["pattern"] == pattern)
        for impression in range(1, int(str(card["impressions"])) + 1):
            self.casting(name, pattern, impression, sand, poured)

    def casting(self, mould: str, pattern: str, impression: int, sand: str, poured: datetime) -> None:
        defect = self.defect_of(pattern, impression, sand)
        if not defect:
            return
        seen, place = self.random.choice(LOOKS[defect])
        found_at = poured + timedelta(hours=3)
        self.findings.append(
            {
                "mould": mould,
                "impression": self.sometimes(impression, 0.85),
                "defect": defect,
                "seen": self.sometimes(seen, 0.9),
                "place": self.sometimes(place, 0.8),
                "disposition": "scrap" if self.random.random() < 0.85 else "rework",
                "found": "machining" if self.random.random() < 0.08 else "shakeout",
                "found_at": found_at.isoformat(timespec="minutes"),
            }
        )

    def defect_of(self, pattern: str, impression: int, sand: str) -> str:
        chance = self.random.random()
        if pattern == "P-104" and self.wet[sand] and chance < 0.40:
            return "gas-holes"
        if pattern == "P-130" and impression == 5 and chance < 0.08:
            return "cold-shut"
        if pattern == "P-117" and self.day < FEEDER_WIDENED and chance < 0.09:
            return "shrinkage-cavity"
        if self.wet[sand] and chance < 0.03:
            return "gas-holes"
        return self.random.choice(BACKGROUND) if self.random.random() < 0.015 else ""
