"""A page says everything that the rule says, in full, with who says so. Our own wording, no source."""

import json
from dataclasses import replace

import pytest

from defectlog.rulebase.page_parts import all_sources, limit_line, limits_of
from defectlog.rulebase.pages import (
    WIDTH,
    ListRow,
    cause_as_json,
    cause_page,
    defect_as_json,
    defect_page,
    list_rows,
    page_text,
)
from defectlog.rulebase.shapes import Explains, Limit, Told
from tests.rulebase.small_base import NO_VENT, SOUND, WET, defect

CAUSE_PAGE = """\
Wet sand (wet-sand)
===================

What it is
  The batch is too wet.
  It steams. The steam makes holes.
  It is on or off for a whole batch of sand; usually on in about 10 of 100
    (judgement).

What shows it
  On record it is shown by moisture_pct (moisture above its limit).
  Above 4.5 % (in doubt within about 0.4 % of it). Sources: handbook.

Looks that speak for it
  Strongly: smooth wall.
  Mildly: top.

Looks that speak against it
  Mildly: frosty wall.

It brings about
  Blow (blow): weight 1.5: 1 source read (handbook); 1 recalled, counts half
    (old-book)
  Dent (dent): weight 0.5: 1 recalled, counts half (old-book)
  Step (step): weight 0.5: judgement: Wet sand swells.

Taken for it
  No vent (no-vent): Count the vents.

Cautions: read these first
  steam: Wet sand steams: stand clear.
  saws: Keep the guard on.

Look at this next
  Squeeze a handful.
  It takes 1 minute.

What to do, the cheapest first
  1. Free: Turn the heap and let it stand. It may bring: dent.
  2. Some work: Saw up the heap's old cover and put on a new one. Cautions:
    saws.

Sources
  handbook: A handbook. A. Writer, 1950; handbook. the shelf. Read.
  old-book: An old book. B. Writer; book. Recalled, not read again.
"""
DEFECT_PAGE = """\
Blow (blow)
===========

How it looks
  A round hole.
  On top.
  Usually found at shakeout. Family B: cavities.

Signs
  Usually: smooth wall.
  Rarely: frosty wall.

Places
  Usually: top.

Taken for it
  Dent (dent): Feel the edge. Sources: handbook.
  Step (step): Feel the edge. Sources: handbook.

How to make sure
  Look at it with a glass.

What brings it about, the most often named first
  No vent (no-vent): weight 1.5: 1 source read (handbook); 1 recalled, counts
    half (old-book)
  Wet sand (wet-sand): weight 1.5: 1 source read (handbook); 1 recalled,
    counts half (old-book)

Sources
  handbook: A handbook. A. Writer, 1950; handbook. the shelf. Read.
  old-book: An old book. B. Writer; book. Recalled, not read again.
"""


def test_the_page_of_a_cause() -> None:
    assert page_text(cause_page(SOUND, WET)) == CAUSE_PAGE


def test_the_page_of_a_defect() -> None:
    assert page_text(defect_page(SOUND, defect("blow"))) == DEFECT_PAGE


def test_the_first_few_reports_are_printed_and_how_many_more_there_are() -> None:
    told = tuple(f"hole number {number}" for number in range(5))
    text = page_text(defect_page(replace(SOUND, told={"blow": Told("blow", told)}), defect("blow")))
    assert "“hole number 2”" in text
    assert "hole number 3" not in text
    assert "2 more in told/blow.toml." in text


def test_cautions_stand_before_the_advice_that_needs_them() -> None:
    text = page_text(cause_page(SOUND, WET))
    assert text.index("Keep the guard on.") < text.index("Look at this next") < text.index("Saw up the heap")


def test_a_retired_rule_says_so_first_and_points_to_the_other() -> None:
    retired = replace(WET, status="retired", replaced_by="no-vent")
    first, second = cause_page(SOUND, retired).sections[0].lines
    assert "no longer put forward" in first
    assert second == "In its place answers No vent (no-vent). See: defectlog rules show no-vent"


def test_a_page_of_a_broken_base_names_what_is_missing_and_is_printed_all_the_same() -> None:
    broken = replace(WET, cautions=("ghosts",), sources=("hearsay",), explains=(Explains("luck"),))
    text = page_text(cause_page(SOUND, broken))
    assert "ghosts: this caution is missing from cautions.toml" in text
    assert "hearsay: this source is missing from sources.toml" in text
    assert "luck: weight 0: nobody says so" in text


def test_the_sources_of_a_cause_are_its_own_and_those_of_its_defects_each_once() -> None:
    cause = replace(WET, sources=("a", "b"), explains=(Explains("blow", ("b", "c"), ("d",)), Explains("dent", ("a",))))
    assert all_sources(cause) == ("a", "b", "c", "d")


def test_a_limit_is_printed_with_its_case_its_doubt_and_who_says_so() -> None:
    limit = Limit(
        "x",
        "pour_c",
        "below",
        690.0,
        15.0,
        judgement="Our own trials.",
        when={"alloy": "356", "sand_base": "natural"},
        note="Measure your own.",
        own=True,
    )
    assert limit_line(limit) == (
        "The shop's own: below 690 °C with alloy 356 and sand base natural (in doubt within about 15 °C of it). "
        "Judgement: Our own trials. Measure your own."
    )


def test_the_shop_s_limit_is_printed_before_ours_and_other_sides_not_at_all() -> None:
    shop = replace(SOUND.limits[0], id="shop", value=3.9, own=True)
    narrow = replace(SOUND.limits[0], id="narrow", when={"alloy": "356"})
    rules = replace(SOUND, limits=(narrow, *SOUND.limits, shop))
    assert [limit.id for limit in limits_of(rules, WET)] == ["shop", "too-wet", "narrow"]
    assert limits_of(rules, NO_VENT) == []


@pytest.mark.parametrize("width", [40, WIDTH, 120])
def test_no_line_is_longer_than_the_width_unless_one_word_is(width: int) -> None:
    long = replace(WET, summary="word " * 60 + "https://an.invented.example/" + "x" * 130)
    for line in page_text(cause_page(SOUND, long), width).splitlines():
        assert len(line) <= width or line.strip().startswith("https://")


def test_json_holds_every_field_with_weights_limits_cautions_and_sources() -> None:
    held = json.loads(json.dumps(cause_as_json(SOUND, WET)))
    assert [(item["defect"], item["weight"]) for item in held["explains"]] == [
        ("blow", 1.5),
        ("dent", 0.5),
        ("step", 0.5),
    ]
    assert held["limits"][0]["value"] == 4.5
    assert held["caution_texts"] == {"steam": "Wet sand steams: stand clear.", "saws": "Keep the guard on."}
    assert [source["id"] for source in held["source_list"]] == ["handbook", "old-book"]
    assert set(WET.__dataclass_fields__) <= held.keys()


def test_json_of_a_defect_has_its_causes_the_heaviest_first() -> None:
    heavier = replace(WET, explains=(Explains("blow", ("handbook",), judgement="So it is."),))
    lighter = replace(NO_VENT, explains=(Explains("blow", recalled=("old-book",)),))
    rules = replace(SOUND, causes={"no-vent": lighter, "wet-sand": heavier})
    held = json.loads(json.dumps(defect_as_json(rules, defect("blow"))))
    assert [(item["cause"], item["acts_at"], item["weight"]) for item in held["causes"]] == [
        ("wet-sand", "sand", 1.0),
        ("no-vent", "mould", 0.5),
    ]
    assert set(defect("blow").__dataclass_fields__) <= held.keys()


def test_the_list_has_every_rule_the_retired_ones_too() -> None:
    retired = replace(NO_VENT, id="gone", status="retired")
    rows = list_rows(replace(SOUND, causes={**SOUND.causes, "gone": retired}))
    assert [row.id for row in rows] == ["blow", "dent", "step", "gone", "no-vent", "wet-sand"]
    assert rows[0] == ListRow("defect", "blow", "Blow", "cavities", "in force", links=2)
    assert rows[3] == ListRow("cause", "gone", "No vent", "mould", "retired", links=3)
