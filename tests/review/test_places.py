"""Same place or wandering: counts in moulds, and odds only where the places are alike."""

import pytest

from defectlog.review.places import concentrations
from tests.review.months import charge


@pytest.mark.parametrize(("times", "plate", "odds"), [(3, 4, 1 / 16), (4, 4, 1 / 64), (4, 2, 1 / 8)])
def test_the_odds_of_luck_are_those_worked_by_hand(times: int, plate: int, odds: float) -> None:
    """All in one impression of the plate: plate · (1 / plate)^times."""
    (found,) = concentrations(charge(f"M-{n}", impression=1, impressions=plate) for n in range(times))
    assert found.odds_of_luck == pytest.approx(odds)
    assert found.impressions[1] == times
    assert len(found.impressions) == plate


def test_wandering_is_more_likely_than_not_luck() -> None:
    rows = [charge(f"M-{n}", impression=n % 4 + 1, impressions=4) for n in range(8)]
    (found,) = concentrations(rows)
    assert found.odds_of_luck == 1.0
    assert found.impressions == {1: 2, 2: 2, 3: 2, 4: 2}


def test_a_mould_counts_once_at_an_impression() -> None:
    rows = [charge("M-1", impression=3, impressions=4, place="cope-face"), charge("M-1", impression=3, impressions=4)]
    (found,) = concentrations(rows)
    assert found.impressions[3] == 1
    assert (found.moulds, found.castings) == (1, 2)
    assert [(c.place, c.moulds, c.castings) for c in found.counts] == [("", 1, 1), ("cope-face", 1, 1)]


def test_what_is_not_on_record_is_said_and_gives_no_odds() -> None:
    (found,) = concentrations([charge("M-1", impressions=4), charge("M-2", impressions=4)])
    assert found.odds_of_luck is None
    assert found.not_on_record == 2


def test_an_impression_that_the_plate_does_not_have_gives_no_odds() -> None:
    rows = [charge("M-1", impression=7, impressions=4), charge("M-2", impression=7, impressions=4)]
    (found,) = concentrations(rows)
    assert found.odds_of_luck is None
    assert found.impressions[7] == 2


def test_the_worst_stands_first() -> None:
    rows = [charge("M-1", "misrun"), *(charge(f"M-{n}", "sink") for n in range(2, 5))]
    assert [item.defect for item in concentrations(rows)] == ["sink", "misrun"]
