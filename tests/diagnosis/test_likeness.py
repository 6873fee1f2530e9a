"""Words of descriptions: a small rule base whose sums are worked by hand, and readings on the real one."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from defectlog.diagnosis.identify import identify
from defectlog.diagnosis.likeness import A_WORD, LOOKS, Descriptions, descriptions_of
from defectlog.diagnosis.phrase_index import index_of
from tests.diagnosis.small_rules import real_rules, small_rules


def likeness(text: str) -> dict[str, float]:
    rules = small_rules()
    return descriptions_of(rules).likeness(index_of(rules).clauses(text))


def test_a_word_of_one_description_speaks_for_that_defect_alone() -> None:
    """Four defects, one of them called a misrun: the natural log of four, times the weight of a word."""
    assert likeness("misrun") == {"misrun": pytest.approx(A_WORD * LOOKS * math.log(4))}


def test_a_word_said_twice_is_said_once() -> None:
    assert likeness("misrun and misrun") == likeness("misrun")


@pytest.mark.parametrize("text", ["not a misrun", "", "qwrtz", "not", "I think it is a misrun", "just under"])
def test_words_denied_unknown_or_empty_say_nothing(text: str) -> None:
    assert likeness(text) == {}


def test_a_word_of_most_descriptions_says_nothing() -> None:
    rules = real_rules()
    logs = Descriptions(rules, index_of(rules)).logs
    assert "casting" not in logs
    assert all(len(found) < len(rules.defects) / 2 for found in logs.values())
    assert all(log > 0 for found in logs.values() for log in found.values())


def test_the_words_shared_are_shown_as_they_were_written() -> None:
    text = "the Geode had frosty walls round a MISRUN"
    rules = small_rules()
    shared = descriptions_of(rules).shared("misrun", index_of(rules).clauses(text))
    assert [text[start:end] for start, end in shared.values()] == ["MISRUN"]


def test_it_is_given_as_a_reason() -> None:
    first = identify("a scab of metal over a layer of sand, like a plate along one edge", real_rules()).defects[0]
    assert first.defect == "scab"
    assert any(reason.startswith("Described in such words: “") for reason in first.speaks_for)


@given(st.text())
def test_any_text_has_a_likeness(text: str) -> None:
    assert all(log > 0 for log in likeness(text).values())
