"""A reading's good and bad units side by side, and how the bad castings lie over the units."""

import numpy as np
import pytest

from defectlog.diagnosis.side_by_side import OutOf, middle, side_by_side, spread_over
from defectlog.diagnosis.states import states_of
from tests.diagnosis.small_books import (
    COLD,
    DAMP_LADLE,
    GAS,
    WET,
    array,
    candidate,
    evidence_of,
    history,
    mould,
    sand,
    seen,
    wet_sand_book,
)


def beside(book, of=WET):
    evidence = evidence_of(book)
    return side_by_side(candidate(of), states_of(candidate(of), evidence, {}), evidence, evidence.bad(GAS))


def test_wet_on_three_of_three_bad_batches_and_on_none_of_nine_good() -> None:
    found = beside(wet_sand_book())
    assert found is not None
    assert (found.bad, found.good, found.not_on_record) == (OutOf(3, 3), OutOf(0, 9), 0)
    assert (found.bad_middle, found.good_middle) == pytest.approx((5.4, 3.6))
    assert found.bad_units == ("S2", "S5", "S9")
    assert (found.reading, found.unit) == ("moisture_pct", "sand")


def test_units_with_no_reading_are_counted_apart() -> None:
    book = history(
        [mould("M1", sand="S1"), mould("M2", sand="S2"), mould("M3", sand="S3"), mould("M4")],
        [seen("M1"), seen("M2")],
        [sand("S1", moisture_pct=5.0), sand("S2")],
    )
    found = beside(book)
    assert found is not None
    assert (found.bad, found.good, found.not_on_record) == (OutOf(1, 1), OutOf(0, 0), 3)
    assert found.good_middle is None


def test_a_cause_without_a_reading_has_nothing_beside_it() -> None:
    assert beside(wet_sand_book(), DAMP_LADLE) is None


def test_a_reading_below_its_limit_is_out_on_that_side() -> None:
    book = history([mould("M1", pour_c=680.0), mould("M2", pour_c=720.0)], [seen("M1")])
    found = beside(book, COLD)
    assert found is not None
    assert (found.bad, found.good) == (OutOf(1, 1), OutOf(0, 1))


@pytest.mark.parametrize("values", [(3.0,), (5.0, 1.0), (2.0, 9.0, 4.0), (1.0, 2.0, 3.0, 10.0)])
def test_the_middle_is_numpys_median(values: tuple[float, ...]) -> None:
    assert middle(array(*values)) == np.median(values)


def test_the_middle_of_nothing_is_nothing() -> None:
    assert middle(array()) is None


def test_half_of_eighteen_bad_castings_are_in_two_of_three_batches() -> None:
    evidence = evidence_of(wet_sand_book())
    spread = spread_over(evidence, "sand", evidence.bad(GAS))
    assert (spread.bad, spread.units, spread.units_with_bad, spread.hold_half) == (18, 12, 3, 2)
    assert (spread.days_with_bad, spread.days) == (3, 12)


def test_bad_days_are_those_of_this_defect_alone() -> None:
    evidence = evidence_of(
        history([mould("M1", 1), mould("M2", 2), mould("M3", 3)], [seen("M1"), seen("M2", defect="misrun")])
    )
    spread = spread_over(evidence, "pattern", evidence.bad(GAS))
    assert (spread.days_with_bad, spread.days) == (1, 3)


def test_nothing_bad_is_held_nowhere() -> None:
    evidence = evidence_of(history([mould("M1"), mould("M2")]))
    spread = spread_over(evidence, "mould", evidence.bad(GAS))
    assert (spread.bad, spread.units_with_bad, spread.hold_half, spread.days_with_bad) == (0, 0, 0, 0)
