"""Sheets of invented shops, years long, each with its own troubles. Nobody real, no real figures."""

import csv
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from pathlib import Path

import numpy as np

from defectlog.cli.main import run
from defectlog.records.fields import fields_of
from defectlog.records.kinds import BY_SHEET, FOUND
from defectlog.review.usual import month_before

MARCH = date(2026, 3, 1)
DEFECTS = ("gas-holes", "misrun", "sand-inclusion", "shrinkage-cavity", "dross", "flash", "zebra mark", "")
PLACES = ("cope-face", "drag-face", "near-gate", "heavy-section", "")
DISPOSITIONS = ("scrap", "scrap", "scrap", "rework", "use as is", "undecided", "")
Row = dict[str, object]
Sheets = dict[str, list[Row]]


@dataclass(frozen=True)
class Traits:
    """What an invented shop is like. `rates` are usual scrap rates a pattern, `moulds` a pattern and month."""

    name: str
    seed: int
    months: int
    moulds: int
    rates: Sequence[float]
    impressions: Sequence[int]
    clump: float = 0.3
    missing: float = 0.2
    breaches: bool = False
    rates_of_the_shop: Mapping[str, str] | None = None


BOOKS = (
    Traits("busy", 11, 30, 60, (0.03, 0.06, 0.12), (4, 6, 2),
           rates_of_the_shop={"metal_per_kg": "3.1", "remelt_per_kg": "1.2", "melt_loss_pct": "4", "currency": "EUR"}),
    Traits("rare", 22, 40, 14, (0.004, 0.01, 0.02, 0.0), (4, 1, 2, 8), clump=0.6),
    Traits("school", 33, 9, 5, (0.25, 0.4), (1, 2), missing=0.6),
    Traits("messy", 44, 26, 30, (0.05, 0.02, 0.3, 0.08, 0.01), (6, 4, 2, 1, 12), missing=0.4, breaches=True,
           rates_of_the_shop={"metal_per_kg": "2", "labour_per_hour": "30", "moulding_minutes": "4",
                              "spent_at_machining": "6.5", "currency": "GBP"}),
)  # fmt: skip


def sheets_of(traits: Traits) -> Sheets:
    dice = np.random.default_rng(traits.seed)
    patterns = [f"P-{number}" for number in range(1, len(traits.rates) + 1)]
    sheets: Sheets = {"patterns": [], "moulds": [], "findings": [], "remedies": []}
    for number, (pattern, impressions) in enumerate(zip(patterns, traits.impressions, strict=True)):
        weighed = dice.random() > traits.missing
        sheets["patterns"].append(
            {
                "pattern": pattern,
                "impressions": impressions,
                "casting_kg": round(0.3 + 0.4 * number, 2) if weighed else "",
                "poured_kg": round((0.3 + 0.4 * number) * impressions * 2, 2) if weighed else "",
            }
        )
    for back in range(traits.months - 1, -1, -1):
        for pattern, rate, impressions in zip(patterns, traits.rates, traits.impressions, strict=True):
            one_month(dice, traits, sheets, pattern, month_before(MARCH, back), rate, impressions)
    sheets["remedies"] = remedies(traits, patterns)
    return sheets


def one_month(
    dice: np.random.Generator, traits: Traits, sheets: Sheets, pattern: str, month: date, rate: float, impressions: int
) -> None:
    for _ in range(int(dice.poisson(traits.moulds))):
        name = f"M-{len(sheets['moulds']) + 1}"
        poured = datetime(month.year, month.month, int(dice.integers(1, 29)), int(dice.integers(7, 17)))
        fate = dice.random()
        castings = max(1, impressions - 1) if dice.random() < 0.05 else ""
        sheets["moulds"].append(
            {
                "mould": name,
                "pattern": pattern,
                "poured_at": poured.isoformat(timespec="minutes") if fate > 0.02 else "",
                "castings": castings,
                "outcome": "lost before pouring" if 0.02 < fate < 0.04 else "poured",
                "trial": "yes" if 0.04 < fate < 0.07 else "",
            }
        )
        held = int(castings or impressions)
        share = dice.beta(rate * (1 / traits.clump - 1), (1 - rate) * (1 / traits.clump - 1)) if rate else 0.0
        bad = int(dice.binomial(held, share))
        if traits.breaches and dice.random() < 0.01:
            bad = held + 1
        while bad:
            alike = 2 if bad > 1 and dice.random() < 0.3 else 1
            one = finding(dice, traits, name, poured, impressions)
            sheets["findings"].append(one | ({"castings": 2} if alike == 2 else {}))
            bad -= alike
        if dice.random() < 0.01:
            sheets["findings"].append(finding(dice, traits, name, poured, impressions) | {"primary": "no"})


def finding(dice: np.random.Generator, traits: Traits, mould: str, poured: datetime, impressions: int) -> Row:
    def sometimes(value: object) -> object:
        return value if dice.random() > traits.missing else ""

    found = poured + timedelta(days=int(dice.exponential(12)))
    return {
        "mould": mould,
        "impression": sometimes(int(dice.integers(1, impressions + 1))),
        "defect": str(dice.choice(DEFECTS)),
        "seen": "looks bad",
        "place": sometimes(str(dice.choice(PLACES))),
        "disposition": str(dice.choice(DISPOSITIONS)),
        "found": sometimes(str(dice.choice(FOUND))),
        "found_at": sometimes(found.isoformat(timespec="minutes")),
    }


def remedies(traits: Traits, patterns: Sequence[str]) -> list[Row]:
    half = month_before(MARCH, traits.months // 2)
    return [
        {"pattern": patterns[0], "defect": "gas-holes", "change": "dryer sand", "from_date": half.isoformat(),
         "verdict": "worked"},
        {"pattern": patterns[-1], "defect": "misrun", "change": "hotter metal",
         "from_date": month_before(MARCH, 4).isoformat()},
        {"pattern": patterns[1], "defect": "dross", "change": "skimmed longer", "check_castings": 100000,
         "from_date": month_before(MARCH, 2).isoformat()},
        {"pattern": patterns[1], "defect": "flash", "change": "new pins", "verdict": "no effect seen",
         "from_date": month_before(MARCH, 1).isoformat()},
    ]  # fmt: skip


def write_book(traits: Traits, folder: Path) -> Path:
    """The sheets imported into a book as anybody would."""
    sheets = sheets_of(traits)
    place = folder / "sheets"
    place.mkdir(parents=True)
    for name, rows in sheets.items():
        columns = [spec.name for spec in fields_of(BY_SHEET[name])]
        with (place / f"{name}.csv").open("w", encoding="utf-8", newline="") as file:
            writer = csv.DictWriter(file, columns)
            writer.writeheader()
            writer.writerows(rows)
    book = folder / "shop.db"
    assert run(["--book", str(book), "import", str(place)]) == 0
    for name, value in (traits.rates_of_the_shop or {}).items():
        assert run(["--book", str(book), "review", "--rate", f"{name}={value}"]) == 0
    return book
