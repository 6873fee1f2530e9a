"""Sums refuse what cannot be, in words, and never give a number for it."""

from collections.abc import Callable

import pytest

from defectlog.foundry import freezing, gating, melt, money, pattern, sand

IMPOSSIBLE: list[tuple[Callable[[], object], str]] = [
    (lambda: sand.grain_fineness([1.0]), "12 figures"),
    (lambda: sand.grain_fineness([0.0] * 12), "no grain"),
    (lambda: sand.grain_fineness([-1.0, *[2.0] * 11]), "less than nothing"),
    (lambda: sand.moisture_pct(0, 0), "more than nothing"),
    (lambda: sand.moisture_pct(50, 51), "between nothing and the first"),
    (lambda: sand.permeability(0, 10), "more than nothing"),
    (lambda: sand.permeability_standard(0), "more than nothing"),
    (lambda: sand.mulling_efficiency_pct(5, 0), "more than nothing"),
    (lambda: sand.temper_ratio(3, 0), "some clay"),
    (lambda: sand.mix_percentages({"sand": -1.0, "clay": 2.0}), "add up"),
    (lambda: gating.fall_velocity(-1), "negative"),
    (lambda: gating.effective_head(100, 0, "bottom"), "more than nothing"),
    (lambda: gating.effective_head(100, 50, "parting", 60), "higher than the casting"),
    (lambda: gating.effective_head(40, 50, "bottom"), "at least as high"),
    (lambda: gating.choke_area(1, 0, 100), "more than nothing"),
    (lambda: gating.fill_seconds(1, 0, 100), "choke"),
    (lambda: gating.volume_fill_seconds(1, 0), "flow"),
    (lambda: gating.bottom_gated_seconds(1e4, 50, 0, 100), "gate"),
    (lambda: gating.bottom_gated_seconds(1e4, 150, 10, 100), "at least the casting's height"),
    (lambda: gating.sprue_taper(160, 40), "no more than at the foot"),
    (lambda: gating.areas_from_ratio(100, "1-2-2"), "not a gating ratio"),
    (lambda: gating.areas_from_ratio(100, "1"), "not a gating ratio"),
    (lambda: gating.gate_velocity(100, 0, 100), "gates"),
    (lambda: gating.hydraulic_diameter(0, 10), "width"),
    (lambda: freezing.modulus(0, 1), "more than nothing"),
    (lambda: freezing.chvorinov_constant(1, 0), "modulus"),
    (lambda: freezing.feeder_diameter(5, 0), "height"),
    (lambda: freezing.section_ratio(5, 0), "thinnest"),
    (lambda: freezing.shrinkage_pct(13), "11.6 % silicon"),
    (lambda: melt.sieverts(-1), "negative"),
    (lambda: melt.density_by_weighing(50, 50), "less than"),
    (lambda: melt.density_index_pct(0, 1), "more than nothing"),
    (lambda: melt.returns_pct(0, 0), "charge"),
    (lambda: melt.melt_loss_pct(0, 0), "charge"),
    (lambda: melt.melt_loss_pct(10, 11), "come out"),
    (lambda: pattern.contraction_from_one_in(0), "more than nothing"),
    (lambda: pattern.contraction_measured(100, 0), "more than nothing"),
    (lambda: pattern.draft_needed(900, "wood", "inside"), "813 mm"),
    (lambda: pattern.machining_allowance(1100), "1016 mm"),
    (lambda: money.casting_yield_pct(1, 1, 0), "poured"),
    (lambda: money.shop_yield_pct(1, 0), "melted"),
    (lambda: money.poured_from_yield(1, 0), "yield"),
    (lambda: money.pieces_to_pour(0, 0.1), "at least one"),
    (lambda: money.pieces_to_pour(10, 1.0), "under 100 %"),
    (lambda: money.pieces_to_pour(10, 0.1, 1.0), "chance"),
]


@pytest.mark.parametrize(("impossible", "said"), IMPOSSIBLE)
def test_the_impossible_is_refused_with_the_reason(impossible: Callable[[], object], said: str) -> None:
    with pytest.raises(ValueError, match=said):
        impossible()
