"""How values are said: figures, runs of names, lines drawn together."""

from datetime import date, datetime

import pytest

from defectlog.foundry import readings
from defectlog.records.fields import field_of
from defectlog.records.kinds import Heat, Mould, Pattern, Sand
from defectlog.report.readings import READING_NAMES
from defectlog.report.values import as_typed, drawn_together, field_texts, json_value, runs, value_text


@pytest.mark.parametrize(
    ("value", "units", "said"),
    [
        (715.0, "metric", "715 °C"),
        (715.0, "us", "1319 °F"),  # 715 × 9/5 + 32
        (737.7777777, "metric", "737.8 °C"),
        (12.345, "metric", "12.345 °C"),
        (0.0, "metric", "0 °C"),
        (None, "us", "–"),
    ],
)
def test_a_typed_figure_keeps_its_digits_and_a_converted_one_gets_four(value, units, said):
    assert value_text(field_of(Mould, "pour_c"), value, units) == said


def test_what_is_unknown_is_a_dash_and_no_is_no():
    assert value_text(field_of(Heat, "skimmed"), None) == "–"
    assert value_text(field_of(Heat, "skimmed"), False) == "no"
    assert value_text(field_of(Heat, "melted_at"), datetime(2026, 3, 9, 14, 20)) == "2026-03-09 14:20"


def test_only_what_is_on_record_is_told():
    sand = Sand(sand="S-1", mixed_at=datetime(2026, 3, 9), squeeze="holds")
    assert field_texts(sand, leave_out=("sand", "mixed_at")) == [("the hand test", "holds")]


@pytest.mark.parametrize(
    ("names", "said"),
    [
        (("M-1", "M-2", "M-3"), ["M-1..M-3"]),
        (("M-1", "M-3", "M-4", "X-5"), ["M-1", "M-3..M-4", "X-5"]),
        (("M-009", "M-010"), ["M-009..M-010"]),
        (("M-3", "M-2"), ["M-3", "M-2"]),
        (("side", "side B"), ["side", "side B"]),
        ((), []),
    ],
)
def test_runs_of_names_are_drawn_together(names, said):
    assert runs(names) == said


def test_names_in_a_command_are_quoted_where_a_shell_needs_it():
    assert as_typed(["M-1", "M-2", "a b; rm"]) == 'M-1..M-2 "a b; rm"'


def test_what_befell_several_is_said_once():
    told = [("mould M-1", "was A"), ("mould M-2", "was A"), ("mould M-3", "was B"), ("--pour-c", "odd")]
    assert drawn_together(told) == ["mould M-1..M-2: was A", "mould M-3: was B", "--pour-c: odd"]
    many = [(f"finding on M{number}", "withdrawn") for number in range(0, 40, 2)]
    assert drawn_together(many)[0].endswith("and 14 more: withdrawn")


def test_json_values_are_iso_text():
    assert [json_value(each) for each in (date(2026, 3, 9), datetime(2026, 3, 9, 14, 20), None, 1.5, True)] == [
        "2026-03-09",
        "2026-03-09T14:20",
        None,
        1.5,
        True,
    ]


def test_every_figure_that_can_be_worked_out_has_a_name():
    pattern = Pattern(
        pattern="P-1", impressions=1, casting_kg=1, poured_kg=2, min_section_mm=5, max_section_mm=9,
        sprue_height_mm=150, choke_mm2=100, gate_mm2=300, casting_modulus_mm=5, feeder_modulus_mm=6,
    )  # fmt: skip
    mould = Mould(
        mould="M-1", pattern="P-1", made_at=datetime(2026, 3, 9, 8), poured_at=datetime(2026, 3, 9, 9),
        cooling_min=20, pour_s=4,
    )  # fmt: skip
    sand = Sand(sand="S-1", mixed_at=datetime(2026, 3, 9), moisture_pct=3, active_clay_pct=6)
    found = {*readings.pattern_readings(pattern), *readings.mould_readings(mould, sand, None, pattern)}
    assert len(found) > 8
    assert found <= set(READING_NAMES)
