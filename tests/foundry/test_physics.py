"""What must hold whatever the numbers: directions, limits, and that units go round without loss."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from defectlog import units
from defectlog.foundry import freezing, gating, melt, pattern, sand

sizes = st.floats(1, 1000)
more = st.floats(1.01, 3)


@given(sizes, more)
def test_metal_falls_faster_from_higher_and_the_height_comes_back(head: float, factor: float) -> None:
    assert gating.fall_velocity(head * factor) > gating.fall_velocity(head)
    assert gating.fall_height(gating.fall_velocity(head)) == pytest.approx(head)


@given(st.floats(0.1, 100), sizes, sizes, more)
def test_a_wider_choke_and_a_higher_sprue_fill_sooner(kilos: float, choke: float, head: float, factor: float) -> None:
    seconds = gating.fill_seconds(kilos, choke, head)
    assert gating.fill_seconds(kilos, choke * factor, head) == pytest.approx(seconds / factor)
    assert gating.fill_seconds(kilos, choke, head * factor) == pytest.approx(seconds / math.sqrt(factor))
    assert gating.choke_area(kilos, seconds, head) == pytest.approx(choke)


@given(sizes, sizes, sizes, more)
def test_wider_gates_let_the_metal_in_slower(choke: float, gate: float, head: float, factor: float) -> None:
    speed = gating.gate_velocity(choke, gate, head)
    assert gating.gate_velocity(choke, gate * factor, head) == pytest.approx(speed / factor)


@given(sizes)
def test_gates_as_wide_as_needed_keep_an_ideal_stream_at_the_limit(head: float) -> None:
    times = gating.gate_to_choke_needed(head)
    assert gating.gate_velocity(100, 100 * times, head, discharge=1) == pytest.approx(gating.CRITICAL_M_S)


@given(st.floats(20, 300), st.floats(0, 1), st.floats(0, 1))
def test_a_parting_gate_lies_between_top_and_bottom(height: float, reserve: float, share: float) -> None:
    sprue = height * (1 + reserve)
    parting = gating.effective_head(sprue, height, "parting", share * height)
    bottom = gating.effective_head(sprue, height, "bottom")
    assert bottom - 1e-9 <= parting <= gating.effective_head(sprue, height, "top") + 1e-9


@given(st.floats(1e3, 1e6), st.floats(10, 200), st.floats(10, 1e3), st.floats(1.0, 3.0))
def test_filling_from_below_is_never_faster(area: float, height: float, gate: float, factor: float) -> None:
    head = height * factor
    below = gating.bottom_gated_seconds(area, height, gate, head)
    assert below >= gating.top_gated_seconds(area, height, gate, head) * (1 - 1e-9)


@given(sizes, sizes, sizes, more)
def test_modulus_is_a_length_and_time_goes_with_its_square(a: float, b: float, c: float, factor: float) -> None:
    once, grown = freezing.plate_modulus(a, b, c), freezing.plate_modulus(a * factor, b * factor, c * factor)
    assert grown == pytest.approx(once * factor)
    assert freezing.freezing_minutes(grown) == pytest.approx(freezing.freezing_minutes(once) * factor**2)
    assert once < freezing.bar_modulus(b, c) < freezing.wall_modulus(c) + 1e-9


@given(sizes, st.floats(0.3, 4), st.sampled_from([0, 1, 2]))
def test_a_feeder_of_the_diameter_has_the_modulus(modulus: float, slender: float, ends: int) -> None:
    diameter = freezing.feeder_diameter(modulus, slender, ends)
    assert freezing.cylinder_modulus(diameter, diameter * slender, ends) == pytest.approx(modulus)


@given(st.floats(0.1, 1e4), st.floats(1, 5), st.floats(0.3, 4))
def test_a_feeder_for_a_volume_holds_it(feed: float, volumes: float, slender: float) -> None:
    diameter = freezing.feeder_diameter_for_volume(feed, volumes, slender)
    assert freezing.cylinder_volume(diameter, diameter * slender) == pytest.approx(feed * volumes)


@given(st.floats(0, 200), st.floats(1, 200))
def test_hotter_metal_takes_longer_to_freeze(superheat: float, extra: float) -> None:
    assert freezing.mould_constant(superheat + extra) > freezing.mould_constant(superheat)


@given(st.sampled_from(sorted(melt.LIQUID_SOLUBILITY)), st.floats(660, 900), st.floats(1, 100), st.floats(0.01, 1))
def test_hydrogen_rises_with_heat_and_pressure(whose: str, temperature: float, extra: float, pressure: float) -> None:
    held = melt.hydrogen_liquid(temperature, pressure, whose)
    assert melt.hydrogen_liquid(temperature + extra, pressure, whose) > held
    assert melt.hydrogen_liquid(temperature, 4 * pressure, whose) == pytest.approx(2 * held)
    assert melt.hydrogen_solid(temperature, pressure) < held


@given(st.floats(1, 200), st.floats(0.1, 0.9), st.floats(0.9, 1.1))
def test_density_index_does_not_depend_on_the_water(dry: float, share: float, water: float) -> None:
    air, vacuum = (dry, dry * 0.63), (dry, dry * 0.63 * share)
    first = melt.density_index_from_weighings(air, vacuum)
    assert melt.density_index_from_weighings(air, vacuum, water) == pytest.approx(first)
    assert first > 0


@given(
    st.lists(st.floats(0, 50), min_size=12, max_size=12).filter(lambda weights: sum(weights) > 1), st.floats(0.01, 9)
)
def test_fineness_lies_between_the_multipliers_and_ignores_the_unit(weights: list[float], scale: float) -> None:
    number = sand.grain_fineness(weights)
    assert 3 - 1e-9 <= number <= 300 + 1e-9
    assert sand.grain_fineness([weight * scale for weight in weights]) == pytest.approx(number)


@given(st.dictionaries(st.sampled_from(["sand", "clay", "flour"]), st.floats(0.1, 100), min_size=1))
def test_the_parts_of_a_mix_make_a_hundred(parts: dict[str, float]) -> None:
    assert sum(sand.mix_percentages(parts).values()) == pytest.approx(100)


@given(st.floats(1, 3600), st.floats(1, 3600))
def test_slower_air_means_tighter_sand(seconds: float, extra: float) -> None:
    assert sand.permeability_standard(seconds + extra) < sand.permeability_standard(seconds)
    assert sand.permeability(seconds, 10) == pytest.approx(sand.permeability_standard(seconds), rel=2e-4)


@given(sizes, st.floats(0, 3))
def test_pattern_and_casting_give_the_contraction_back(length: float, contraction: float) -> None:
    made = pattern.pattern_length(length, contraction)
    assert pattern.contraction_measured(made, length) == pytest.approx(contraction, abs=1e-9)


@pytest.mark.parametrize("quantity", sorted(units.US))
@given(value=st.floats(-500, 1500))
def test_a_value_shown_in_us_units_reads_back_as_itself(quantity: str, value: float) -> None:
    shown = f"{units.to_us(value, quantity):.9f} {units.symbol(quantity, 'us')}"
    tolerance = 1e-9 * max(units.US[quantity].factor, 1)
    assert units.parse_quantity(shown, quantity) == pytest.approx(value, abs=tolerance)


def test_si_and_customary_pounds_lift_alike() -> None:
    """The same mould in inches and pounds: 4 in of metal over 62 in² of 150 lb/ft³ weighs 150·4·62/1728 lb."""
    area, head = units.parse_quantity("62 in2", "area"), units.parse_quantity("4 in", "length")
    density = units.parse_quantity("150 lb/ft3", "density")
    pounds = units.to_us(gating.weight_on_cope(area, head, 0, 1, density), "mass")
    assert pounds == pytest.approx(150 * 4 * 62 / 1728, rel=1e-6)


def test_viscosity_at_the_melting_point_lies_in_the_reviewed_range() -> None:
    """Viscosity of liquid aluminium at its melting point lies in 1.0–1.4 mPa·s (Dinsdale & Quested review)."""
    assert 1.0 < melt.viscosity_mpa_s(melt.MELTING_K - melt.KELVIN) < 1.4


def test_density_falls_as_the_melt_warms() -> None:
    assert melt.liquid_density(750) < melt.liquid_density(700) < 2377.23
