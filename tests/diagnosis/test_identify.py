"""From words to ranked defects, what speaks for and against, and what to ask."""

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from defectlog.diagnosis.identify import LEADER_RATIO, LEADER_SHARE, as_json, identify, is_undecided
from defectlog.errors import BadInput
from tests.diagnosis.small_rules import real_rules, small_rules


def test_plain_words_find_the_defect_and_say_why() -> None:
    found = identify("round holes with smooth walls on the top face, no sand grains", small_rules())
    first = found.defects[0]
    assert (first.defect, found.undecided, found.places) == ("gas-holes", False, ("cope-face",))
    assert any("smooth" in reason.lower() for reason in first.speaks_for)
    assert first.speaks_against == ()


def test_what_speaks_against_is_said() -> None:
    found = identify("round holes smooth inside with loose sand", small_rules())
    gas = next(item for item in found.defects if item.defect == "gas-holes")
    assert any("Sand inside" in reason and "hardly ever" in reason for reason in gas.speaks_against)


def test_the_same_words_denied_turn_the_order_round() -> None:
    smooth = identify("jagged hole, smooth inside", small_rules())
    rough = identify("jagged hole, not smooth inside", small_rules())
    share = {item.defect: item.share for item in smooth.defects}
    other = {item.defect: item.share for item in rough.defects}
    assert other["shrinkage-cavity"] > share["shrinkage-cavity"]


@pytest.mark.parametrize(
    "text", ["", "   ", "\n", "12 34", "customer changed the order", "qwrtz", "top face", "I reckon bubbles"]
)
def test_nothing_understood_is_said_plainly_and_decides_nothing(text: str) -> None:
    found = identify(text, real_rules())
    assert found.undecided
    assert found.defects == ()
    assert "Say what it looks like" in found.message
    assert found.ask is not None


def test_something_understood_carries_no_message() -> None:
    assert identify("bubbles", small_rules()).message == ""


def test_theories_are_kept_apart() -> None:
    found = identify("bubbles, probably because the sand was wet", small_rules())
    assert found.notes == ("probably because the sand was wet",)


@pytest.mark.parametrize(
    ("text", "defect"),
    [
        ("hard specks like glass, the saw will not touch them", "hard-spots"),
        ("sand baked into the skin", "penetration"),
        ("long furrow across the flat face", "buckle"),
        ("sand slid off the pattern as I rammed it, wall too thick", "ram-off"),
        ("sand slid at the draw, wall too thick", "ram-off"),
    ],
)
def test_the_shop_s_ways_of_saying_it(text: str, defect: str) -> None:
    """Common practice, no source."""
    assert identify(text, real_rules()).defects[0].defect == defect


@pytest.mark.parametrize("text", ["porosity", "holes", "cracked", "gas", "dirt", "rough", "lump", "holes, porosity"])
def test_a_word_that_serves_several_defects_settles_none(text: str) -> None:
    assert identify(text, real_rules()).undecided


def test_who_speaks_of_holes_is_not_asked_about_extra_metal() -> None:
    asked = identify("holes in the casting, porosity", real_rules()).ask
    assert asked is not None
    assert real_rules().signs[asked.sign].group not in ("extra", "missing", "crack")


def test_answers_settle_what_the_text_leaves_open() -> None:
    before = identify("a round jagged hole", small_rules())
    after = identify("a round jagged hole", small_rules(), {"wall-crystalline": "yes", "sand-inside": "no"})
    assert before.undecided
    assert after.defects[0].defect == "shrinkage-cavity"
    assert after.defects[0].share > before.defects[0].share


def test_following_every_question_with_true_answers_reaches_the_defect() -> None:
    rules = small_rules()
    truth = {"metal-missing", "edge-rounded"}
    answers: dict[str, str] = {}
    for _ in rules.signs:
        found = identify("", rules, answers)
        if found.ask is None:
            break
        answers[found.ask.sign] = "yes" if found.ask.sign in truth else "no"
    assert identify("", rules, answers).defects[0].defect == "misrun"
    assert not identify("", rules, answers).undecided


def test_unsure_is_not_asked_again_and_moves_nothing() -> None:
    first = identify("bubbles", small_rules())
    assert first.ask is not None
    second = identify("bubbles", small_rules(), {first.ask.sign: "unsure"})
    assert second.defects == first.defects
    assert second.ask is None or second.ask.sign != first.ask.sign


def test_wrong_answers_are_named_all_at_once() -> None:
    with pytest.raises(BadInput) as caught:
        identify("bubbles", small_rules(), {"wall-smoth": "yes", "shape-round": "maybe"})
    assert [problem.code for problem in caught.value.problems] == ["answer-sign-unknown", "answer-wrong"]
    assert "wall-smooth" in str(caught.value)


@pytest.mark.parametrize(
    ("first", "second", "undecided"),
    [
        (LEADER_SHARE, LEADER_SHARE / LEADER_RATIO, False),
        (LEADER_SHARE - 0.01, 0.0, True),
        (LEADER_SHARE, LEADER_SHARE / LEADER_RATIO + 0.01, True),
    ],
)
def test_one_answer_needs_a_strong_leader_and_a_clear_lead(first: float, second: float, undecided: bool) -> None:
    assert is_undecided({"a": first, "b": second}) is undecided


def test_json_has_the_keys_that_scripts_read() -> None:
    table = as_json(identify("round holes on the top face, no sand grains", small_rules()))
    assert list(table) == ["text", "signs", "places", "defects", "ask", "undecided"]
    assert list(table["signs"][0]) == ["sign", "present", "from", "score"]
    assert list(table["defects"][0]) == ["defect", "name", "share", "for", "against"]
    assert list(table["ask"]) == ["sign", "question", "gain_bits"]
    assert json.loads(json.dumps(table)) == table


@given(st.text())
def test_any_text_can_be_identified(text: str) -> None:
    found = identify(text, small_rules())
    assert found.text == text
    assert sum(item.share for item in found.defects) <= 1.01
    json.dumps(as_json(found))


def test_the_same_text_gives_the_same_answer_whatever_came_between() -> None:
    first = identify("jagged hole with crystals", real_rules())
    identify("something quite different", small_rules())
    assert identify("jagged hole with crystals", real_rules()) == first
