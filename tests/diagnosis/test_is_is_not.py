"""The table of where a defect is and where it could be and is not."""

from dataclasses import replace

from defectlog.diagnosis.evidence import gather_evidence
from defectlog.diagnosis.is_is_not import IsIsNot, is_is_not
from defectlog.diagnosis.same_place import same_place
from defectlog.records.histories import Alongside
from defectlog.records.kinds import Heat
from tests.diagnosis.small_history import START, history_of, mould, seen
from tests.diagnosis.small_rules import real_rules

ALONE = Alongside()


def table(alongside: Alongside = ALONE) -> dict[str, IsIsNot]:
    moulds = [
        mould(1, day=0, sand="S1", heat="H1", moulder="Ann", pour_order=1),
        mould(2, day=0, sand="S1", heat="H1", moulder="Ben", pour_order=5),
        mould(3, day=1, sand="S2", heat="H2", moulder="Ann", pour_order=2),
        mould(4, day=2, heat="H2", pour_order=6),
    ]
    findings = [seen(2, impression=3), seen(4), seen(3, defect="dross", impression=1)]
    heats = [
        Heat(heat="H1", melted_at=START, ingot_lot="I-1"),
        Heat(heat="H2", melted_at=START, ingot_lot="I-2"),
    ]
    history = replace(history_of(moulds, findings, heats=heats), alongside=alongside)
    evidence = gather_evidence(history)
    lines = is_is_not(
        evidence, evidence.settled("gas-holes"), "gas-holes", history, same_place(evidence, "gas-holes"),
        {"cope-face": 2}, {"dross": 1}, real_rules(),
    )  # fmt: skip
    return {line.asks: line for line in lines}


def test_it_says_where_the_defect_is_and_where_it_is_not() -> None:
    lines = table()
    assert (lines["what"].is_, lines["what"].is_not) == ("gas holes on 2 castings", "dross or oxide 1")
    assert lines["which impression"].is_ == "3 (1 mould)"
    assert lines["which impression"].is_not == "1, 2, 4"
    assert lines["which batch of sand"].is_ == "1: S1"
    assert lines["which batch of sand"].is_not == "1 other"
    assert lines["when"].is_ == "2 pouring days from 2026-03-02 to 2026-03-04"


def test_late_moulds_of_a_heat_are_set_against_early_ones() -> None:
    line = table()["when in the heat"]
    assert (line.is_, line.is_not) == ("order 1 to 5: bad in 1 of 3 moulds", "later: bad in 1 of 1 mould")


def test_what_is_not_on_record_is_marked_as_a_blank() -> None:
    lines = table()
    assert lines["which batch of sand"].blank == "not on record for 1 mould"
    assert lines["which impression"].blank == "1 finding without an impression"
    assert lines["who moulded it"].blank == "not on record for 1 mould"


def test_people_are_counted_and_not_named() -> None:
    line = table()["who moulded it"]
    assert (line.is_, line.is_not) == ("1 of 2 moulders", "1 moulder")
    assert not any("Ann" in text or "Ben" in text for row in table().values() for text in (row.is_, row.is_not))


def test_other_patterns_out_of_the_same_sand_or_heats_are_set_against_this_one() -> None:
    line = table(Alongside({"P-2": 30, "P-3": 12}, {"gas-holes": {"P-3": 1}, "dross": {"P-2": 9}}))["which pattern"]
    assert line.is_ == "P-1: bad in 2 of 4 moulds"
    assert line.is_not == "others out of the same sand or heats: bad in 1 of 42 moulds (P-3 1 of 12)"


def test_where_no_other_pattern_shared_anything_that_is_a_blank() -> None:
    line = table()["which pattern"]
    assert (line.is_not, line.blank) == ("–", "no other pattern on record out of the same sand or heats")


def test_one_day_is_one_day_and_no_other_is_no_other() -> None:
    history = history_of([mould(1), mould(2)], [seen(2)])
    evidence = gather_evidence(history)
    lines = is_is_not(evidence, evidence.settled("gas-holes"), "gas-holes", history, None, {}, {}, real_rules())
    when = next(line for line in lines if line.asks == "when")
    assert (when.is_, when.is_not) == ("1 pouring day, 2026-03-02", "no other pouring day")
