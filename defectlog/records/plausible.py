"""Readings that may be true and most likely are not: a point lost, another unit, the next column.

`low` and `high` are wider than anything the sources print, so that a shop with a sand or an alloy of its own is left in
peace; they are no windows to work in (those are in rules/limits.toml) and no norm. A value beyond them is taken as it
was typed and shown with a question; what cannot be at all is refused by the bounds in records/kinds.py.
"""

from dataclasses import dataclass
from typing import Any

from defectlog.records.fields import fields_of


@dataclass(frozen=True, slots=True)
class Plausible:
    """What a reading hardly ever leaves, in the unit of its field; `why` says what is printed about it, and where."""

    low: float
    high: float
    why: str


BENCH_NOTES = "university notes on bench moulding (KTU, module 3)"
FROM_MEMORY = "from memory"
NO_SOURCE = "common practice, no source"
LIQUID = "aluminium casting alloys are liquid from 575 to 642 °C on, by alloy (LM-series data book)"
POURED = f"{LIQUID}; pouring was tried from 650 to 850 °C (Raji 2005) and is advised down to 620 (Schiele & Schön)"

PLAUSIBLE: dict[str, dict[str, Plausible]] = {
    "patterns": {
        "min_section_mm": Plausible(1.5, 100, "2.3 mm is printed as the thinnest that green sand can do, with care"),
        "draft_deg": Plausible(0.2, 12, "tables of draft run from 0.5° to 3° (NPTEL, Manufacturing Processes I)"),
        "sprue_height_mm": Plausible(20, 800, f"75 to 200 mm in small boxes ({NO_SOURCE})"),
        "pour_low_c": Plausible(570, 860, POURED),
        "pour_high_c": Plausible(570, 860, POURED),
    },
    "sand": {
        "compactability_pct": Plausible(
            15, 70, f"printed targets lie from 35 to 50 % ({BENCH_NOTES}; foundry lexicon)"
        ),
        "moisture_pct": Plausible(
            1, 12, "1.9 to 9 % is printed for sands that were cast in (Gana et al.; Aweda and Jimoh; Heine and Loper)"
        ),
        "permeability": Plausible(3, 300, f"6 (Dim and Abdullahi) to 120 ({BENCH_NOTES}) is printed for sands cast in"),
        "green_strength_kpa": Plausible(15, 300, f"35 to 140 kPa ({BENCH_NOTES})"),
        "gfn": Plausible(25, 280, f"35 (Gana et al.) to 225 (Heine and Loper, {FROM_MEMORY})"),
        "active_clay_pct": Plausible(1, 40, f"4 to 10 % ({BENCH_NOTES}); a natural sand had 36 (Dim and Abdullahi)"),
        "loi_pct": Plausible(0, 12, f"0.5 to 5 % (practice of the American Foundry Society, {FROM_MEMORY})"),
        "sand_c": Plausible(0, 90, "49 °C is hot, above 71 °C is called excessive (Aklinski and Granlund)"),
        "mull_min": Plausible(0.5, 90, f"1 min in a fast muller to 10 in a slow one ({BENCH_NOTES}; TJFS-108)"),
    },
    "heats": {
        "melt_c": Plausible(590, 950, f"{LIQUID}; above 800 °C strength is lost (Raji 2005)"),
        "holding_min": Plausible(0, 720, f"half an hour to four hours ({NO_SOURCE})"),
        "degas_min": Plausible(0, 90, f"5 to 20 min ({NO_SOURCE})"),
        "since_degassing_min": Plausible(0, 480, f"it is worn off within an hour or so ({NO_SOURCE})"),
        "density_index_pct": Plausible(
            0, 25, "0.8 after degassing, 11.4 before, in a worked example (foundry lexicon, density index)"
        ),
    },
    "moulds": {
        "hardness_b": Plausible(30, 100, f"60 to 85 rammed by hand ({BENCH_NOTES}), to 95 by machine ({FROM_MEMORY})"),
        "pour_c": Plausible(570, 860, POURED),
        "pour_s": Plausible(0.5, 120, f"3 to 15 s for castings to 10 kg ({NO_SOURCE})"),
        "cooling_min": Plausible(1, 6000, f"5 to 30 min (Adeyemi and Adeyemo 2008); over a weekend ({NO_SOURCE})"),
    },
}


def unlikely(record: Any) -> list[tuple[str, float, Plausible]]:
    """(field, value, what is plausible) of every reading of one record that is beyond it."""
    kind: Any = type(record)
    known = PLAUSIBLE.get(kind.sheet, {})
    return [
        (spec.name, value, known[spec.name])
        for spec in fields_of(kind)
        if spec.name in known
        and (value := getattr(record, spec.name)) is not None
        and not known[spec.name].low <= value <= known[spec.name].high
    ]
