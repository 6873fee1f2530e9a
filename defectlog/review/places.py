"""Where on the plate and where on the casting: counts in moulds beside castings, and the odds that luck did it.

Places on a casting are not of one size, so they get counts and no odds; impressions of a plate are alike, so they get
both.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from defectlog.diagnosis.same_place import odds_of_luck
from defectlog.records.ledgers import Charge


@dataclass(frozen=True, slots=True)
class PlaceCount:
    """One impression (None: not on record) and place ("" the same) with the moulds and castings that were bad there."""

    impression: int | None
    place: str
    moulds: int
    castings: int


@dataclass(frozen=True, slots=True)
class Concentration:
    """One pattern and defect.

    `impressions` counts moulds by impression, every impression of the plate listed.

    `odds_of_luck` is the chance that luck alone fills one impression so; None for a plate of one, for plates of
    different size, or when no impression is on record. `not_on_record` is moulds without an impression.
    """

    pattern: str
    defect: str
    moulds: int
    castings: int
    impressions: dict[int, int]
    odds_of_luck: float | None
    not_on_record: int
    counts: tuple[PlaceCount, ...]


def concentrations(charges: Iterable[Charge]) -> tuple[Concentration, ...]:
    """Every pattern and defect with a charge, whatever became of the casting; most moulds first."""
    groups: dict[tuple[str, str], list[Charge]] = {}
    for charge in charges:
        groups.setdefault((charge.pattern, charge.defect), []).append(charge)
    found = [concentration(pattern, defect, group) for (pattern, defect), group in groups.items()]
    return tuple(sorted(found, key=lambda item: (-item.moulds, item.pattern, item.defect)))


def concentration(pattern: str, defect: str, group: list[Charge]) -> Concentration:
    plates = {charge.impressions for charge in group}
    plate = next(iter(plates)) if len(plates) == 1 else None
    by_impression = dict.fromkeys(range(1, (plate or 0) + 1), 0)
    for _, number in sorted({(c.mould, c.impression) for c in group if c.impression is not None}):
        by_impression[number] = by_impression.get(number, 0) + 1
    # More impressions on record than the card has is a wrong card or a wrong number: no odds from that.
    fits = plate is not None and plate > 1 and len(by_impression) == plate
    odds = odds_of_luck(list(by_impression.values())) if fits and any(by_impression.values()) else None
    return Concentration(
        pattern=pattern,
        defect=defect,
        moulds=len({charge.mould for charge in group}),
        castings=sum(charge.castings for charge in group),
        impressions=dict(sorted(by_impression.items())),
        odds_of_luck=odds,
        not_on_record=len({charge.mould for charge in group if charge.impression is None}),
        counts=place_counts(group),
    )


def place_counts(group: list[Charge]) -> tuple[PlaceCount, ...]:
    cells: dict[tuple[int | None, str], list[Charge]] = {}
    for charge in group:
        cells.setdefault((charge.impression, charge.place), []).append(charge)
    counts = [
        PlaceCount(impression, place, len({c.mould for c in cell}), sum(c.castings for c in cell))
        for (impression, place), cell in cells.items()
    ]
    return tuple(sorted(counts, key=lambda item: (-item.moulds, item.impression or 0, item.place)))
