"""Which defects make the scrap: totals tie, and counts, weight and money each have their own order."""

import pytest
from hypothesis import given
from hypothesis import strategies as some

from defectlog.foundry.money import Rates
from defectlog.review.cost import ShopRates
from defectlog.review.pareto import pareto
from tests.review.months import charge

charges = some.lists(
    some.builds(
        charge,
        mould=some.sampled_from(["M-1", "M-2", "M-3", "M-4"]),
        defect=some.sampled_from(["gas-holes", "misrun", "sand-inclusion", ""]),
        castings=some.integers(1, 9),
        disposition=some.sampled_from(["scrap", "rework", "use as is", "undecided"]),
        kg_each=some.one_of(some.none(), some.floats(0.01, 20)),
    ),
    max_size=30,
)


@given(charges, some.sampled_from(["castings", "kg", "cost"]))
def test_totals_tie_and_shares_rise_to_one(rows: list, order: str) -> None:  # type: ignore[type-arg]  # drawn above
    found = pareto(rows, None, order)  # type: ignore[arg-type]  # one of the three orders
    assert sum(row.castings for row in found) == sum(row.castings for row in rows if row.disposition == "scrap")
    shares = [row.cumulative for row in found]
    assert shares == sorted(shares)
    assert not shares or shares[-1] == pytest.approx(1.0)
    assert all(1 <= row.moulds <= 4 for row in found)


def test_forty_small_knobs_are_not_one_housing() -> None:
    rows = [charge("M-1", "misrun", 40, kg_each=0.05), charge("M-2", "sink", 1, kg_each=20.0)]
    shop = ShopRates(Rates(metal_per_kg=3.0))
    assert [row.defect for row in pareto(rows, shop)] == ["misrun", "sink"]
    assert [row.defect for row in pareto(rows, shop, "kg")] == ["sink", "misrun"]
    assert [row.defect for row in pareto(rows, shop, "cost")] == ["sink", "misrun"]


def test_moulds_are_counted_beside_castings() -> None:
    (row,) = pareto([charge("M-1", castings=4), charge("M-1", castings=2), charge("M-2")])
    assert (row.castings, row.moulds) == (7, 2)


def test_rework_is_not_scrap() -> None:
    assert pareto([charge(disposition="rework")]) == ()
