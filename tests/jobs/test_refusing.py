"""Dangerous fixes are found word for word: each phrase brings up its own answer, and no bag of words does."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from defectlog.jobs.refusing import plain_words, refusals_in
from defectlog.rulebase.load import load_rules

RULES = load_rules()
PHRASES = [(refusal.id, phrase) for refusal in RULES.refusals.values() for phrase in refusal.says]


@pytest.mark.parametrize(("refusal", "phrase"), PHRASES)
def test_every_phrase_brings_up_its_answer(refusal: str, phrase: str) -> None:
    asked = f"Listen, could we {phrase.upper()}, or not?"
    assert refusal in [item.id for item in refusals_in(asked, RULES)]


@pytest.mark.parametrize(
    ("text", "refusal"),
    [
        ("can I charge some wet ingots", "wet-or-oily-charge"),
        ("pour a wet mold", "wet-mould-pour"),
        ("pouring the wet moulds", "wet-mould-pour"),
    ],
)
def test_endings_articles_and_spelling_do_not_hide_it(text: str, refusal: str) -> None:
    assert refusal in [item.id for item in refusals_in(text, RULES)]


@pytest.mark.parametrize(
    "text",
    [
        "charge certified ingot",
        "charge the ingot, the floor is wet",
        "wet ingot charge sheet",
        "keep the furnace dry",
        "",
        "\x00",
        "the melt was cooled and the water came later",
    ],
)
def test_the_same_words_apart_do_not_bring_it_up(text: str) -> None:
    assert refusals_in(text, RULES) == ()


@given(st.text(max_size=200))
def test_any_text_is_taken(text: str) -> None:
    assert all(item.id in RULES.refusals for item in refusals_in(text, RULES))


def test_no_phrase_is_a_single_word() -> None:
    """One word would bring the refusal up in nearly every report."""
    assert [phrase for _, phrase in PHRASES if len(plain_words(phrase)) < 2] == []
