"""Text to number-with-unit: what a moulder types is read one way only, or refused."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from defectlog.errors import BadInput
from defectlog.units import METRIC, SPELLINGS, US, parse_quantity, show_quantity, symbol, to_us

# NIST SP 811 (2008), appendix B.8; the tolerance is half a unit of the last digit printed there.
NIST_SP_811 = [
    ("1 lb", "mass", 0.45359237, 1e-12),
    ("1 oz", "mass", 0.02834952, 2e-7),
    ("1 in", "length", 25.4, 1e-12),
    ("1 in2", "area", 645.16, 1e-12),
    ("1 psi", "pressure", 6.894757, 1e-12),
    ("1 in3", "volume", 16.38706, 5e-7),
    ("1 ft/s", "velocity", 0.3048, 1e-12),
    ("1 lb/ft3", "density", 16.01846, 5e-7),
    ("212 F", "temperature", 100.0, 1e-12),
    ("32 F", "temperature", 0.0, 1e-12),
]


@pytest.mark.parametrize(("text", "quantity", "metric", "tolerance"), NIST_SP_811)
def test_factors_are_those_of_nist(text, quantity, metric, tolerance):
    assert math.isclose(parse_quantity(text, quantity), metric, rel_tol=tolerance, abs_tol=1e-12)


@pytest.mark.parametrize(
    ("text", "quantity", "value"),
    [
        ("720", "temperature", 720.0),
        ("1330F", "temperature", 721.1111),
        ("1330 deg F", "temperature", 721.1111),
        ("720 °C", "temperature", 720.0),
        ("720º", "temperature", 720.0),
        ("3,2 %", "percent", 3.2),
        ("0,125", "mass", 0.125),
        ("5.", "mass", 5.0),
        (".5", "mass", 0.5),
        ("1e-3 kg", "mass", 0.001),
        ("−5", "temperature", -5.0),
        ('1"', "length", 25.4),
        ("2 sq in", "area", 1290.32),
        ("2 in^2", "area", 1290.32),
        ("12 in.", "length", 304.8),
        ("90 s", "minutes", 1.5),
        ("2 h", "minutes", 120.0),
        ("3 deg", "angle", 3.0),
    ],
)
def test_is_read_as_it_was_meant(text, quantity, value):
    assert parse_quantity(text, quantity) == pytest.approx(value, rel=1e-6)


@pytest.mark.parametrize(
    ("text", "quantity", "code"),
    [
        ("", "mass", "not-a-number"),
        ("hot", "temperature", "not-a-number"),
        ("1.2.3", "mass", "not-a-number"),
        ("9" * 400, "mass", "not-a-number"),
        ("1,250", "mass", "comma-unclear"),
        ("5 stone", "mass", "unit-unknown"),
        ("5 lb 3 oz", "mass", "unit-unknown"),
        ("5 kg", "temperature", "unit-wrong"),
        ("720 deg", "temperature", "unit-wrong"),
        ("5 s", "mass", "unit-wrong"),
    ],
)
def test_is_refused_with_where_and_what_is_allowed(text, quantity, code):
    with pytest.raises(BadInput) as caught:
        parse_quantity(text, quantity, "moulds.csv row 2")
    [problem] = caught.value.problems
    assert problem.code == code
    assert problem.where == "moulds.csv row 2"
    assert problem.allowed.startswith("allowed: a number")


@given(
    st.floats(min_value=-1e6, max_value=1e6, allow_nan=False),
    st.sampled_from(sorted(SPELLINGS)),
)
def test_any_unit_comes_back_to_what_was_typed(value, spelling):
    """A value in a unit, converted and converted back, is the same value."""
    unit = SPELLINGS[spelling]
    if unit.quantity in ("minutes", "seconds", "hours"):
        return
    metric = parse_quantity(f"{value!r} {spelling}", unit.quantity)
    assert metric / unit.factor + unit.offset == pytest.approx(value, rel=1e-9, abs=1e-9)


@given(st.sampled_from(sorted(US)), st.floats(min_value=-1e4, max_value=1e4))
def test_us_figures_read_back_to_the_stored_value(quantity, value):
    shown = f"{to_us(value, quantity)!r} {symbol(quantity, 'us')}"
    assert parse_quantity(shown, quantity) == pytest.approx(value, rel=1e-9, abs=1e-9)


@pytest.mark.parametrize(
    ("value", "quantity", "system", "text"),
    [
        (None, "mass", "metric", "–"),
        (5.1, "percent", "metric", "5.1 %"),
        (721.1111, "temperature", "us", "1330 °F"),
        (9999.6, "mass", "metric", "10000 kg"),
        (123456.0, "mass", "metric", "123456 kg"),
        (0.1 + 0.2, "mass", "metric", "0.3 kg"),
        (0.00001234, "mass", "metric", "0.00001234 kg"),
        (-0.0, "mass", "metric", "0 kg"),
        (62.0, "number", "us", "62"),
    ],
)
def test_is_shown_as_people_read_it(value, quantity, system, text):
    assert show_quantity(value, quantity, system) == text


def test_every_quantity_has_a_metric_unit_of_its_own_kind():
    assert all(unit.quantity == name for name, unit in METRIC.items())
    assert all(unit.quantity == name for name, unit in US.items())
