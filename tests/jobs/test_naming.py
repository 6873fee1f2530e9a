"""Typed names against the rule base: what is taken is said, what is unclear listed, what is unknown kept."""

import pytest

from defectlog.errors import Ambiguous, NotFound
from defectlog.jobs.naming import defect_reader, known_defect, name_cause, name_defect, name_places
from defectlog.rulebase.load import load_rules

RULES = load_rules()


@pytest.mark.parametrize("defect", list(RULES.defects))
def test_every_id_and_every_name_is_taken_without_a_word(defect: str) -> None:
    for typed in (defect, RULES.defects[defect].name, RULES.defects[defect].name.upper()):
        named = name_defect(typed, RULES, {})
        assert (named.name, named.known, named.said) == (defect, True, "")


def test_a_misspelt_name_is_taken_and_said() -> None:
    named = name_defect("misrum", RULES, {})
    assert named.name == "misrun"
    assert "'misrum'" in named.said


def test_the_shops_own_word_comes_before_a_shared_name() -> None:
    with pytest.raises(Ambiguous, match="gas-holes"):
        name_defect("blows", RULES, {})
    assert name_defect("blows", RULES, {"blows": "core-blow"}).name == "core-blow"


def test_a_word_nobody_knows_is_kept_unless_it_must_be_known() -> None:
    named = name_defect(" Zorpling ", RULES, {})
    assert (named.name, named.known) == ("Zorpling", False)
    with pytest.raises(NotFound, match="Zorpling"):
        known_defect("Zorpling", RULES, {})


def test_what_was_written_is_read_back_to_ids_and_own_names_agree() -> None:
    read = defect_reader(RULES, {"pingers": "pinholes"})
    assert read("gas-holes") == "gas-holes"
    assert read("Pingers") == "pinholes"
    assert read("Monday zorple") == read("monday-zorple ")
    assert read("") == ""


@pytest.mark.parametrize("cause", [item.id for item in RULES.causes.values() if item.status == "in force"])
def test_every_cause_is_taken_by_id_and_by_name(cause: str) -> None:
    assert name_cause(cause, RULES, "").said == ""
    assert name_cause(cause, RULES, "").name == cause
    assert name_cause(RULES.causes[cause].name, RULES, "").name == cause


def test_a_cause_by_its_words_prefers_one_of_the_defect() -> None:
    assert name_cause("wet sand", RULES, "gas-holes").name == "sand-too-wet"
    assert name_cause("sand to wet", RULES, "gas-holes").name == "sand-too-wet"
    with pytest.raises(Ambiguous, match="swabbed-wet"):
        name_cause("wet", RULES, "gas-holes")
    with pytest.raises(NotFound):
        name_cause("frobnicate", RULES, "gas-holes")


@pytest.mark.parametrize("place", list(RULES.places))
def test_every_place_is_taken_by_id(place: str) -> None:
    placed = name_places(place.upper(), RULES)
    assert (placed.place, placed.ids, placed.note) == (place, (place,), "")


def test_places_several_and_unknown() -> None:
    several = name_places("cope near gate", RULES)
    assert several.ids == ("cope-face", "near-gate")
    assert "cope near gate" in several.note
    unknown = name_places("behind the zorple", RULES)
    assert (unknown.place, unknown.ids, unknown.note) == ("behind the zorple", (), "")
