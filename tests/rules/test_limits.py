"""Limits and alloys: every reading that a cause asks for has one, and the figures are those that were published."""

import tomllib
from pathlib import Path

import pytest

from defectlog.foundry.pattern import DRAFT_TABLE, HEIGHT_BANDS
from defectlog.foundry.readings import mould_readings, pattern_readings
from defectlog.records.fields import fields_of
from defectlog.records.kinds import Heat, Mould, Pattern, Sand
from defectlog.rulebase.limits import limit_for
from defectlog.rulebase.load import load_rules
from defectlog.rulebase.shapes import SIDES, RuleBase

PUBLISHED = Path(__file__).parents[1] / "published" / "check_values.toml"
WHEN = {
    "sand_base": {"synthetic", "natural", "oil-bonded"},
    "section": {"thin", "medium", "thick"},
    "pattern_material": {"wood", "metal"},
    "height": {name for _, name in HEIGHT_BANDS},
}


@pytest.fixture(scope="module")
def rules() -> RuleBase:
    return load_rules()


def test_every_reading_that_shows_a_cause_has_a_general_limit(rules: RuleBase) -> None:
    asked = {(cause.reading.quantity, cause.reading.side) for cause in rules.causes.values() if cause.reading}
    general = [(limit.reading, limit.side) for limit in rules.limits if not limit.when]
    assert asked <= set(general)
    assert len(general) == len(set(general))


def test_every_limit_is_of_something_on_record_or_computed(rules: RuleBase) -> None:
    recorded = {spec.name for kind in (Pattern, Sand, Heat, Mould) for spec in fields_of(kind)}
    full = Pattern(
        pattern="P",
        impressions=1,
        poured_kg=1.0,
        min_section_mm=5.0,
        max_section_mm=6.0,
        sprue_height_mm=100.0,
        choke_mm2=100.0,
        gate_mm2=200.0,
        casting_modulus_mm=5.0,
        feeder_modulus_mm=6.0,
    )
    computed = set(pattern_readings(full)) | set(mould_readings(Mould(mould="M", pattern="P"))) | {"stood_h"}
    assert {limit.reading for limit in rules.limits} <= recorded | computed


def test_every_limit_says_who_says_so_and_how_sharp_it_is(rules: RuleBase) -> None:
    for limit in rules.limits:
        assert limit.side in SIDES
        assert limit.softness > 0
        assert limit.sources or limit.judgement, limit.id
        assert set(limit.sources) <= set(rules.sources), limit.id


def test_limits_are_narrowed_only_by_what_is_known_of_a_case(rules: RuleBase) -> None:
    known = WHEN | {"alloy": set(rules.alloys)}
    for limit in rules.limits:
        for key, value in limit.when.items():
            assert value in known[key], limit.id


def test_each_window_has_room_inside(rules: RuleBase) -> None:
    """Under the same circumstances the lower limit stands below the upper one."""
    lower = {(limit.reading, tuple(limit.when.items())): limit for limit in rules.limits if limit.side == "below"}
    pairs = [
        (lower[key], limit)
        for limit in rules.limits
        if limit.side == "above" and (key := (limit.reading, tuple(limit.when.items()))) in lower
    ]
    assert len(pairs) >= 15
    for low, high in pairs:
        assert low.value < high.value, (low.id, high.id)


# (reading, side, circumstances, figures of the sources). The limit must lie among the figures.
FIGURES = [
    # Heine, Loper & Rosenthal (recalled): 4.5 western, 5.0 southern bentonite
    ("moisture_pct", "above", {}, (4.5, 5.0)),
    # the same 6.5–8.5; Ilorin study 8–9; Maiduguri 1.9–5.6
    ("moisture_pct", "above", {"sand_base": "natural"}, (5.6, 8.5, 9.0)),
    ("moisture_pct", "below", {}, (3.0, 3.5)),
    ("compactability_pct", "below", {}, (38.0, 42.0)),  # course notes; AFS practice for hand ramming
    ("permeability", "below", {}, (10.0, 25.0, 80.0)),  # Dietert; AFS practice; course notes
    ("sand_c", "above", {}, (49.0,)),  # Aklinski & Granlund, 120 °F
    ("hardness_b", "above", {}, (85.0, 95.0)),  # hand and high-density moulding
    ("gate_velocity_m_s", "above", {}, (0.5,)),  # J. Campbell
    ("modulus_ratio", "below", {}, (1.2,)),  # feeder design page
    ("min_section_mm", "below", {}, (2.29, 4.76)),  # wall-thickness guide
    ("melt_c", "above", {}, (760.0, 800.0)),  # practice; Raji 2005
    ("density_index_pct", "above", {}, (2.0, 5.0)),  # recalled; no universal limit by Aleris
    ("holding_min", "above", {}, (30.0, 60.0)),  # recalled; strontium study
    # alloy 356: Ndaliman & Pius from 680; recalled 690–740, course of 750 as the point of more defects
    ("pour_c", "below", {"alloy": "356"}, (680.0, 690.0)),
    ("pour_c", "above", {"alloy": "356"}, (700.0, 750.0)),
    ("pour_c", "below", {"alloy": "413"}, (660.0,)),
    ("pour_c", "below", {"section": "thin"}, (720.0,)),
    ("draft_deg", "below", {}, (1.0,)),  # aluminium sand foundry's answers, faces 1–4 in
]


@pytest.mark.parametrize(("reading", "side", "case", "figures"), FIGURES)
def test_a_limit_stands_among_the_figures_of_its_sources(
    rules: RuleBase, reading: str, side: str, case: dict[str, str], figures: tuple[float, ...]
) -> None:
    limit = limit_for(rules.limits, reading, side, case)
    assert limit is not None
    assert min(figures) <= limit.value <= max(figures)


def test_limits_of_draft_are_the_published_table(rules: RuleBase) -> None:
    """NPTEL, Manufacturing Processes I, lecture 4, table 2, outside faces."""
    for material in ("wood", "metal"):
        for (_, band), angle in zip(HEIGHT_BANDS, DRAFT_TABLE[material, "outside"], strict=True):
            case = {"pattern_material": material, "height": band}
            limit = limit_for(rules.limits, "draft_deg", "below", case)
            assert limit is not None
            assert limit.value == angle
            assert dict(limit.when) == case


def test_an_alloy_with_its_own_window_keeps_it_in_a_thin_wall(rules: RuleBase) -> None:
    limit = limit_for(rules.limits, "pour_c", "above", {"alloy": "413", "section": "thin"})
    assert limit is not None
    assert limit.id == "pour-temperature-above-413"


def test_freezing_ranges_of_alloys_are_those_of_a_published_table(rules: RuleBase) -> None:
    """Checks freezing-ranges-lm (data book of the LM series) and liquidus-solidus-asm (recalled)."""
    checks = {check["id"]: check for check in tomllib.loads(PUBLISHED.read_text(encoding="utf-8"))["check"]}
    tables = {
        name: tuple(pair)
        for check_id in ("liquidus-solidus-asm", "freezing-ranges-lm")
        for name, pair in zip(checks[check_id]["inputs"]["alloys"], checks[check_id]["expected"], strict=True)
    }
    for alloy in rules.alloys.values():
        printed = [tables[name] for name in (alloy.id, *alloy.also) if name in tables]
        assert (alloy.liquidus_c, alloy.solidus_c) in printed, alloy.id


def test_alloys_are_poured_hotter_than_they_freeze_and_answer_to_one_name_each(rules: RuleBase) -> None:
    names = [name.lower() for alloy in rules.alloys.values() for name in (alloy.id, *alloy.also)]
    assert len(names) == len(set(names))
    for alloy in rules.alloys.values():
        assert alloy.solidus_c < alloy.liquidus_c < alloy.pour_low_c < alloy.pour_high_c
        assert set(alloy.sources) <= set(rules.sources)
        assert alloy.shrinkage_pct is None or 4.4 <= alloy.shrinkage_pct <= 6.6  # Magnusson & Arnberg's two ends
