"""Why a cause stands where it stands, in sentences."""

from dataclasses import replace
from datetime import date

import pytest

from defectlog.diagnosis.account import WORTH_SAYING, impressions_text, speaks
from defectlog.diagnosis.looks import Look
from defectlog.diagnosis.ranking import Parts, Ranked
from defectlog.diagnosis.same_place import SamePlace
from defectlog.diagnosis.side_by_side import side_by_side, spread_over
from defectlog.diagnosis.states import states_of
from defectlog.rulebase.shapes import Limit
from tests.diagnosis.small_books import (
    DAMP_LADLE,
    GAS,
    NO_FLOW_OFF,
    ONE_GATE,
    WET,
    WET_BY_HAND,
    candidate,
    cause,
    evidence_of,
    favouring,
    heat,
    history,
    mould,
    rules,
    seen,
    squeezed_book,
    verdict,
    wet_sand_book,
)

NONE = Parts(0, 0, 0, 0, 0, 0)
WET_SAND = wet_sand_book()


def said(of=WET, parts=NONE, book=WET_SAND, looks=(), verdicts=(), same=None, limit=None, system="metric"):
    evidence = evidence_of(book)
    standing = candidate(of, limit)
    bad = evidence.bad(GAS)
    if of.acts_at == "impression":
        return speaks(Ranked(standing, 0.5, parts, None), None, None, same, looks, verdicts, rules(of), system)
    states = states_of(standing, evidence, {})
    beside = side_by_side(standing, states, evidence, bad)
    spread = spread_over(evidence, of.acts_at, bad)
    return speaks(Ranked(standing, 0.5, parts, states), beside, spread, same, looks, verdicts, rules(of), system)


def test_readings_that_help_are_told_side_by_side() -> None:
    speaks_for, against = said(parts=replace(NONE, readings=8.0))
    assert speaks_for == (
        "moisture above 4.5 % on 3 of 3 bad batches of sand, on 0 of 9 good (middle 5.4 % against 3.6 %)",
    )
    assert against == ()


def test_the_hand_test_is_told_where_nothing_was_measured() -> None:
    speaks_for, against = said(WET_BY_HAND, replace(NONE, readings=8.0), squeezed_book())
    assert speaks_for == (
        "not measured, but by hand: a squeezed handful sticks on 3 of 3 bad batches of sand, on 0 of 9 good",
    )
    assert against == ()


def test_a_hand_test_that_showed_nothing_or_points_the_other_way_is_not_told() -> None:
    dry = cause("sand-too-dry", "sand", ("moisture_pct", "above", "crumbles"))
    assert said(dry, replace(NONE, readings=8.0), squeezed_book()) == ((), ())
    assert said(WET_BY_HAND, replace(NONE, readings=-8.0), squeezed_book()) == ((), ())


def test_readings_that_hurt_are_told_on_the_other_side() -> None:
    speaks_for, against = said(parts=replace(NONE, readings=-8.0))
    assert (speaks_for, len(against)) == ((), 1)


def test_where_the_bad_castings_lie_is_told_in_units_of_the_cause() -> None:
    speaks_for, _ = said(parts=replace(NONE, spread=5.0))
    assert speaks_for == ("18 bad castings are in 3 of 12 batches of sand, half of them in 2",)


def test_a_fault_of_the_plate_is_told_in_days_of_this_defect() -> None:
    book = history(
        [mould("M1", 1), mould("M2", 2), mould("M3", 3)], [seen("M1"), seen("M2"), seen("M3", defect="misrun")]
    )
    (text,), _ = said(NO_FLOW_OFF, replace(NONE, spread=2.0), book)
    assert text.startswith("2 bad castings are spread over 2 of 3 pouring days")


def test_what_hardly_counts_is_not_told() -> None:
    little = WORTH_SAYING * 0.9
    assert said(parts=replace(NONE, readings=little, spread=-little)) == ((), ())


def test_the_weightiest_comes_first() -> None:
    speaks_for, _ = said(parts=replace(NONE, readings=1.0, spread=5.0))
    assert [text.split()[0] for text in speaks_for] == ["18", "moisture"]


def test_looks_and_places_are_told_by_their_plain_names() -> None:
    sees = replace(WET, favoured_by=favouring({"smooth": "strong"}, {"cope": "mild"}))
    speaks_for, against = said(sees, replace(NONE, looks=2.0, place=1.0), looks=[Look({"smooth": True}, ("cope",))])
    assert speaks_for == ("look and place: cope face, smooth wall",)
    assert against == ()
    frosty = replace(WET, opposed_by=favouring({"smooth": "strong"}))
    assert said(frosty, replace(NONE, looks=-2.0), looks=[Look({"smooth": True})])[1] == (
        "look and place: smooth wall",
    )


@pytest.mark.parametrize("history_bits", [1.5, -1.5, 0.0])
def test_a_verdict_is_told_on_its_own_side_whatever_the_others_did_to_the_sum(history_bits: float) -> None:
    """Ruled out here in spring and confirmed on another pattern in autumn: one of them outweighs the other."""
    speaks_for, against = said(
        parts=replace(NONE, history=history_bits),
        verdicts=[
            replace(verdict(WET.id, "ruled out", date(2026, 4, 2)), basis="dried the sand, no better"),
            verdict(WET.id, on=date(2026, 10, 5), pattern="P-7"),
        ],
    )
    assert speaks_for == ("confirmed on P-7, 2026-10-05",)
    assert against == ("ruled out on P-1, 2026-04-02: dried the sand, no better",)


def test_yes_or_no_has_no_middle() -> None:
    skim = cause("not-skimmed", "heat", ("skimmed", "below"))
    book = history(
        [mould("M1", heat="H1"), mould("M2", heat="H2")],
        [seen("M1")],
        heats=[heat("H1", skimmed=False), heat("H2", skimmed=True)],
    )
    speaks_for, _ = said(skim, replace(NONE, readings=1.0), book, limit=Limit("skim", "skimmed", "below", 0.5, 0.1))
    assert speaks_for == ("not skimmed on 1 of 1 bad heat, on 0 of 1 good",)


def test_a_cause_with_no_reading_has_only_its_spread() -> None:
    speaks_for, _ = said(DAMP_LADLE, replace(NONE, spread=1.0, readings=0.0))
    assert len(speaks_for) == 1


def test_an_impression_that_is_always_bad_is_named() -> None:
    same = SamePlace({1: 0, 2: 17, 3: 2}, 1e-6, 8)
    speaks_for, _ = said(ONE_GATE, replace(NONE, spread=9.0), same=same)
    assert speaks_for == ("impression 2 was bad in 17 moulds, the other 2 in 2 together (8 not placed)",)
    assert impressions_text(SamePlace({1: 0, 2: 0}, None, 3)) == "no bad casting has its impression on record"


def test_degrees_are_told_in_the_shops_own() -> None:
    cold = cause("cold", "mould", ("pour_c", "below"))
    (text,), _ = said(cold, replace(NONE, readings=1.0), history(
        [mould("M1", pour_c=680.0), mould("M2", pour_c=720.0)], [seen("M1")]
    ), system="us")  # fmt: skip
    assert "°F" in text
    assert "°C" not in text
