"""What the look and the place of the bad castings say, counted at most three times."""

from dataclasses import replace
from math import log

import numpy as np
import pytest

from defectlog.diagnosis.looks import Look, look_ratios, telling_signs
from tests.diagnosis.small_books import COLD, WET, candidate, favouring

SEES = replace(
    WET,
    favoured_by=favouring({"smooth": "strong", "round": "mild"}, {"cope": "mild"}),
    opposed_by=favouring({"frosty": "strong"}, {"drag": "strong"}),
)
STANDING = (candidate(SEES), candidate(COLD))
STRONG, MILD = log(4), log(2)


def ratios(*looks: Look) -> tuple[list[float], list[float]]:
    signs, places = look_ratios(STANDING, looks)
    return signs.tolist(), places.tolist()


def test_no_look_says_nothing() -> None:
    assert ratios() == ([0.0, 0.0], [0.0, 0.0])
    assert ratios(Look({})) == ([0.0, 0.0], [0.0, 0.0])


@pytest.mark.parametrize(
    ("look", "signs", "places"),
    [
        (Look({"smooth": True}), STRONG, 0.0),
        (Look({"round": True}, ("cope",)), MILD, MILD),
        (Look({"smooth": False}), -STRONG / 2, 0.0),
        (Look({"frosty": True}), -STRONG, 0.0),
        (Look({"frosty": False}), STRONG / 2, 0.0),
        (Look({}, ("drag",)), 0.0, -STRONG),
        (Look({"unheard-of": True}, ("nowhere",)), 0.0, 0.0),
    ],
)
def test_one_finding_by_hand(look: Look, signs: float, places: float) -> None:
    assert ratios(look) == ([pytest.approx(signs), 0.0], [pytest.approx(places), 0.0])


def test_one_finding_shifts_a_cause_by_eight_times_at_most() -> None:
    all_of_it = Look({"smooth": True, "round": True, "frosty": False})
    assert ratios(all_of_it)[0][0] == pytest.approx(log(8))


def test_twenty_findings_of_the_same_look_are_three_witnesses() -> None:
    look = Look({"round": True})
    assert [ratios(*[look] * count)[0][0] / MILD for count in (1, 2, 3, 20)] == pytest.approx([1, 2, 3, 3])


def test_findings_that_disagree_are_averaged() -> None:
    assert ratios(Look({"smooth": True}), Look({"frosty": True}))[0][0] == pytest.approx(0.0)


def test_findings_with_no_words_are_no_witnesses() -> None:
    assert ratios(Look({"round": True}), Look({}), Look({}))[0][0] == pytest.approx(MILD)


def test_a_cause_with_no_looks_in_its_file_is_not_touched() -> None:
    signs, places = look_ratios((candidate(COLD),), [Look({"smooth": True}, ("cope",))])
    np.testing.assert_array_equal([signs, places], [[0.0], [0.0]])


def test_the_signs_that_spoke_are_named_the_commonest_first() -> None:
    looks = [Look({"smooth": True, "round": False}, ("cope",)), Look({"frosty": True}, ("cope", "drag"))]
    assert telling_signs(SEES, looks, favouring=True) == ("cope", "smooth")
    assert telling_signs(SEES, looks, favouring=False) == ("drag", "frosty")
