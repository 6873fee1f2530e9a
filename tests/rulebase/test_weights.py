"""A weight is a count of voices: read 1, recalled ½, judgement ½. Common practice, no source: the rule is our own."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as some

from defectlog.rulebase.shapes import Cause, Explains
from defectlog.rulebase.weights import weight, weights_by_defect

KNOWN = ("handbook", "bulletin", "glossary")
CAUSE = Cause(
    id="wet-sand",
    name="Wet sand",
    area="sand",
    acts_at="sand",
    status="in force",
    summary="An invented cause.",
    mechanism="It is wet. It steams.",
    usual_share=0.1,
    sources=(),
)
source_lists = some.lists(some.sampled_from(KNOWN), max_size=6).map(tuple)


@pytest.mark.parametrize(
    ("explains", "expected"),
    [
        (Explains("blow", sources=("handbook", "bulletin")), 2.0),
        (Explains("blow", recalled=("handbook",)), 0.5),
        (Explains("blow", sources=("handbook",), recalled=("bulletin", "glossary")), 2.0),
        (Explains("blow", judgement="It steams."), 0.5),
        (Explains("blow", sources=("handbook",), judgement="It steams."), 1.0),
        (Explains("blow"), 0.0),
    ],
    ids=["two read", "one recalled", "read and recalled", "judgement alone", "judgement beside a source", "nobody"],
)
def test_read_counts_one_and_recalled_or_judged_a_half(explains: Explains, expected: float) -> None:
    assert weight(explains, KNOWN) == expected


def test_a_source_counts_once_however_often_it_is_named() -> None:
    assert weight(Explains("blow", sources=("handbook", "handbook")), KNOWN) == 1.0
    assert weight(Explains("blow", recalled=("handbook", "handbook")), KNOWN) == 0.5


def test_a_source_both_read_and_recalled_counts_as_read() -> None:
    assert weight(Explains("blow", sources=("handbook",), recalled=("handbook",)), KNOWN) == 1.0


def test_a_source_that_the_rule_base_does_not_know_vouches_for_nothing() -> None:
    assert weight(Explains("blow", sources=("hearsay",)), KNOWN) == 0.0
    assert weight(Explains("blow", sources=("hearsay",), judgement="It steams."), KNOWN) == 0.5


@given(read=source_lists, recalled=source_lists, more=some.sampled_from(KNOWN))
def test_one_more_voice_never_lowers_a_weight(read: tuple[str, ...], recalled: tuple[str, ...], more: str) -> None:
    before = weight(Explains("blow", sources=read, recalled=recalled), KNOWN)
    assert weight(Explains("blow", sources=(*read, more), recalled=recalled), KNOWN) >= before
    assert weight(Explains("blow", sources=read, recalled=(*recalled, more)), KNOWN) >= before
    assert 0.0 <= before <= len(KNOWN)


def test_the_table_of_a_defect_has_its_heaviest_cause_first_and_ties_by_id() -> None:
    causes = {
        "wet-sand": replace(CAUSE, explains=(Explains("blow", sources=("handbook",)), Explains("swell"))),
        "no-vent": replace(CAUSE, id="no-vent", explains=(Explains("blow", sources=("handbook", "glossary")),)),
        "fines": replace(CAUSE, id="fines", explains=(Explains("blow", sources=("bulletin",)),)),
    }
    table = weights_by_defect(causes, KNOWN)
    assert list(table["blow"].items()) == [("no-vent", 2.0), ("fines", 1.0), ("wet-sand", 1.0)]
    assert table["swell"] == {}


def test_a_retired_cause_has_no_weight() -> None:
    retired = replace(CAUSE, status="retired", explains=(Explains("blow", sources=("handbook",)),))
    assert weights_by_defect({"wet-sand": retired}, KNOWN) == {}
