"""What the record is too thin for: how much of each thing is on record, and what therefore cannot be told."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from defectlog.records.ledgers import Charge
from defectlog.review.strip import Strip

# Below this share on record a reading says little of the month. Judgement.
WELL_RECORDED = 0.5


@dataclass(frozen=True, slots=True)
class Gap:
    """`on_record` of so many; `what` names the thing, `so` what it leaves open."""

    what: str
    on_record: int
    of: int
    so: str


def gaps_of(charges: Sequence[Charge]) -> tuple[Gap, ...]:
    """Of the castings charged in the month; nothing for what is always there."""
    on_plates = [charge for charge in charges if (charge.impressions or 0) > 1]
    found = (
        gap("the defect", charges, lambda c: bool(c.defect), "which defect to work on"),
        gap("the impression", on_plates, lambda c: c.impression is not None, "whether one impression is to blame"),
        gap("the place on the casting", charges, lambda c: bool(c.place), "where on the casting it sits"),
        gap("where it was found", charges, lambda c: bool(c.found), "how much reached the customer"),
        gap("the day it was found", charges, lambda c: c.found_on_known, "in which month it was found"),
        gap("what became of it", charges, lambda c: c.disposition != "undecided", "how much of it is scrap"),
        gap("the weight of the casting", charges, lambda c: c.kg_each is not None, "the weight and cost of the scrap"),
    )
    return tuple(item for item in found if item is not None)


def gap(what: str, charges: Iterable[Charge], known: Callable[[Charge], bool], so: str) -> Gap | None:
    of = on_record = 0
    for charge in charges:
        of += charge.castings
        on_record += charge.castings if known(charge) else 0
    return Gap(what, on_record, of, so) if on_record < of else None


def reading_gaps(strip: Strip) -> tuple[Gap, ...]:
    """Readings on record for fewer than half of the month's batches, heats or moulds; `what` is the reading's name."""
    return tuple(
        Gap(row.reading, row.on_record, row.units, "whether it has to do with the scrap")
        for row in strip.rows
        if row.on_record < WELL_RECORDED * row.units
    )
