"""The place map of one pattern: castings not right first time by impression and by place on the casting.

Every casting charged stands in exactly one cell, so the map adds up to the month's counts; what nobody wrote down has
a row, or a column, of its own.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from defectlog.records.ledgers import Charge

Cell = tuple[int | None, str]


@dataclass(frozen=True, slots=True)
class PlaceMap:
    """`rows` are impressions, every one of the plate, None last for "not on record"; `columns` places, the fullest
    first, "" last for the same. `castings` holds only cells with some."""

    pattern: str
    rows: tuple[int | None, ...]
    columns: tuple[str, ...]
    castings: Mapping[Cell, int]

    @property
    def total(self) -> int:
        return sum(self.castings.values())

    def row_total(self, row: int | None) -> int:
        return sum(count for (impression, _), count in self.castings.items() if impression == row)

    def column_total(self, column: str) -> int:
        return sum(count for (_, place), count in self.castings.items() if place == column)


def place_maps(charges: Iterable[Charge]) -> tuple[PlaceMap, ...]:
    """One a pattern that has a charge, whatever became of the casting; most castings first."""
    groups: dict[str, list[Charge]] = {}
    for charge in charges:
        groups.setdefault(charge.pattern, []).append(charge)
    maps = [place_map(pattern, group) for pattern, group in groups.items()]
    return tuple(sorted(maps, key=lambda item: (-item.total, item.pattern)))


def place_map(pattern: str, charges: Iterable[Charge]) -> PlaceMap:
    cells: dict[Cell, int] = {}
    plate = 0
    for charge in charges:
        plate = max(plate, charge.impressions or 0)
        at = (charge.impression, charge.place)
        cells[at] = cells.get(at, 0) + charge.castings
    numbers = set(range(1, plate + 1)) | {impression for impression, _ in cells if impression is not None}
    rows: list[int | None] = [*sorted(numbers)]
    rows += [None] if any(impression is None for impression, _ in cells) else []
    by_place: dict[str, int] = {}
    for (_, place), count in cells.items():
        by_place[place] = by_place.get(place, 0) + count
    columns = sorted(by_place, key=lambda place: (place == "", -by_place[place], place))
    return PlaceMap(pattern, tuple(rows), tuple(columns), cells)
