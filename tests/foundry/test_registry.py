"""A sum asked for by name: what is taken, what is refused and how, and what comes back."""

import pytest

from defectlog import units
from defectlog.errors import BadInput, NotFound
from defectlog.foundry.registry import SUMS, work_out
from defectlog.foundry.sum_shape import LIST, TEXT
from defectlog.rulebase.load import load_rules

# One way of asking for every sum, and what it gives: the value is compared with the published one of its name
# or with a sum done by hand.
ASKED: dict[str, tuple[dict[str, str], float, str]] = {
    # check gfn-worked-173
    "grain-fineness": ({"retained": "0 0 0 0 0.2 0.65 1.2 2.25 8.55 11.05 10.9 9.3"}, 172.823, ""),
    "afs-clay": ({"dry_g": "50", "washed_g": "44.1 g"}, 11.8, "%"),  # clay-afs-118
    "moisture": ({"wet_g": "50", "dry_g": "47.5"}, 5.0, "%"),  # moisture-wet-basis
    "permeability": ({"time_s": "60"}, 50.12, ""),  # perm-from-time-60s
    "compactability": ({"loose_mm": "120", "rammed_mm": "66"}, 45.0, "%"),  # compactability-45
    "loss-on-ignition": ({"dried_g": "10", "fired_g": "9.8"}, 2.0, "%"),  # by hand
    "mulling-efficiency": ({"strength_kpa": "60", "full_strength_kpa": "80"}, 75.0, "%"),  # by hand
    # chvorinov-10cm-sphere: modulus 100/6 mm, 3.5 min/cm²
    "solidification-time": ({"modulus_mm": "16.6666667", "constant_min_cm2": "3.5"}, 9.72222, "min"),
    # modulus-plate
    "modulus": ({"shape": "plate", "length_mm": "200", "width_mm": "100", "thickness_mm": "20"}, 7.69231, "mm"),
    "feeder-modulus": ({"casting_modulus_mm": "7.69230769"}, 9.23077, "mm"),  # feeder-modulus-12
    "feeder-size": ({"casting_modulus_mm": "7.69230769"}, 55.3846, "mm"),  # feeder-diameter-12
    "sprue-velocity": ({"head_mm": "250"}, 2.21472, "m/s"),  # gating-v-250mm
    "effective-head": ({"head_mm": "150", "gating": "bottom", "casting_mm": "60"}, 120.0, "mm"),  # head-bottom
    "choke-area": ({"poured_kg": "2", "fill_s": "5", "head_mm": "142.5"}, 124.595, "mm²"),  # choke-area-al
    # choke-roundtrip, its effective head of 142.5 mm made by a parting gate 30 mm under the top of a 60 mm casting
    "fill-time": (
        {
            "poured_kg": "2",
            "choke_mm2": "124.595348",
            "head_mm": "150",
            "gating": "parting",
            "casting_mm": "60",
            "above_gate_mm": "30",
        },
        5.0,
        "s",
    ),
    "sprue-taper": ({"top_head_mm": "40", "bottom_head_mm": "160"}, 2.0, ""),  # sprue-taper-ratio
    "gating-ratio": ({"choke_mm2": "100", "runner_mm2": "200", "gate_mm2": "400"}, 4.0, ""),  # by hand
    # gating-ratio-needed-200mm: at 3.96 times the choke an ideal stream enters at 0.5 m/s
    "gate-velocity": (
        {"choke_mm2": "100", "gate_mm2": "396.181776", "head_mm": "200", "discharge": "1"},
        0.5,
        "m/s",
    ),
    # 20 mm square channel, as reynolds-reference-nu
    "reynolds": ({"velocity_m_s": "0.5", "width_mm": "20", "depth_mm": "20"}, 19808.3, ""),
    # lift-force-al: 94.176 N are 9.6 kg, times 1.3, less a cope of 2 kg
    "lift": ({"area_mm2": "40000", "head_mm": "100", "cope_kg": "2"}, 10.48, "kg"),
    "hydrogen": ({"temperature_c": "700"}, 0.911694, "mL/100 g"),  # h2-ransley-700
    "density-index": ({"air_density": "2.693", "vacuum_density": "2.385"}, 11.4371, "%"),  # di-vds226-before
    "superheat": ({"pour_c": "720", "liquidus_c": "615"}, 105.0, "°C"),  # by hand
    "contraction": ({"casting_mm": "150"}, 151.95, "mm"),  # pattern-length-150mm
    "draft": ({"height_mm": "4 in", "draft_deg": "1"}, 0.0698202597 * 25.4, "mm"),  # draft-4in-1deg
    "yield": ({"castings": "4", "casting_kg": "0.6", "poured_kg": "4.36"}, 55.0459, "%"),  # by hand
    "scrap-cost": (
        {"casting_kg": "0.6", "poured_kg": "1.09", "metal_per_kg": "3", "remelt_per_kg": "2.2", "energy_per_kg": "0.5"},
        0.6 * 0.8 + 1.09 * 0.5,
        "in your money",
    ),
    # 2 good ones at one in two scrapped: P(n ≤ 6) = 57/64 < 0.9 ≤ P(n ≤ 7) = 120/128
    "pour-extra": ({"good": "2", "scrap_pct": "50"}, 7.0, "castings"),
}
NAMES = """grain-fineness afs-clay moisture permeability compactability loss-on-ignition mulling-efficiency
solidification-time modulus feeder-modulus feeder-size sprue-velocity effective-head choke-area fill-time sprue-taper
gating-ratio gate-velocity reynolds lift hydrogen density-index superheat contraction draft yield scrap-cost
pour-extra"""


def test_these_are_the_sums() -> None:
    assert sorted(SUMS) == sorted(NAMES.split()) == sorted(ASKED)


@pytest.mark.parametrize("name", sorted(ASKED))
def test_each_sum_gives_its_worked_value(name: str) -> None:
    typed, value, unit = ASKED[name]
    answer = work_out(name, typed)
    assert answer.value == pytest.approx(value, rel=1e-5)
    assert answer.unit == unit
    assert set(answer.as_json()) >= {"name", "value", "unit", "inputs", "formula", "source"}
    assert answer.formula and answer.source


@pytest.mark.parametrize("name", sorted(ASKED))
def test_an_answer_in_us_units_is_the_same_answer(name: str) -> None:
    typed, value, _ = ASKED[name]
    answer = work_out(name, typed, "us")
    if SUMS[name].us:
        assert answer.value == pytest.approx(value * 1.8, rel=1e-5)
    else:
        assert answer.value == pytest.approx(units.to_us(value, SUMS[name].quantity), rel=1e-5)


def test_both_unit_systems_are_taken_in() -> None:
    in_pounds = work_out("choke-area", {"poured_kg": "4.40925 lb", "fill_s": "5", "head_mm": "5.61024 in"})
    assert in_pounds.value == pytest.approx(124.595, rel=1e-4)
    assert work_out("superheat", {"pour_c": "1328 F", "liquidus_c": "615"}, "us").value == pytest.approx(189)


def test_every_problem_is_said_at_once_with_what_is_allowed() -> None:
    with pytest.raises(BadInput) as caught:
        work_out("choke-area", {"pourd_kg": "2", "fill_s": "0", "head_mm": "tall", "discharge": "5"})
    codes = [problem.code for problem in caught.value.problems]
    assert codes == ["sum-input-unknown", "sum-input-missing", "sum-out-of-range", "not-a-number", "sum-out-of-range"]
    said = str(caught.value)
    assert "did you mean 'poured_kg'?" in said
    assert "allowed: 0.1 to 3600 s" in said
    assert "allowed: 0.1 to 1" in said


def test_a_weight_in_grams_is_refused_in_grams() -> None:
    with pytest.raises(BadInput, match="allowed: 0 to 50000 g"):
        work_out("moisture", {"wet_g": "60000", "dry_g": "1"})


def test_an_unknown_sum_names_the_nearest() -> None:
    with pytest.raises(NotFound, match="did you mean 'moisture'"):
        work_out("moistur", {})


def test_an_unknown_choice_names_the_known_ones() -> None:
    with pytest.raises(BadInput, match="allowed: top, parting, bottom"):
        work_out("effective-head", {"head_mm": "150", "gating": "side"})


def test_what_cannot_be_together_is_refused() -> None:
    with pytest.raises(BadInput, match="between nothing and the first"):
        work_out("moisture", {"wet_g": "47.5", "dry_g": "50"})


def test_a_shape_names_the_measures_that_are_missing() -> None:
    with pytest.raises(BadInput, match="missing: height_mm"):
        work_out("modulus", {"shape": "cylinder", "diameter_mm": "40"})


def test_a_density_index_needs_densities_or_all_four_weighings() -> None:
    weighed = {"air_dry_g": "80", "air_water_g": "50", "vacuum_dry_g": "80", "vacuum_water_g": "48"}
    assert work_out("density-index", weighed).value == pytest.approx(6.25)  # 1 − 30/32
    with pytest.raises(BadInput, match="all four weighings"):
        work_out("density-index", {"air_dry_g": "80"})


def test_an_answer_outside_the_usual_window_says_so_with_the_source() -> None:
    fast = work_out("gate-velocity", {"choke_mm2": "110", "gate_mm2": "210", "head_mm": "150"})
    assert any("outside what is usual, at most 0.5 m/s (Campbell" in remark for remark in fast.remarks)
    slow = work_out("gate-velocity", {"choke_mm2": "110", "gate_mm2": "450", "head_mm": "150"})
    assert not any("outside" in remark for remark in slow.remarks)


def test_a_window_is_shown_in_the_units_asked_for() -> None:
    fast = work_out("gate-velocity", {"choke_mm2": "110", "gate_mm2": "210", "head_mm": "6 in"}, "us")
    assert any("at most 1.64 ft/s" in remark for remark in fast.remarks)
    cold = work_out("superheat", {"pour_c": "630", "liquidus_c": "615"}, "us")
    assert any("108 to 234 °F" in remark for remark in cold.remarks)


def test_the_feed_metal_rules_when_the_casting_is_large_and_thin() -> None:
    """1000 cm³ at 6 % need 60 cm³, three times that is 180 cm³: 61.2 mm (riser-min-gate1993), over 6 × 1.2 × 4 mm."""
    answer = work_out("feeder-size", {"casting_modulus_mm": "4", "casting_cm3": "1000"})
    assert answer.value == pytest.approx(61.1966, rel=1e-5)
    assert "the metal it must give" in answer.remarks[0]


def test_a_plan_to_pour_is_in_whole_moulds() -> None:
    answer = work_out("pour-extra", {"good": "20", "scrap_pct": "12", "impressions": "4"})
    assert answer.value % 4 == 0
    assert "on average" in answer.remarks[0]


def test_dangerous_work_carries_its_caution() -> None:
    assert any("held down" in remark for remark in work_out(*_asked("lift")).remarks)
    assert any("hot" in remark for remark in work_out(*_asked("moisture")).remarks)
    assert any("dry" in remark for remark in work_out(*_asked("density-index")).remarks)


def _asked(name: str) -> tuple[str, dict[str, str]]:
    return name, ASKED[name][0]


def test_every_input_is_described_and_every_default_can_be_taken() -> None:
    for each in SUMS.values():
        for given in each.inputs:
            assert given.meaning
            assert given.quantity in (TEXT, LIST) or given.quantity in units.METRIC
            assert not given.choices or given.default is None or given.default in given.choices
            assert given.quantity == TEXT or (given.least is not None and given.most is not None)


def test_windows_of_readings_are_the_limits_of_the_rule_base() -> None:
    general = {(limit.reading, limit.side): limit.value for limit in load_rules().limits if not limit.when}
    windows = [each.window for each in SUMS.values() if each.window and each.window.reading]
    assert len(windows) >= 6
    for window in windows:
        for side, end in (("below", window.low), ("above", window.high)):
            assert end is None or general[window.reading, side] == end
