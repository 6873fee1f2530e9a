"""The plain names of readings and units."""

import pytest

from defectlog.diagnosis.evidence import YES_NO_READINGS
from defectlog.diagnosis.phrases import UNIT_NAMES, YES_NO, beyond_limit, reading_name, reading_quantity, unit_name
from defectlog.rulebase.shapes import UNITS_OF_ACTION, Limit
from defectlog.units import METRIC
from tests.diagnosis.small_books import COLD_LIMIT, WET_LIMIT
from tests.diagnosis.small_rules import real_rules


@pytest.mark.parametrize(
    ("limit", "system", "said"),
    [
        (WET_LIMIT, "metric", "moisture above 4.5 %"),
        (COLD_LIMIT, "metric", "pouring temperature below 700 °C"),
        (COLD_LIMIT, "us", "pouring temperature below 1292 °F"),
        (Limit("a", "skimmed", "below", 0.5, 0.1), "metric", "not skimmed"),
        (Limit("b", "interrupted", "above", 0.5, 0.1), "metric", "pour interrupted"),
        (Limit("c", "gate_velocity_m_s", "above", 0.5, 0.1), "metric", "gate velocity above 0.5 m/s"),
    ],
)
def test_what_it_means_to_be_past_a_limit(limit: Limit, system: str, said: str) -> None:
    assert beyond_limit(limit, system) == said


def test_every_reading_of_the_rules_has_a_plain_name_and_a_unit() -> None:
    readings = {cause.reading.quantity for cause in real_rules().causes.values() if cause.reading}
    for reading in readings:
        assert "_" not in reading_name(reading)
        assert reading_quantity(reading) in METRIC or reading in YES_NO_READINGS


def test_every_unit_at_which_a_cause_may_act_has_its_names() -> None:
    assert set(UNIT_NAMES) == set(UNITS_OF_ACTION)
    assert (unit_name("sand", 1), unit_name("sand", 2), unit_name("heat")) == (
        "batch of sand",
        "batches of sand",
        "heats",
    )


def test_yes_and_no_are_said_for_every_such_reading() -> None:
    assert set(YES_NO) == YES_NO_READINGS


def test_a_reading_of_a_shops_own_is_named_as_written() -> None:
    assert (reading_name("flask_age"), reading_quantity("flask_age")) == ("flask age", "number")
