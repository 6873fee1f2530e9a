"""Records to evidence: one row a mould, what it shares with others, and what is on record for it."""

from datetime import timedelta

import numpy as np
import pytest

from defectlog.diagnosis.evidence import gather_evidence
from tests.diagnosis.small_books import GAS, card, day, heat, history, mould, sand, seen


def test_sound_moulds_are_rows_as_bad_ones_are() -> None:
    book = history([mould("M1"), mould("M2"), mould("M3", castings=6)], [seen("M2", castings=3)])
    evidence = gather_evidence(book)
    assert evidence.moulds == ("M1", "M2", "M3")
    assert evidence.castings.tolist() == [4, 4, 6]
    assert evidence.bad(GAS).tolist() == [0, 3, 0]


def test_findings_of_a_mould_add_up_and_never_to_more_than_it_holds() -> None:
    """A secondary finding on a casting charged to another defect counts too; a count too high is the book's mistake."""
    book = history(
        [mould("M1"), mould("M2")],
        [seen("M1", 3), seen("M1", 4), seen("M2", 1, primary=False), seen("M2", 2, defect="misrun")],
    )
    assert gather_evidence(book).bad(GAS).tolist() == [4, 1]


def test_a_casting_of_which_only_the_look_is_known_counts_in_part_and_is_not_settled() -> None:
    evidence = gather_evidence(history([mould("M1")], [seen("M1", 2), seen("M1", 1, share=0.6, by_look=True)]))
    assert evidence.bad(GAS).tolist() == pytest.approx([2.6])
    assert evidence.settled(GAS).tolist() == [2]


def test_a_finding_on_a_mould_out_of_the_window_says_nothing() -> None:
    evidence = gather_evidence(history([mould("M1")], [seen("M-old")]))
    assert evidence.bad(GAS).tolist() == [0]
    assert evidence.findings_of(GAS) == ()


def test_a_reading_is_spread_over_the_moulds_that_share_it_and_is_unknown_elsewhere() -> None:
    book = history(
        [
            mould("M1", sand="S1", heat="H1", pour_c=710.0, vented=False),
            mould("M2", sand="S1", heat="H2", pour_order=3),
            mould("M3"),
        ],
        sands=[sand("S1", moisture_pct=4.1)],
        heats=[heat("H1", skimmed=True), heat("H2", density_index_pct=2.5)],
        cards=[card(draft_deg=1.5)],
    )
    readings = gather_evidence(book).readings
    expected = {
        "moisture_pct": [4.1, 4.1, np.nan],
        "skimmed": [1.0, np.nan, np.nan],
        "density_index_pct": [np.nan, 2.5, np.nan],
        "pour_c": [710.0, np.nan, np.nan],
        "vented": [0.0, np.nan, np.nan],
        "pour_order": [np.nan, 3.0, np.nan],
        "draft_deg": [1.5, 1.5, 1.5],
        "permeability": [np.nan, np.nan, np.nan],
    }
    for name, values in expected.items():
        np.testing.assert_array_equal(readings[name], values, err_msg=name)


def test_hours_in_the_mould_follow_from_when_it_was_made_and_poured() -> None:
    book = history([mould("M1", made_at=day(1) - timedelta(hours=5, minutes=30)), mould("M2")])
    np.testing.assert_array_equal(gather_evidence(book).readings["stood_h"], [5.5, np.nan])


def test_readings_worked_out_elsewhere_come_in_by_the_order_of_the_moulds() -> None:
    evidence = gather_evidence(history([mould("M1"), mould("M2")]), {"gate_velocity_m_s": [0.4, None]})
    np.testing.assert_array_equal(evidence.readings["gate_velocity_m_s"], [0.4, np.nan])


def test_what_was_measured_comes_before_what_follows_from_something_else() -> None:
    book = history([mould("M1", pour_c=700.0), mould("M2")])
    assert gather_evidence(book, {"pour_c": [650.0, 655.0]}).readings["pour_c"].tolist() == [700.0, 655.0]


def test_moulds_share_units_by_name_and_a_unit_not_on_record_is_one_of_its_own_for_that_day() -> None:
    book = history(
        [mould("M1", 1, sand="S1"), mould("M2", 1), mould("M3", 1), mould("M4", 2), mould("M5", 2, sand="S1")]
    )
    sands = gather_evidence(book).units["sand"]
    assert sands.codes.tolist() == [0, 1, 1, 2, 0]
    assert sands.recorded.tolist() == [True, False, False]
    assert sands.names[0] == "S1"


def test_a_batch_called_like_a_missing_one_is_still_another_batch() -> None:
    book = history([mould("M1", 1), mould("M2", 1, sand="not on record, day 0")])
    assert gather_evidence(book).units["sand"].codes.tolist() == [0, 1]


def test_revisions_are_units_of_the_pattern_and_each_mould_reads_its_own_card() -> None:
    book = history(
        [mould("M1", revision="A"), mould("M2", revision="B")],
        cards=[card("A", draft_deg=0.5), card("B", draft_deg=2.0, impressions=6)],
    )
    evidence = gather_evidence(book)
    assert evidence.units["pattern"].names == ("A", "B")
    assert evidence.readings["draft_deg"].tolist() == [0.5, 2.0]
    assert evidence.impressions == 6


def test_days_are_numbered_in_order_of_time_whatever_the_order_of_the_rows() -> None:
    evidence = gather_evidence(history([mould("M1", 9), mould("M2", 2), mould("M3", 9)]))
    assert evidence.days.tolist() == [1, 0, 1]
    assert evidence.day_names == (day(2).date(), day(9).date())


def test_a_mould_with_no_moment_on_record_still_has_a_day() -> None:
    evidence = gather_evidence(history([mould("M1", poured_at=None, made_at=day(3)), mould("M2", poured_at=None)]))
    assert evidence.day_names[-1] == day(3).date()
    assert evidence.days.tolist() == [1, 0]


@pytest.mark.parametrize("castings", [None, 0])
def test_a_mould_of_no_castings_has_none_bad(castings: int | None) -> None:
    evidence = gather_evidence(history([mould("M1", castings=castings)], [seen("M1", 2)]))  # type: ignore[arg-type]  # a book out of balance
    assert evidence.bad(GAS).tolist() == [0]
