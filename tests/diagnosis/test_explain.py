"""The rows behind one cause's numbers."""

import pytest

from defectlog.diagnosis.explain import unit_rows
from defectlog.diagnosis.ranking import Parts, Ranked
from defectlog.diagnosis.states import states_of
from tests.diagnosis.small_books import (
    COLD,
    ONE_GATE,
    WET,
    WET_BATCHES,
    asked_field,
    candidate,
    evidence_of,
    history,
    mould,
    sand,
    seen,
    wet_sand_book,
)


def rows_of(book, of=WET):
    field = asked_field(evidence_of(book))
    states = None if of.acts_at == "impression" else states_of(candidate(of), field.evidence, {})
    return unit_rows(field, Ranked(candidate(of), 0.5, Parts(0, 0, 0, 0, 0, 0), states))


def test_every_batch_has_its_reading_its_state_and_what_came_of_it() -> None:
    rows = rows_of(wet_sand_book())
    assert [row.unit for row in rows] == [f"S{n}" for n in range(1, 13)]
    assert {(row.moulds, row.castings, row.recorded) for row in rows} == {(3, 12, True)}
    for row in rows:
        wet = row.unit in WET_BATCHES
        assert (row.bad, row.reading) == ((6, pytest.approx(5.4)) if wet else (0, pytest.approx(3.6)))
        assert row.on_before > 0.9 if wet else row.on_before < 0.1
        assert row.on_after >= row.on_before if wet else row.on_after <= row.on_before


def test_the_castings_move_a_batch_with_no_reading() -> None:
    book = history(
        [mould(f"M{n}", n, sand=f"S{n}") for n in range(1, 9)],
        [seen("M3", 4), seen("M6", 3)],
        [sand("S1", moisture_pct=3.4), sand("S3")],
    )
    by_unit = {row.unit: row for row in rows_of(book)}
    assert by_unit["S3"].reading is None
    assert by_unit["S3"].on_before == pytest.approx(0.12)
    assert by_unit["S3"].on_after > 0.8
    assert by_unit["S4"].on_after < 0.12


def test_a_batch_nobody_wrote_down_says_so() -> None:
    (row,) = rows_of(history([mould("M1")], [seen("M1")]))
    assert (row.recorded, row.bad) == (False, 1)


def test_moulds_are_rows_of_their_own() -> None:
    assert [row.unit for row in rows_of(wet_sand_book(batches=2), COLD)] == [
        "M1-1",
        "M1-2",
        "M1-3",
        "M2-1",
        "M2-2",
        "M2-3",
    ]


def test_a_cause_of_one_impression_has_no_such_rows() -> None:
    assert rows_of(wet_sand_book(), ONE_GATE) == ()
