"""Readings that are hardly ever true are taken and shown; what the sources print is left in peace."""

from datetime import datetime

import pytest

from defectlog.records.checks import faults, off_scale
from defectlog.records.fields import fields_of
from defectlog.records.kinds import BY_SHEET, Heat, Mould, Pattern, Sand
from defectlog.records.plausible import PLAUSIBLE

NOW = datetime(2026, 3, 2)
# What is printed for sands, melts and moulds that gave castings: (kind, field, lowest, highest), source.
PRINTED = [
    (Sand, "moisture_pct", 1.9, 9.0),  # Gana et al.; Aweda and Jimoh: natural sands judged suitable, and an optimum
    (Sand, "moisture_pct", 3.0, 8.5),  # Heine, Loper and Rosenthal, from memory: synthetic to natural, aluminium
    (Sand, "compactability_pct", 35.0, 50.0),  # foundry lexicon (machines) to practice for hand ramming, from memory
    (Sand, "permeability", 6.0, 120.0),  # Dim and Abdullahi; university notes on bench moulding
    (Sand, "green_strength_kpa", 35.0, 140.0),  # university notes on bench moulding
    (Sand, "gfn", 35.0, 225.0),  # Gana et al.; Heine and Loper, from memory
    (Sand, "mull_min", 1.0, 10.0),  # university sheet, fast muller; TJFS-108, fully mulled
    (Heat, "density_index_pct", 0.81, 11.44),  # Giesserei-Lexikon, density index, worked example
    (Heat, "melt_c", 650.0, 850.0),  # Raji 2005, range tried
    (Mould, "pour_c", 620.0, 850.0),  # Schiele and Schön; Raji 2005
    (Mould, "hardness_b", 60.0, 95.0),  # university notes on bench moulding; practice, from memory
    (Pattern, "draft_deg", 0.5, 3.0),  # NPTEL, Manufacturing Processes I, lecture 4, table 2
    (Pattern, "min_section_mm", 2.29, 12.0),  # 0.09 in, quoted from the American Foundry Society
]
SLIPS = [
    (Sand, "moisture_pct", 36.0),  # the point left out
    (Sand, "compactability_pct", 4.2),
    (Sand, "sand_c", 104.0),  # °F typed as °C
    (Heat, "melt_c", 560.0),
    (Heat, "density_index_pct", 60.0),
    (Mould, "pour_c", 1000.0),
    (Mould, "pour_c", 72.0),
    (Mould, "hardness_b", 8.0),
    (Mould, "pour_s", 900.0),
    (Pattern, "draft_deg", -1.0),
    (Pattern, "min_section_mm", 0.5),
]
NEEDED = {
    Sand: {"sand": "S-1", "mixed_at": NOW},
    Heat: {"heat": "H-1", "melted_at": NOW},
    Mould: {"mould": "M-1", "pattern": "P-1"},
    Pattern: {"pattern": "P-1", "impressions": 1},
}


def codes(kind, field, value):
    return [problem.code for problem in off_scale(kind(**NEEDED[kind], **{field: value}), "here")]


@pytest.mark.parametrize(("kind", "field", "low", "high"), PRINTED)
def test_what_is_printed_is_left_in_peace(kind, field, low, high):
    for value in (low, high):
        assert codes(kind, field, value) == []


@pytest.mark.parametrize(("kind", "field", "value"), SLIPS)
def test_a_slip_is_taken_and_questioned(kind, field, value):
    assert faults(kind(**NEEDED[kind], **{field: value})) == []
    assert codes(kind, field, value) == ["unlikely"]


@pytest.mark.parametrize(("kind", "field", "value"), [(Mould, "hardness_b", 105.0), (Heat, "returns_pct", -2.0)])
def test_beyond_its_scale_is_said_once(kind, field, value):
    assert codes(kind, field, value) == ["off-scale"]


@pytest.mark.parametrize("sheet", PLAUSIBLE)
def test_every_span_is_of_a_field_within_what_is_possible_and_says_where_from(sheet):
    specs = {spec.name: spec for spec in fields_of(BY_SHEET[sheet])}
    for name, span in PLAUSIBLE[sheet].items():
        assert span.low < span.high
        assert specs[name].least <= span.low or specs[name].least <= 0
        assert span.high <= specs[name].most
        assert span.why
