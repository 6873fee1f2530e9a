"""From evidence to shares: the parts are the ranking, and the whole adds up to one."""

from itertools import pairwise
from math import exp, log, log2

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from defectlog.diagnosis.hypotheses import Told
from defectlog.diagnosis.ranking import FLOOR_IN_ALL, Ranking, rank
from defectlog.diagnosis.recurrence import Prior
from tests.diagnosis.small_books import COLD, DAMP_LADLE, WET, candidate

STANDING = (candidate(WET), candidate(COLD), candidate(DAMP_LADLE))


def ranking(
    evidence=(-50.0, -55.0, -52.0),
    blanked=(-56.0, -55.0, -52.0),
    latent=(-53.0, -54.0),
    nothing=-58.0,
    looks=(0.5, 0.0, -0.7),
    places=(0.0, 0.3, 0.0),
    history=(0.2, 0.5, 0.3),
    **options,
) -> Ranking:
    told = [Told(item, one, other, None) for item, one, other in zip(STANDING, evidence, blanked, strict=True)]
    prior = Prior(np.array([0.5, 0.25, 0.25]), np.array(history))
    levels = dict(zip(("sand", "heat"), latent, strict=True))
    return rank(told, prior, np.array(looks), np.array(places), levels, nothing, **options)


def shares(found: Ranking) -> dict[str, float]:
    return {item.candidate.id: item.share for item in found.causes}


def test_by_hand() -> None:
    """Handbooks 0.2, 0.5, 0.3 with history, looks as given; 0.85 of the weight to the causes, 0.15 to two levels."""
    before = np.array([0.2 * exp(0.5), 0.5 * exp(0.3), 0.3 * exp(-0.7)])
    causes = 0.85 * before / before.sum() * np.exp([8.0, 3.0, 6.0])
    levels = 0.075 * np.exp([5.0, 4.0])
    whole = causes.sum() + levels.sum()
    stands_out = whole / (whole + 1)
    found = ranking()
    assert found.stands_out == pytest.approx(stands_out)
    each = stands_out * (0.98 * np.append(causes, levels) / whole + 0.02 / 5)
    assert shares(found) == pytest.approx(dict(zip((WET.id, COLD.id, DAMP_LADLE.id), each[:3], strict=True)))
    assert found.latent == pytest.approx({"sand": each[3], "heat": each[4]})


logs = st.floats(-400, 0, allow_nan=False)


@settings(max_examples=30, deadline=None)
@given(st.tuples(logs, logs, logs), st.tuples(logs, logs), logs)
def test_shares_and_what_is_unexplained_add_up_to_one(evidence, latent, nothing) -> None:
    found = ranking(evidence=evidence, latent=latent, nothing=nothing)
    assert sum(shares(found).values()) + found.unexplained == pytest.approx(1.0)
    assert found.unexplained == pytest.approx(1 - found.stands_out + sum(found.latent.values()))
    assert all(0 <= share <= 1 for share in shares(found).values())
    order = [item.parts.total for item in found.causes]
    assert [item.share for item in found.causes] == sorted(shares(found).values(), reverse=True)
    assert all(first >= second - 1e-6 or second_floored(found) for first, second in pairwise(order))


def second_floored(found: Ranking) -> bool:
    """Two causes so unlikely that both stand at the floor are in no order."""
    floor = found.stands_out * FLOOR_IN_ALL / 5
    return found.causes[-2].share <= floor * (1 + 1e-6)


def test_a_bit_of_score_is_a_doubling_of_the_share() -> None:
    """Up to the floor, which is taken off here before the shares are compared."""
    found = ranking()
    floor = found.stands_out * FLOOR_IN_ALL / 5
    for first in found.causes:
        for second in found.causes:
            by_shares = log2((first.share - floor) / (second.share - floor))
            assert first.parts.total - second.parts.total == pytest.approx(by_shares, abs=1e-6)


def test_the_parts_are_what_they_say() -> None:
    parts = {item.candidate.id: item.parts for item in ranking().causes}
    wet = parts[WET.id]
    assert wet.handbook == pytest.approx(log2(0.5 * 3))
    assert wet.looks == pytest.approx(0.5 / log(2))
    assert wet.spread == pytest.approx((-56 + 58) / log(2))
    assert wet.readings == pytest.approx(6 / log(2))
    assert wet.history == pytest.approx(log2(0.2 / 0.5))
    assert parts[COLD.id].place == pytest.approx(0.3 / log(2))


def test_without_history_the_handbooks_alone_are_the_prior() -> None:
    alone = ranking(with_history=False)
    assert all(item.parts.history == 0.0 for item in alone.causes)
    assert shares(alone) == pytest.approx(shares(ranking(history=(0.5, 0.25, 0.25))))


def test_looks_move_weight_between_causes_and_do_not_make_anything_stand_out() -> None:
    same = (-52.0, -52.0, -52.0)
    plain = ranking(evidence=same, blanked=same, looks=(0, 0, 0), places=(0, 0, 0))
    told = ranking(evidence=same, blanked=same, looks=(2.0, 2.0, 2.0), places=(1.0, 0, -1.0))
    assert told.stands_out == pytest.approx(plain.stands_out)
    assert shares(told)[WET.id] > shares(plain)[WET.id]


def test_no_cause_is_ever_ruled_out_by_arithmetic_alone() -> None:
    found = ranking(evidence=(-5.0, -900.0, -900.0), blanked=(-5.0, -900.0, -900.0))
    assert min(shares(found).values()) == pytest.approx(FLOOR_IN_ALL / 5, rel=1e-3)


def test_where_nothing_beats_one_constant_rate_nobody_is_named() -> None:
    found = ranking(evidence=(-60.0, -61.0, -62.0), blanked=(-60.0, -61.0, -62.0), latent=(-60.0, -60.0))
    assert found.stands_out < 0.2
    assert found.unexplained > 0.8


def test_a_defect_that_no_cause_explains_stays_unexplained() -> None:
    none = np.array([])
    found = rank([], Prior(none, none), none, none, {"sand": -50.0, "heat": -60.0}, -58.0)
    assert found.causes == ()
    assert found.unexplained == 1.0
    assert found.stands_out > 0.9
    assert found.latent["sand"] > found.latent["heat"]
