"""The simulated shops are what their conditions say, and the oracle measured against finds what can be found."""

from dataclasses import replace

import numpy as np
import pytest

from defectlog.rulebase.load import load_rules
from tests.bench import oracle
from tests.bench.conditions import CONDITIONS, LIFELIKE, NOTHING_LIFELIKE, PLAIN, Condition, evenly
from tests.bench.measuring import cases, chances_of, named, pairs_for
from tests.bench.oracle import by_oracle, by_oracle_without_rates
from tests.bench.rankings import Method, field_of, true_rates
from tests.bench.shops import Simulation
from tests.bench.true_readings import TrueReadings

RULES = load_rules()
TWO = replace(LIFELIKE, planted=2)


def readings_of_a_long_run(memory: float, *, related: bool) -> TrueReadings:
    long = replace(PLAIN, days=3000)
    floor = Simulation(RULES, "gas-holes", ["sand-too-wet"], long, np.random.default_rng(5)).floor
    return TrueReadings(floor, np.random.default_rng(6), memory, related)


def test_every_condition_has_a_name_of_its_own_and_says_where_its_figures_come_from() -> None:
    assert len({condition.name for condition in CONDITIONS}) == len(CONDITIONS)
    assert all(condition.because for condition in CONDITIONS)


@pytest.mark.parametrize("candidates", [4, 8, 16])
def test_as_many_causes_compete_as_the_condition_says_and_the_planted_one_is_among_them(candidates: int) -> None:
    for case in cases(RULES, replace(LIFELIKE, candidates=candidates), 5, 300):
        # A plate of one impression has no odd one, so one cause may fall away.
        assert candidates - 1 <= len(case.candidates) <= candidates
        assert set(case.shop.planted) <= {candidate.id for candidate in case.candidates}


def test_two_causes_at_once_go_by_different_readings() -> None:
    for case in cases(RULES, TWO, 10, 300):
        readings = {RULES.causes[cause].reading.quantity for cause in case.shop.planted}
        assert len(readings) == 2


def test_where_nothing_is_planted_nothing_is() -> None:
    assert all(case.shop.planted == () for case in cases(RULES, NOTHING_LIFELIKE, 3, 300))


def test_related_readings_go_together_as_published() -> None:
    """Moisture is 0.73 clay and 0.55 temper, active clay 0.95 clay, compactability 0.95 temper."""
    series = readings_of_a_long_run(0.5, related=True)
    moisture, clay, compactability = (
        series.series(name, "sand") for name in ("moisture_pct", "active_clay_pct", "compactability_pct")
    )
    assert np.corrcoef(moisture, clay)[0, 1] == pytest.approx(0.73 * 0.95, abs=0.12)
    assert np.corrcoef(moisture, compactability)[0, 1] == pytest.approx(0.55 * 0.95, abs=0.06)
    assert moisture.std() == pytest.approx(1, abs=0.12)


def test_a_day_hands_on_what_the_condition_says() -> None:
    """Batches of one day are 0.7 alike; of that, a day hands 0.83 to the next."""
    series = readings_of_a_long_run(0.83, related=False)
    values, days = series.series("moisture_pct", "sand"), series.day_of("sand")
    first = np.flatnonzero(np.diff(days, prepend=-1))
    assert np.corrcoef(values[first][:-1], values[first][1:])[0, 1] == pytest.approx(0.7 * 0.83, abs=0.07)


@pytest.mark.parametrize(
    ("knows", "condition"),
    [(by_oracle, PLAIN), (by_oracle, TWO), (by_oracle_without_rates, PLAIN)],
    ids=["one cause", "two causes", "rates not known"],
)
def test_the_oracle_finds_what_is_planted(knows: Method, condition: Condition) -> None:
    first = [knows(case).order[0] in case.shop.planted for case in cases(RULES, condition, 8, 300)]
    assert np.mean(first) >= 0.75


def test_an_oracle_told_the_rates_is_the_one_that_knows_them() -> None:
    """A grid of one pair, the true one: nothing is left to average."""
    for case in cases(RULES, PLAIN, 2, 300):
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(oracle, "field_of", lambda case: field_of(case, grid=true_rates(case.shop)))
            patch.setattr(oracle, "RATES_TRIED", (1, 1))
            without = by_oracle_without_rates(case)
        known = by_oracle(case)
        assert without.order == known.order
        assert without.stands_out == pytest.approx(known.stands_out)


def test_the_oracle_says_where_nothing_stands_out() -> None:
    stands_out = [by_oracle(case).stands_out for case in cases(RULES, NOTHING_LIFELIKE, 8, 300)]
    assert np.mean(np.array(stands_out) < 0.5) >= 0.75


@pytest.mark.parametrize("condition", [PLAIN, evenly(PLAIN)], ids=["as named", "evenly"])
def test_causes_are_planted_as_often_as_the_handbooks_name_them_or_evenly(condition: Condition) -> None:
    """The heaviest cause of a defect against the lightest: each defect is as often planted as the next."""
    pairs = pairs_for(RULES, condition)
    of_gas = [named(RULES, *pair) for pair in pairs if pair[0] == "gas-holes"]
    chances = chances_of(RULES, condition, pairs)
    planted = [chance for pair, chance in zip(pairs, chances, strict=True) if pair[0] == "gas-holes"]
    assert chances.sum() == pytest.approx(1)
    if condition.as_named:
        assert max(planted) / min(planted) == pytest.approx(max(of_gas) / min(of_gas))
        assert sum(planted) == pytest.approx(1 / len({defect for defect, _ in pairs}))
    else:
        assert max(planted) == min(planted)
