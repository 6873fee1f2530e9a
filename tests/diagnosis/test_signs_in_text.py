"""Words to signs, on the real rule base. Expected readings are common sense of shop English, no source."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from defectlog.diagnosis.phrase_index import DENIES
from defectlog.diagnosis.posterior import defect_posterior, log_ratio, model_of
from defectlog.diagnosis.rule_words import index_of
from defectlog.diagnosis.signs_in_text import SignSeen, signs_of, with_answers
from defectlog.diagnosis.words import stems_of
from defectlog.rulebase.strengths import words_by_id
from tests.diagnosis.small_rules import real_rules, small_rules

SIGNS = sorted(real_rules().signs)
DENYING = {"not", "nothing"}


def seen(text: str) -> dict[str, bool]:
    return {item.sign: item.present for item in signs_of(text, real_rules())}


def plain_phrase(sign: str) -> str:
    """The first of a sign's own words that denies nothing and whose denial is about it ("no frosty inside")."""
    for says in real_rules().signs[sign].says:
        usable = not says.startswith(DENIES) and not DENYING.intersection(stems_of(says))
        if usable and seen(f"there is no {says}").get(sign) is False:
            return says
    raise AssertionError(f"{sign} has no words that can be denied")


@pytest.mark.parametrize("sign", SIGNS)
def test_every_way_of_saying_a_sign_is_read_as_that_sign(sign: str) -> None:
    for says in real_rules().signs[sign].says:
        assert seen(says.removeprefix(DENIES)).get(sign) is (not says.startswith(DENIES)), says


@pytest.mark.parametrize("sign", SIGNS)
def test_a_sign_and_its_denial_move_the_shares_in_opposite_ways(sign: str) -> None:
    """The defect that the sign speaks for most (or against, where it only speaks against) goes up with the sign."""
    rules = real_rules()
    phrase = plain_phrase(sign)
    assert seen(phrase)[sign] is True
    there = shares_of(phrase)
    denied = shares_of(f"there is no {phrase}")
    logs = model_of(rules).sign_logs(rules.signs[sign], True)
    if not any(logs):
        assert sign not in model_of(rules).listed
        return
    strongest = max(range(len(logs)), key=lambda number: abs(logs[number]))
    defect = model_of(rules).defects[strongest].id
    rises = there[defect] > denied[defect]
    assert rises is (logs[strongest] > 0)


def shares_of(text: str) -> dict[str, float]:
    return defect_posterior(signs_of(text, real_rules()), (), real_rules())


@pytest.mark.parametrize("defect", sorted(real_rules().defects))
def test_every_listed_sign_speaks_for_or_against_its_defect_as_its_word_says(defect: str) -> None:
    rules = real_rules()
    for sign, word in words_by_id(rules.defects[defect].signs).items():
        side = log_ratio(rules.signs[sign], word, True)
        if word in ("always", "usually"):
            assert side > 0, sign
        elif word in ("rarely", "never"):
            assert side < 0, sign
        else:
            assert side >= 0, sign


@pytest.mark.parametrize(
    ("text", "sign", "present"),
    [
        ("no holes when I cut it", "found-when-cut", False),
        ("ran full", "metal-missing", False),
        ("skin was clean, then the drill found it", "skin-clean", True),
        ("skin was clean, then the drill found it", "found-when-cut", True),
        ("isn't smooth inside", "wall-smooth", False),
        ("isnt smooth inside", "wall-crystalline", True),
        ("holes with no sand in them", "sand-inside", False),
        ("wall is spongy rather than smooth", "wall-smooth", False),
        ("crack is dark inside", "crack-line", True),
        ("crack is dark inside", "crack-dark-face", True),
        ("sprue wasnt full", "sprue-not-full", True),
        ("metal didnt fuse", "seam-unfused", True),
        ("littel roud shinny hoels", "shape-round", True),
        ("gray and dull inside", "colour-dull-grey", True),
        ("pinholes", "hole-tiny", True),
        ("8 mm holes", "hole-large", True),
        ("pores of 0,5 mm", "hole-tiny", True),
        ("pattern drew clean", "sand-on-pattern", False),
        ("torn along the draw", "skin-torn", True),
        ("face drew down over the boss", "shape-flat-dish", True),
    ],
)
def test_readings(text: str, sign: str, present: bool) -> None:
    assert seen(text).get(sign) is present


@pytest.mark.parametrize(
    ("text", "sign"),
    [
        ("holes just under the top skin", "opens-to-surface"),
        ("not just smooth but shiny inside", "wall-smooth"),
        ("I think it was smooth inside", "wall-smooth"),
        ("all round the joint", "shape-round"),
        ("sand left on the pattern", "skin-gritty"),
        ("not seen at machining", "hard-under-tool"),
        ("bolt 8 mm wide, no hole", "hole-large"),
    ],
)
def test_what_is_not_read(text: str, sign: str) -> None:
    assert seen(text).get(sign) is not True


@pytest.mark.parametrize(
    "text",
    [
        "customer changed the order",
        "painted wrong colour",
        "lost in the stores",
        "no tag on the box",
        "ask the foreman",
        "",
    ],
)
def test_notes_about_other_things_show_no_signs(text: str) -> None:
    assert seen(text) == {}


def test_a_sign_keeps_the_words_it_came_from() -> None:
    (found,) = signs_of("it was FROSTY Inside", small_rules())
    assert found == SignSeen("wall-crystalline", True, "FROSTY Inside", 100)


def test_answers_take_the_place_of_what_was_read() -> None:
    read = (SignSeen("a", True, "x", 100), SignSeen("b", True, "y", 100))
    told = with_answers(read, {"a": "no", "b": "unsure", "c": "yes"})
    assert [(item.sign, item.present) for item in told] == [("a", False), ("c", True)]


@given(st.text())
def test_any_text_gives_known_signs_within_it(text: str) -> None:
    for item in signs_of(text, small_rules()):
        assert item.sign in small_rules().signs
        assert item.text in text
        assert 0 < item.score <= 100


def test_the_index_forgets_nothing_between_texts() -> None:
    first = signs_of("frosty inside", small_rules())
    index_of(real_rules())
    assert signs_of("frosty inside", small_rules()) == first
