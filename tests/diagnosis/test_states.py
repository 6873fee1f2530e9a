"""How likely each unit is to have a cause switched on, given what is on record for it."""

from math import exp

import numpy as np
import pytest

from defectlog.diagnosis.states import MOST_CHANCE, chances_by_limit, share_on, soft_step, states_of, unit_values
from defectlog.rulebase.shapes import Limit
from tests.diagnosis.small_books import (
    COLD,
    COLD_LIMIT,
    DAMP_LADLE,
    WET,
    WET_BY_HAND,
    WET_LIMIT,
    array,
    candidate,
    evidence_of,
    history,
    mould,
    sand,
)


def test_at_the_limit_it_is_an_even_choice_and_one_softness_past_it_about_three_to_one() -> None:
    """1/(1 + e⁻¹) = 0.731; nothing is ever certain."""
    found = soft_step(array(4.5, 4.8, 4.2, 9.0, 0.0), WET_LIMIT)
    np.testing.assert_allclose(found, [0.5, 1 / (1 + exp(-1)), 1 / (1 + exp(1)), 0.98, 0.02])


def test_below_a_limit_it_is_the_mirror_image() -> None:
    np.testing.assert_allclose(soft_step(array(692.0, 708.0), COLD_LIMIT), [1 / (1 + exp(-1)), 1 / (1 + exp(1))])


def test_a_limit_with_no_softness_is_a_plain_step() -> None:
    hard = Limit("not-skimmed", "skimmed", "below", 0.5, 0.0)
    np.testing.assert_allclose(soft_step(array(0.0, 1.0), hard), [0.98, 0.02])


def test_units_change_nothing() -> None:
    """The same readings, limit and softness in °F give the same chances as in °C."""
    in_f = Limit("too-cold", "pour_c", "below", COLD_LIMIT.value * 1.8 + 32, COLD_LIMIT.softness * 1.8)
    celsius = array(680, 695, 700, 731)
    np.testing.assert_allclose(soft_step(celsius * 1.8 + 32, in_f), soft_step(celsius, COLD_LIMIT))


def test_without_a_reading_the_shops_own_share_counts() -> None:
    """Usual 0.12, worth ten readings. Five of the shop's readings are far past the limit and five far inside:
    (5 · 0.98 + 5 · 0.02 + 10 · 0.12) / 20 = 0.31."""
    assert share_on(candidate(WET), {"moisture_pct": [9.0] * 5 + [1.0] * 5}) == pytest.approx(0.31)
    assert share_on(candidate(WET), {}) == pytest.approx(0.12)
    assert share_on(candidate(WET), {"moisture_pct": [9.0] * 10_000}) <= MOST_CHANCE


def test_where_no_reading_is_possible_the_usual_share_counts() -> None:
    assert share_on(candidate(DAMP_LADLE), {"moisture_pct": [9.0] * 50}) == 0.12


def test_a_unit_reads_the_mean_of_what_its_moulds_say() -> None:
    evidence = evidence_of(
        history([mould("M1", heat="H1", pour_c=700.0), mould("M2", heat="H1", pour_c=720.0), mould("M3", heat="H2")])
    )
    np.testing.assert_array_equal(unit_values(evidence.units["heat"], evidence.readings["pour_c"]), [710.0, np.nan])


def test_readings_move_their_own_unit_and_missing_ones_stay_at_the_share() -> None:
    evidence = evidence_of(
        history(
            [mould("M1", sand="S1"), mould("M2", sand="S2"), mould("M3", sand="S3"), mould("M4", sand="S4")],
            sands=[
                sand("S1", moisture_pct=5.5),
                sand("S2", moisture_pct=3.0),
                sand("S3"),
                sand("S4", moisture_pct=4.5),
            ],
        )
    )
    found = states_of(candidate(WET), evidence, {})
    np.testing.assert_allclose(found.blanked, 0.12)
    np.testing.assert_allclose(found.chance, [1 / (1 + exp(-1 / 0.3)), 0.02, 0.12, 0.5])
    # A reading at its limit is not past it.
    assert found.out.tolist() == [True, False, False, False]


def test_a_reading_that_nobody_knows_leaves_every_unit_at_the_share() -> None:
    evidence = evidence_of(history([mould("M1"), mould("M2")]))
    for of in (candidate(DAMP_LADLE), candidate(COLD)):
        found = states_of(of, evidence, {})
        assert set(found.chance.tolist()) == {0.12}
        assert np.isnan(found.values).all()
        assert not found.out.any()


def test_the_shops_own_limit_may_lie_a_softness_to_either_side_of_the_handbooks() -> None:
    """4.2, 4.5 and 4.8 % with 0.7 of the softness of 0.3: what lies at the handbook's limit is past the lowest of the
    three by 0.3 / 0.21, at the middle one, and short of the highest."""
    evidence = evidence_of(
        history([mould("M1", sand="S1"), mould("M2", sand="S2")], sands=[sand("S1", moisture_pct=4.5), sand("S2")])
    )
    found = list(chances_by_limit(candidate(WET), states_of(candidate(WET), evidence, {})))
    past = 0.3 / (0.7 * 0.3)
    np.testing.assert_allclose([chance[0] for chance in found], [1 / (1 + exp(-past)), 0.5, 1 / (1 + exp(past))])
    assert [chance[1] for chance in found] == [0.12, 0.12, 0.12]


def test_where_nothing_was_read_no_limit_is_tried() -> None:
    """However many readings other patterns' moulds have, they say nothing of which of these moulds failed."""
    evidence = evidence_of(history([mould("M1", sand="S1"), mould("M2", sand="S2")], sands=[sand("S1"), sand("S2")]))
    shop = {"moisture_pct": [9.0] * 5 + [4.5] * 5}
    states = states_of(candidate(WET), evidence, shop)
    (chance,) = chances_by_limit(candidate(WET), states)
    np.testing.assert_array_equal(chance, states.blanked)


def test_where_nothing_was_measured_the_hand_test_speaks() -> None:
    """Usual 0.12. It sticks: 0.7 · 0.12 / (0.7 · 0.12 + 0.1 · 0.88) = 0.488. It does not: 0.3 · 0.12 / (… + 0.9 · 0.88)
    = 0.043. Nobody squeezed: 0.12."""
    sands = [sand("S1", squeeze="sticks"), sand("S2", squeeze="holds"), sand("S3", squeeze="crumbles"), sand("S4")]
    evidence = evidence_of(history([mould(f"M{row}", sand=f"S{row}") for row in range(1, 5)], sands=sands))
    found = states_of(candidate(WET_BY_HAND), evidence, {})
    sticks, not_so = 0.7 * 0.12 / (0.7 * 0.12 + 0.1 * 0.88), 0.3 * 0.12 / (0.3 * 0.12 + 0.9 * 0.88)
    np.testing.assert_allclose(found.chance, [sticks, not_so, not_so, 0.12])
    np.testing.assert_array_equal(found.hand, [1, 0, 0, np.nan])
    assert np.isnan(found.values).all()
    (by_limit,) = chances_by_limit(candidate(WET_BY_HAND), found)
    np.testing.assert_array_equal(by_limit, found.chance)


def test_a_measured_value_comes_before_the_hand() -> None:
    evidence = evidence_of(history([mould("M1", sand="S1")], sands=[sand("S1", moisture_pct=3.0, squeeze="sticks")]))
    assert states_of(candidate(WET_BY_HAND), evidence, {}).chance[0] < 0.05


def test_the_hand_test_says_nothing_of_a_cause_that_it_does_not_show() -> None:
    evidence = evidence_of(history([mould("M1", sand="S1")], sands=[sand("S1", squeeze="sticks")]))
    found = states_of(candidate(WET), evidence, {})
    assert found.chance is found.blanked
