"""Figures worked out from a card or a mould, said with what they come from and how far to trust them."""

from collections.abc import Iterator, Mapping

from defectlog.foundry.gating import CRITICAL_M_S
from defectlog.foundry.readings import ComputedReading, pattern_readings
from defectlog.records.kinds import Pattern
from defectlog.report.page import Block, Bullets, Text
from defectlog.units import show_quantity

READING_NAMES = {
    "gate_velocity_m_s": "speed of the metal in the gates",
    "gating_ratio": "gate area over choke area",
    "fill_s": "filling time",
    "fill_ratio": "filling time over the freezing time of the thinnest wall",
    "modulus_ratio": "feeder modulus over casting modulus",
    "section_ratio": "thickest wall over thinnest",
    "casting_yield_pct": "casting yield",
    "superheat_c": "superheat",
    "stood_h": "time the mould stood before pouring",
    "cooling_min": "poured to shaken out",
    "temper_ratio": "moisture over active clay",
}
FIGURES = 3


def reading_bullets(readings: Mapping[str, ComputedReading], units: str) -> Bullets:
    """One line a figure: name, value, what it was worked out from."""
    return Bullets(
        tuple(
            f"{READING_NAMES[name]}: {show_quantity(item.value, item.quantity, units, FIGURES)} – {item.provenance}"
            for name, item in readings.items()
        )
    )


def reading_json(readings: Mapping[str, ComputedReading]) -> dict[str, dict[str, object]]:
    return {name: {"value": item.value, "from": item.provenance} for name, item in readings.items()}


def gate_caution(card: Pattern, units: str) -> Iterator[Block]:
    """Said when the worked-out speed in the gates is over the critical one: a reason to look, and no proof.

    The limit: J. Campbell, Castings, as in foundry/gating.py.
    """
    speed = pattern_readings(card).get("gate_velocity_m_s")
    if speed is not None and speed.value > CRITICAL_M_S:
        said = show_quantity(speed.value, "velocity", units, 2)
        limit = show_quantity(CRITICAL_M_S, "velocity", units, 2)
        yield Text(
            f"Worked out, the metal leaves the gates at {said}; above about {limit} the surface of liquid aluminium"
            " breaks and folds its oxide in (J. Campbell, Castings). This comes from the sizes on the card and a guess"
            " at the losses in the running system: a reason to look at the gating, not proof that it is at fault.",
            tone="caution",
        )
