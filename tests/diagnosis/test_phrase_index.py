"""Phrases found in text: slips of the hand are forgiven, words of opposite meaning are never swapped."""

import pytest

from defectlog.diagnosis.phrase_index import Match, PhraseIndex, phrase_of
from defectlog.diagnosis.rule_words import index_of
from tests.diagnosis.small_rules import real_rules, small_rules


def found(text: str, **phrases: str) -> dict[str, bool]:
    index = PhraseIndex(phrase_of("sign", item.replace("_", "-"), says) for item, says in phrases.items())
    return {match.phrase.id: match.present for match in index.matches(index.clauses(text))}


def matches(text: str) -> tuple[Match, ...]:
    index = index_of(small_rules())
    return index.matches(index.clauses(text))


@pytest.mark.parametrize(
    "typed", ["smoth inside", "smoothe inside", "inside is very smooth", "smooth skin, smooth inside"]
)
def test_slips_and_turned_words_are_forgiven(typed: str) -> None:
    assert found(typed, wall_smooth="smooth inside", other="frosty inside") == {"wall-smooth": True}


def test_words_too_far_apart_are_no_phrase() -> None:
    assert found("smooth skin with a lot of bad ugly deep holes inside", wall_smooth="smooth inside") == {}


def test_a_place_word_between_parts_a_phrase() -> None:
    assert found("hole under the skin", open_hole="hole in the skin") == {}


def test_a_longer_phrase_takes_the_words_of_a_shorter() -> None:
    assert found("sand stuck on the pattern", gritty="sand stuck", sticker="sand stuck on the pattern") == {
        "sticker": True
    }


def test_a_phrase_that_denies_needs_its_not_in_its_place() -> None:
    phrases = {"missing": "did not fill"}
    assert found("the rib didnt fill", **phrases) == {"missing": True}
    assert found("will fill not now", **phrases) == {}
    assert found("the rib did fill", **phrases) == {}


def test_a_not_phrase_says_that_the_thing_is_not_there() -> None:
    assert found("it ran full", missing="not: ran full") == {"missing": False}


@pytest.mark.parametrize(
    ("text", "says", "there"),
    [
        ("knocked the lug off", "knocked off", True),
        ("off at the knock", "knocked off", False),
        ("opened it up and it is clean", "cleans up", False),
        ("sand came out", "sand came out", True),
        ("came out dark and dull where the sand was", "sand came out", False),
        ("size of a pea", "out of size", False),
    ],
)
def test_words_belong_together_by_their_order_and_nearness(text: str, says: str, there: bool) -> None:
    assert bool(found(text, it=says)) is there


def test_a_word_of_the_name_of_a_place_is_no_sign() -> None:
    index = PhraseIndex([phrase_of("sign", "crack", "split"), phrase_of("place", "parting-line", "split line")])
    assert [match.phrase.id for match in index.matches(index.clauses("hollow at the split line"))] == ["parting-line"]


def test_what_was_swallowed_swallows_nothing() -> None:
    phrases = {"pit": "hole", "lump": "hole below", "skin": "hole just below"}
    index = PhraseIndex(
        [
            phrase_of("sign", "hole", phrases["pit"], "hole"),
            phrase_of("sign", "lump", phrases["lump"], "companion"),
            phrase_of("sign", "skin", phrases["skin"], "depth"),
        ]
    )
    assert {match.phrase.id for match in index.matches(index.clauses("hole just below"))} == {"hole", "skin"}


DANGEROUS = [
    ("cope", "core"),
    ("core", "cope"),
    ("blow", "below"),
    ("below", "blow"),
    ("shift", "shrink"),
    ("drag", "drop"),
]


@pytest.mark.parametrize(("typed", "never"), DANGEROUS)
def test_words_of_other_meaning_never_swap(typed: str, never: str) -> None:
    """Danger pairs measured with whole-text scores: blow/below 89, core/cope 75, shift/shrink 55 of 100."""
    assert found(f"{typed} there", wrong=never) == {}


@pytest.mark.parametrize("typed", ["coe", "cpe", "corp", "coer", "cpoe", "copr"])
def test_a_broken_cope_or_core_is_not_guessed(typed: str) -> None:
    assert index_of(real_rules()).corrected(typed)[0] not in ("cope", "core")


@pytest.mark.parametrize("plain", ["customer", "order", "hand", "bath", "lost", "price", "hold", "text"])
def test_common_words_are_not_taken_for_slips(plain: str) -> None:
    assert index_of(real_rules()).corrected(plain) == (plain, 1.0)


def test_a_match_keeps_the_words_it_came_from() -> None:
    text = "Got Round HOLES in it"
    (match,) = (item for item in matches(text) if item.phrase.kind == "sign")
    assert text[match.start : match.end] == "Round HOLES"
    assert match.score == 100


def test_guessed_words_score_less() -> None:
    (match,) = (item for item in matches("crystels") if item.phrase.kind == "sign")
    assert match.score == 90


def test_the_index_is_built_once_for_a_rule_base() -> None:
    rules = small_rules()
    assert index_of(rules) is index_of(rules)
    assert index_of(small_rules()) is not index_of(rules)
