"""Readings computed from invented cards and moulds: figures by hand, the words, and nothing from nothing."""

from dataclasses import replace
from datetime import datetime
from typing import Any

import pytest

from defectlog import units
from defectlog.foundry.readings import ComputedReading, mould_readings, pattern_readings, section_band
from defectlog.records.kinds import Heat, Mould, Pattern, Sand
from defectlog.rulebase.shapes import Alloy

CARD = Pattern(
    pattern="P-101",
    impressions=4,
    casting_kg=0.6,
    poured_kg=4.36,
    min_section_mm=5.0,
    max_section_mm=15.0,
    sprue_height_mm=150.0,
    choke_mm2=110.0,
    gate_mm2=210.0,
    casting_modulus_mm=5.5,
    feeder_modulus_mm=5.7,
)
MOULD = Mould(
    mould="M-1",
    pattern="P-101",
    made_at=datetime(2026, 1, 5, 8, 0),
    poured_at=datetime(2026, 1, 5, 10, 30),
    pour_c=705.0,
    pour_s=7.0,
)
BATCH = Sand(sand="S-1", mixed_at=datetime(2026, 1, 5, 6, 30), moisture_pct=3.0, active_clay_pct=7.5)
HEAT = Heat(heat="H-1", melted_at=datetime(2026, 1, 5, 9, 0))
ALLOY = Alloy("356", "invented for this test", (), 615.0, 550.0, 690.0, 740.0, ())


def test_a_card_gives_its_readings_with_what_they_come_from() -> None:
    """√(2·9.81·0.15) = 1.7155 m/s; times 0.8 and 110/210: 0.7189 m/s; 4.36 kg at 2400 kg/m³ through 110 mm²: 12.03 s;
    a 5 mm wall, modulus 0.25 cm, at 3.78 min/cm² freezes in 14.175 s."""
    found = pattern_readings(CARD)
    by_hand = {
        "gate_velocity_m_s": 0.7189,
        "gating_ratio": 210 / 110,
        "fill_s": 12.034,
        "fill_ratio": 12.034 / 14.175,
        "modulus_ratio": 5.7 / 5.5,
        "section_ratio": 3.0,
        "casting_yield_pct": 2.4 / 4.36 * 100,
    }
    assert {name: reading.value for name, reading in found.items()} == pytest.approx(by_hand, rel=1e-3)
    words = found["gate_velocity_m_s"].provenance
    assert words == "computed from choke 110 mm², gate 210 mm², head 150 mm, discharge 0.8"


@pytest.mark.parametrize(
    ("blank", "absent"),
    [
        ("choke_mm2", {"gate_velocity_m_s", "gating_ratio", "fill_s", "fill_ratio"}),
        ("gate_mm2", {"gate_velocity_m_s", "gating_ratio"}),
        ("sprue_height_mm", {"gate_velocity_m_s", "fill_s", "fill_ratio"}),
        ("poured_kg", {"fill_s", "fill_ratio", "casting_yield_pct"}),
        ("min_section_mm", {"fill_ratio", "section_ratio"}),
        ("max_section_mm", {"section_ratio"}),
        ("feeder_modulus_mm", {"modulus_ratio"}),
        ("casting_kg", {"casting_yield_pct"}),
    ],
)
def test_a_reading_is_absent_when_what_it_needs_is_not_on_record(blank: str, absent: set[str]) -> None:
    everything = set(pattern_readings(CARD))
    without: dict[str, Any] = {blank: None}
    assert everything - set(pattern_readings(replace(CARD, **without))) == absent


def test_a_zero_on_the_card_gives_no_reading_and_no_error() -> None:
    zeros = replace(CARD, choke_mm2=0.0, casting_modulus_mm=0.0, min_section_mm=0.0, poured_kg=0.0)
    assert pattern_readings(zeros) == {}


def test_a_mould_gives_its_readings() -> None:
    found = mould_readings(MOULD, BATCH, HEAT, CARD, ALLOY, shaken_out_at=datetime(2026, 1, 5, 11, 0))
    by_hand = {"superheat_c": 90.0, "stood_h": 2.5, "cooling_min": 30.0, "temper_ratio": 0.4, "fill_ratio": 7 / 14.175}
    assert {name: reading.value for name, reading in found.items()} == pytest.approx(by_hand, rel=1e-3)
    assert found["superheat_c"].provenance == ("computed from poured at 705 °C, heat H-1, liquidus of 356 615 °C")
    assert "measured pour of 7 s" in found["fill_ratio"].provenance


def test_a_cooling_time_on_record_is_not_computed_over() -> None:
    measured = replace(MOULD, cooling_min=42.0)
    found = mould_readings(measured, shaken_out_at=datetime(2026, 1, 5, 11, 0))
    assert found["cooling_min"] == ComputedReading("cooling_min", 42.0, "minutes", "on record")


def test_times_in_the_wrong_order_give_nothing() -> None:
    backwards = replace(MOULD, made_at=datetime(2026, 1, 6, 8, 0))
    assert "stood_h" not in mould_readings(backwards)
    assert "cooling_min" not in mould_readings(MOULD, shaken_out_at=datetime(2026, 1, 5, 9, 0))


def test_a_bare_mould_gives_nothing() -> None:
    assert mould_readings(Mould(mould="M-2", pattern="P-101")) == {}


def test_readings_are_in_units_that_can_be_shown() -> None:
    found = pattern_readings(CARD) | mould_readings(MOULD, BATCH, HEAT, CARD, ALLOY)
    assert {reading.quantity for reading in found.values()} <= set(units.METRIC)


@pytest.mark.parametrize(
    ("wall", "band"), [(None, ""), (4.9, "thin"), (5.0, "medium"), (12.0, "medium"), (12.5, "thick")]
)
def test_walls_are_named_as_the_limits_name_them(wall: float | None, band: str) -> None:
    assert section_band(wall) == band
