"""Causes that these data cannot tell apart, said plainly."""

import numpy as np
import pytest

from defectlog.diagnosis.confounding import FEWEST_MOULDS, cannot_be_told_from, correlation
from defectlog.diagnosis.ranking import Parts, Ranked
from defectlog.diagnosis.states import states_of
from tests.diagnosis.small_books import (
    COLD,
    DAMP_LADLE,
    ONE_GATE,
    WET,
    array,
    candidate,
    cause,
    evidence_of,
    history,
    mould,
    sand,
)

DIRTY_CHARGE = cause("dirty-charge", "heat")
NO_PARTING = cause("no-parting", "moulder")


def ranked(of, evidence, share: float = 0.3) -> Ranked:
    states = None if of.acts_at == "impression" else states_of(candidate(of), evidence, {})
    return Ranked(candidate(of), share, Parts(0, 0, 0, 0, 0, 0), states)


def book(temperatures: list[float | None], moistures: list[float | None]):
    """One batch a mould, so that both readings can be set mould by mould."""
    return evidence_of(
        history(
            [mould(f"M{n}", n, sand=f"S{n}", pour_c=value) for n, value in enumerate(temperatures, start=1)],
            sands=[sand(f"S{n}", moisture_pct=value) for n, value in enumerate(moistures, start=1)],
        )
    )


WET_AND_COLD = book([680, 720, 680, 720, 720, 680, 720, 720], [5.5, 3.5, 5.5, 3.5, 3.5, 5.5, 3.5, 3.5])
WET_OR_COLD = book([680, 720, 680, 720, 720, 680, 720, 720], [3.5, 5.5, 3.5, 3.5, 5.5, 5.5, 3.5, 5.5])


def told_apart(one, other, evidence, share: float = 0.3) -> bool:
    first, second = ranked(one, evidence), ranked(other, evidence, share)
    named = cannot_be_told_from(first, [first, second], evidence)
    assert named in ((), (other.id,))
    return not named


def test_wet_and_cold_on_the_same_moulds_cannot_be_told_apart() -> None:
    assert not told_apart(WET, COLD, WET_AND_COLD)
    assert not told_apart(COLD, WET, WET_AND_COLD)


def test_wet_and_cold_on_different_moulds_can() -> None:
    assert told_apart(WET, COLD, WET_OR_COLD)


def test_a_cause_hardly_worth_naming_is_not_named() -> None:
    assert told_apart(WET, COLD, WET_AND_COLD, share=0.01)


def test_two_causes_of_one_unit_that_leave_no_reading_cannot_be_told_apart() -> None:
    assert not told_apart(DAMP_LADLE, DIRTY_CHARGE, WET_OR_COLD)
    assert told_apart(DAMP_LADLE, NO_PARTING, WET_OR_COLD)


def test_a_reading_tells_its_cause_from_one_that_leaves_none() -> None:
    assert told_apart(WET, DAMP_LADLE, WET_AND_COLD)
    assert told_apart(ONE_GATE, WET, WET_AND_COLD)


def test_correlation_is_numpys_where_both_are_on_record() -> None:
    first = np.array([0.1, 0.9, 0.2, 0.8, np.nan, 0.3, 0.6, 0.1, 0.9, 0.5])
    second = np.array([0.2, 0.7, 0.3, np.nan, 0.5, 0.1, 0.9, 0.2, 0.6, 0.4])
    both = ~np.isnan(first) & ~np.isnan(second)
    assert both.sum() == FEWEST_MOULDS
    assert correlation(first, second) == pytest.approx(np.corrcoef(first[both], second[both])[0, 1])


def test_few_moulds_with_both_on_record_tell_nothing() -> None:
    few = array(0.1, 0.9, 0.1)
    assert correlation(few, few) == 0.0


def test_two_that_never_changed_cannot_be_told_apart_and_one_that_did_can() -> None:
    still, other = np.full(9, 0.98), np.full(9, 0.02)
    moving = np.linspace(0.1, 0.9, 9)
    assert correlation(still, other) == 1.0
    assert correlation(still, moving) == 0.0
