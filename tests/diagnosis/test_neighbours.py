"""What was measured before and after tells of what was not: against scipy's multivariate normal distribution."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import multivariate_normal, norm

from defectlog.diagnosis import neighbours
from defectlog.diagnosis.neighbours import (
    CHOICES,
    Likely,
    counts_of,
    learned_from,
    like_neighbours,
    likely_departures,
)
from defectlog.diagnosis.states import chances_by_limit, share_on, states_of
from tests.diagnosis.small_books import COLD, WET, array, candidate, evidence_of, history, mould, sand

NAN = np.nan
# Nine batches on six days, three of them not measured, one of those on a day with nothing measured.
DAYS = np.array([0, 0, 1, 1, 3, 3, 4, 9, 10])
DEPARTURES = array(0.4, 1.1, 1.6, NAN, 0.9, 1.2, NAN, -0.7, NAN)
KNOWN = ~np.isnan(DEPARTURES)


def covariance(memory: float, share: float) -> np.ndarray:
    """(9, 9) of the batches, written out one by one."""
    found = np.eye(9)
    for i in range(9):
        for j in range(9):
            if i != j:
                found[i, j] = share * memory ** abs(int(DAYS[i]) - int(DAYS[j]))
    return found


def likely(departures: np.ndarray, days: np.ndarray) -> Likely:
    """Of each batch."""
    names, codes = np.unique(days, return_inverse=True)
    found = likely_departures(departures, names, codes)
    return Likely(found.mean[codes], found.variance[codes])


def log_densities() -> np.ndarray:
    """(choices,) of what was measured."""
    seen = np.ix_(KNOWN, KNOWN)
    return np.array([multivariate_normal.logpdf(DEPARTURES[KNOWN], cov=covariance(m, s)[seen]) for m, s in CHOICES])


def test_each_memory_counts_by_how_likely_it_makes_what_was_measured() -> None:
    """The density of the six measured batches; a constant apart."""
    names, codes = np.unique(DAYS[KNOWN], return_inverse=True)
    values = DEPARTURES[KNOWN]
    found = learned_from(names, *(np.bincount(codes, weights=each) for each in (values**0, values, values**2)))
    expected = log_densities()
    np.testing.assert_allclose(np.diff(found.log_likelihood), np.diff(expected), atol=1e-9)


def test_a_batch_is_as_likely_as_the_mixture_of_its_conditional_distributions() -> None:
    """Density of a batch given the measured ones = joint over marginal, integrated on a fine line."""
    logs = log_densities()
    weights = np.exp(logs - logs.max())
    weights /= weights.sum()
    found = likely(DEPARTURES, DAYS)
    line = np.linspace(-8, 8, 1601)
    for unit in np.flatnonzero(~KNOWN):
        rows = [*np.flatnonzero(KNOWN), unit]
        density = np.zeros(len(line))
        for weight, (memory, share) in zip(weights, CHOICES, strict=True):
            joint = multivariate_normal(cov=covariance(memory, share)[np.ix_(rows, rows)])
            points = np.column_stack([np.tile(DEPARTURES[KNOWN], (len(line), 1)), line])
            log_joint = joint.logpdf(points)
            given_them = np.exp(log_joint - log_joint.max())
            density += weight * given_them / given_them.sum()
        mean = (density * line).sum()
        assert found.mean[unit] == pytest.approx(mean, abs=1e-3)
        assert found.variance[unit] == pytest.approx((density * line**2).sum() - mean**2, abs=1e-3)


def test_readings_count_by_how_likely_they_are_here_against_in_general() -> None:
    """scipy's normal densities; in all Kish's effective number of them."""
    departures = array(-1.5, -0.2, 0.4, 2.0)
    found = counts_of(Likely(array(0.8), array(0.5)), departures)[0]
    ratio = norm.pdf(departures, 0.8, np.sqrt(0.5)) / norm.pdf(departures)
    np.testing.assert_allclose(found / found.sum(), ratio / ratio.sum())
    assert found.sum() == pytest.approx(ratio.sum() ** 2 / (ratio**2).sum())


def test_where_nothing_is_handed_on_all_readings_count_alike() -> None:
    np.testing.assert_allclose(counts_of(Likely(array(0.0), array(1.0)), array(-2, 0, 1)), [[1, 1, 1]])


def test_days_far_apart_are_worked_by_themselves(monkeypatch: pytest.MonkeyPatch) -> None:
    """A hundred days later nothing is left of what a day shared."""
    far = np.concatenate([DAYS, DAYS + 200])
    twice = np.concatenate([DEPARTURES, DEPARTURES[::-1]])
    whole = likely(twice, far)
    monkeypatch.setattr(neighbours, "DAYS_AT_ONCE", 6)
    apart = likely(twice, far)
    np.testing.assert_allclose(apart.mean, whole.mean, atol=1e-4)
    np.testing.assert_allclose(apart.variance, whole.variance, atol=1e-4)


def test_a_long_time_with_nothing_measured_is_as_usual() -> None:
    """Two hundred days on, of which not one was measured, the shop's readings count alike again."""
    values = np.concatenate([DEPARTURES[KNOWN], np.full(240, NAN)])
    found = like_neighbours(values, np.arange(len(values)), array(*DEPARTURES[KNOWN], -0.5, 0.1))
    np.testing.assert_allclose(found.counts[-1], 1, atol=1e-6)


@given(st.permutations(range(9)))
def test_the_order_of_the_units_does_not_matter(order: list[int]) -> None:
    rows = np.array(order)
    straight, found = likely(DEPARTURES, DAYS), likely(DEPARTURES[rows], DAYS[rows])
    np.testing.assert_allclose(found.mean, straight.mean[rows], atol=1e-9)
    np.testing.assert_allclose(found.variance, straight.variance[rows], atol=1e-9)


@given(st.floats(0.01, 100), st.floats(-500, 500))
def test_units_of_measure_change_nothing(scale: float, offset: float) -> None:
    shop = np.concatenate([DEPARTURES[KNOWN], array(-0.5, 0.1)])
    straight = like_neighbours(DEPARTURES, DAYS, shop)
    found = like_neighbours(offset + scale * DEPARTURES, DAYS, offset + scale * shop)
    np.testing.assert_allclose(found.counts, straight.counts, rtol=1e-5, atol=1e-6)
    np.testing.assert_array_equal(found.kinds, straight.kinds)


@pytest.mark.parametrize(
    ("values", "shop"),
    [(array(1, 2, 3, 4, 5, NAN), [1.0, 2, 3, 4, 5, 6]), (array(*range(6), NAN), [1.0] * 9), (array(*range(7)), [1.0])],
    ids=["five measured", "always the same", "one reading"],
)
def test_too_little_tells_nothing(values: np.ndarray, shop: list[float]) -> None:
    found = like_neighbours(values, np.arange(len(values)), array(*shop))
    np.testing.assert_array_equal(found.counts, np.ones((1, len(shop))))


def weeks(moistures: list[float | None]) -> tuple:
    """A batch a day, its moisture measured or not; and the shop's readings, half of them wet."""
    sands = [sand(f"S{day}", moisture_pct=moisture) for day, moisture in enumerate(moistures)]
    moulds = [mould(f"M{day}", day, sand=f"S{day}") for day in range(len(moistures))]
    shop = {"moisture_pct": [moisture for moisture in moistures if moisture is not None]}
    return evidence_of(history(moulds, sands=sands)), shop


def test_sand_not_measured_in_a_wet_week_was_likely_wet() -> None:
    """A dry fortnight, a wet one and a dry one again, one day of each not measured."""
    dry, wet = [3.1, 3.3, 3.0, 3.2, 3.4, 3.1], [5.4, 5.1, 5.3, 5.2, 5.4, 5.1]
    evidence, shop = weeks([*dry, None, *dry, *wet, None, *wet, *dry, None, *dry])
    states = states_of(candidate(WET), evidence, shop)
    unread = np.flatnonzero(np.isnan(states.values))
    before, during, after = states.chance[unread]
    assert during > 0.5 > 0.2 > max(before, after)
    for chance in chances_by_limit(candidate(WET), states):
        assert chance[unread][1] > max(chance[unread][0], chance[unread][2])
    every = share_on(candidate(WET), shop)
    np.testing.assert_allclose(states.blanked, every)
    assert max(before, after) < every < during


def test_where_days_hand_nothing_on_the_usual_share_is_left_nearly_as_it_was() -> None:
    rng = np.random.default_rng(3)
    evidence, shop = weeks([float(rng.normal(4.0, 0.8)) if day % 4 else None for day in range(60)])
    states = states_of(candidate(WET), evidence, shop)
    unread = np.isnan(states.values)
    assert np.abs(states.chance[unread] - states.blanked[unread]).max() < 0.15


def test_moulds_of_one_day_are_alike_too() -> None:
    """Poured hotter from day to day: a mould not measured on the first is the likelier to have been cold."""
    moulds = [mould(f"M{n}", n // 3, pour_c=None if n % 3 == 1 else 690.0 + n) for n in range(24)]
    states = states_of(candidate(COLD), evidence_of(history(moulds)), {"pour_c": [690.0 + n for n in range(24)]})
    unread = np.flatnonzero(np.isnan(states.values))
    assert states.chance[unread[0]] > states.chance[unread[-1]]
