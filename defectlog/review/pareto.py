"""Which defects make the scrap: counts, weight and money side by side, never one total for all three."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from defectlog.records.ledgers import Charge
from defectlog.review.cost import Amount, ShopRates, cost_of, weight_of

Order = Literal["castings", "kg", "cost"]
SCRAP = "scrap"


@dataclass(frozen=True, slots=True)
class DefectRow:
    """Scrapped castings charged to one defect ("" when it was not named), and in how many moulds.

    `cumulative` is the share, 0 to 1, of all castings scrapped that this row and those above it make.
    """

    defect: str
    castings: int
    moulds: int
    patterns: tuple[str, ...]
    kg: Amount
    cost: Amount
    cumulative: float


def pareto(
    charges: Iterable[Charge], shop: ShopRates | None = None, order: Order = "castings"
) -> tuple[DefectRow, ...]:
    """Worst first by `order`; rows that it is unknown for come after the others. Ties go by castings, then by name."""
    groups: dict[str, list[Charge]] = {}
    for charge in charges:
        if charge.disposition == SCRAP:
            groups.setdefault(charge.defect, []).append(charge)
    rows = [defect_row(defect, group, shop) for defect, group in groups.items()]
    rows.sort(key=lambda row: (-sort_value(row, order), -row.castings, row.defect))
    total, so_far, found = sum(row.castings for row in rows), 0, []
    for row in rows:
        so_far += row.castings
        found.append(with_cumulative(row, so_far / total))
    return tuple(found)


def defect_row(defect: str, group: list[Charge], shop: ShopRates | None) -> DefectRow:
    return DefectRow(
        defect=defect,
        castings=sum(charge.castings for charge in group),
        moulds=len({charge.mould for charge in group}),
        patterns=tuple(sorted({charge.pattern for charge in group})),
        kg=weight_of(group),
        cost=cost_of(group, shop),
        cumulative=0.0,
    )


def with_cumulative(row: DefectRow, share: float) -> DefectRow:
    return DefectRow(row.defect, row.castings, row.moulds, row.patterns, row.kg, row.cost, share)


def sort_value(row: DefectRow, order: Order) -> float:
    if order == "castings":
        return row.castings
    value = row.kg.total if order == "kg" else row.cost.total
    return -1.0 if value is None else value


def crossed(scrap: Iterable[Charge]) -> dict[tuple[str, str], int]:
    """Castings by pattern and defect."""
    found: dict[tuple[str, str], int] = {}
    for charge in scrap:
        key = (charge.pattern, charge.defect)
        found[key] = found.get(key, 0) + charge.castings
    return dict(sorted(found.items()))
