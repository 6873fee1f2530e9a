"""The signs and places of the rule base: whole, in order, and answerable."""

import re

import pytest

from defectlog.diagnosis.phrase_index import DENIES
from defectlog.diagnosis.words import stems_of
from defectlog.rulebase.shapes import Place, Sign
from defectlog.rulebase.strengths import words_by_id
from tests.diagnosis.small_rules import real_rules

SIGNS = list(real_rules().signs.values())
PLACES = list(real_rules().places.values())
# The places that records use; their ids do not change.
PLACE_IDS = {
    *("cope-face", "drag-face", "side-wall", "parting-line", "near-gate", "far-from-gate", "thin-section"),
    *("heavy-section", "junction", "corner", "around-core", "under-feeder", "below-skin", "all-over"),
}


def test_the_places_are_those_of_the_records() -> None:
    assert {place.id for place in PLACES} == PLACE_IDS


@pytest.mark.parametrize("sign", SIGNS, ids=lambda sign: sign.id)
def test_a_sign_is_whole(sign: Sign) -> None:
    assert re.fullmatch(r"[a-z]+(-[a-z]+)*", sign.id)
    assert sign.question.endswith("?")
    assert sign.question.count("?") == 1
    assert 0 < sign.usual <= 0.5
    assert len([says for says in sign.says if not says.startswith(DENIES)]) >= 6
    assert len(set(sign.says)) == len(sign.says)


@pytest.mark.parametrize("sign", SIGNS, ids=lambda sign: sign.id)
def test_what_a_sign_excludes_excludes_it_in_turn(sign: Sign) -> None:
    rules = real_rules()
    for other in rules.signs[sign.id].excludes:
        assert sign.id in rules.signs[other].excludes


@pytest.mark.parametrize("item", [*SIGNS, *PLACES], ids=lambda item: item.id)
def test_no_way_of_saying_it_is_made_of_small_words_alone(item: Sign | Place) -> None:
    for says in item.says:
        assert stems_of(says.removeprefix(DENIES)), says


def test_no_two_signs_that_exclude_each_other_share_a_way_of_saying() -> None:
    rules = real_rules()
    for sign in SIGNS:
        own = {stems_of(says) for says in sign.says if not says.startswith(DENIES)}
        for other in sign.excludes:
            theirs = {stems_of(says) for says in rules.signs[other].says if not says.startswith(DENIES)}
            assert not own & theirs


@pytest.mark.parametrize("defect", sorted(real_rules().defects))
def test_defects_list_signs_and_places_that_exist_each_under_one_word(defect: str) -> None:
    rules = real_rules()
    item = rules.defects[defect]
    for how_often, known in ((item.signs, rules.signs), (item.places, rules.places)):
        listed = [
            entry
            for word in ("always", "usually", "sometimes", "rarely", "never")
            for entry in getattr(how_often, word)
        ]
        assert set(listed) <= set(known)
        assert len(listed) == len(set(listed))
        assert set(words_by_id(how_often)) == set(listed)
