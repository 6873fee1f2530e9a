"""Words of the rule base to numbers. The numbers are judgement; what is checked is that they keep their order."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from defectlog.rulebase.shapes import HowOften
from defectlog.rulebase.strengths import HOW_OFTEN, RATIO, chance, ratio_of, words_by_id


def test_the_words_stand_in_their_order() -> None:
    assert list(HOW_OFTEN) == ["always", "usually", "sometimes", "rarely", "never"]
    assert list(HOW_OFTEN.values()) == sorted(HOW_OFTEN.values(), reverse=True)
    assert RATIO["strong"] > RATIO["mild"] > 1


def test_opposed_is_the_inverse() -> None:
    assert ratio_of("strong", opposed=True) == pytest.approx(1 / ratio_of("strong"))
    with pytest.raises(KeyError):
        ratio_of("huge")


@given(st.floats(0.001, 0.6))
def test_a_word_never_speaks_the_wrong_way(usual: float) -> None:
    shares = [chance(word, usual) for word in HOW_OFTEN]
    assert shares == sorted(shares, reverse=True)
    assert shares[0] > usual < shares[1]
    assert shares[2] >= usual
    assert shares[4] < shares[3] < usual
    assert chance("", usual) == usual


def test_words_by_id() -> None:
    assert words_by_id(HowOften(always=("a",), never=("b", "c"))) == {"a": "always", "b": "never", "c": "never"}
