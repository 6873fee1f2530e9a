"""Words of reports: sums worked by hand on a small rule base, and readings on the real one."""

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from defectlog.diagnosis.identify import identify
from defectlog.diagnosis.phrase_index import GUESSED_WORD
from defectlog.diagnosis.rule_words import words_of
from defectlog.diagnosis.tellings import HELD, MOST, WORDS_COUNT, Tellings, word_counts
from defectlog.rulebase.shapes import RuleBase, Told
from tests.diagnosis.small_rules import real_rules, small_rules


def told_rules() -> RuleBase:
    """Invented reports."""
    told = {
        "gas-holes": Told("gas-holes", ("bubbles like froth", "froth on the cope", "a bubble")),
        "misrun": Told("misrun", ("froze early", "no froth here")),
    }
    return replace(small_rules(), told=told)


def likeness(text: str) -> dict[str, float]:
    ready = words_of(told_rules())
    return ready.tellings.likeness(ready.index.clauses(text))


def expected(reports: int, having: int, everywhere: int) -> float:
    """The formula of the module, worked out apart. Two reports of each defect are its looks and its names."""
    every = 2 * len(small_rules().defects) + 5
    usual = everywhere / every
    return WORDS_COUNT * math.log((having + HELD * usual) / (reports + HELD) / usual)


def test_a_word_speaks_for_the_defect_that_people_tell_of_with_it() -> None:
    found = likeness("froth")
    assert found["gas-holes"] == pytest.approx(expected(5, 2, 2))
    assert found["misrun"] == pytest.approx(expected(4, 0, 2))
    assert found["gas-holes"] > 0 > found["misrun"]


def test_a_word_that_is_denied_is_another_word() -> None:
    found = likeness("no froth")
    assert found["misrun"] > 0 > found["gas-holes"]


def test_a_word_said_twice_is_said_once() -> None:
    assert likeness("froth and froth") == pytest.approx(likeness("froth"))


@pytest.mark.parametrize("text", ["", "qwrtz", "I think it was froth"])
def test_words_unknown_or_only_thought_say_nothing(text: str) -> None:
    assert likeness(text) == {}


def test_a_word_of_a_report_is_no_misspelling_of_a_word_of_a_sign() -> None:
    """ "Crustal" is one slip from "crystal", which a sign has, unless somebody tells of a defect with that word."""
    assert words_of(small_rules()).index.corrected("crustal") == ("crystal", GUESSED_WORD)
    told = replace(small_rules(), told={"misrun": Told("misrun", ("a crustal edge",))})
    assert words_of(told).index.corrected("crustal") == ("crustal", 1.0)


def test_the_words_that_tell_are_shown_as_they_were_written() -> None:
    first = identify("a thin FIN stands out all round the joint and snaps off", real_rules()).defects[0]
    assert first.defect == "flash"
    assert any(
        reason.startswith("People tell of it in such words: ") and "FIN" in reason for reason in first.speaks_for
    )


def test_a_report_in_words_that_no_sign_has_is_named_where_the_words_settle_it() -> None:
    told = identify("mine is just too big everywhere evenly, I wiggled and rapped the pattern loads", real_rules())
    assert told.defects[0].defect == "wrong-size"
    assert not told.undecided


def test_the_more_reports_have_a_word_the_less_it_says() -> None:
    rules = real_rules()
    tellings = Tellings(rules, word_counts(rules))
    assert sum(map(abs, tellings.logs("cast").values())) < sum(map(abs, tellings.logs("frost").values()))


def test_a_name_in_everybodys_mouth_speaks_for_what_it_names() -> None:
    """Few reports say "shrink", and some of those of other defects do ("not shrink"): the names are a report too."""
    ids = [item.defect for item in identify("shrink", real_rules()).defects]
    assert set(ids[:3]) == {"shrinkage-cavity", "shrinkage-porosity", "sink"}


def test_no_one_word_settles_anything() -> None:
    rules = real_rules()
    counts = word_counts(rules)
    tellings = Tellings(rules, counts)
    assert all(abs(log) <= MOST for word in counts for log in tellings.logs(word).values())


@given(st.text())
def test_any_text_has_a_likeness(text: str) -> None:
    assert all(math.isfinite(log) for log in likeness(text).values())
