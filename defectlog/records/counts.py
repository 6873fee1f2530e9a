"""What became of a mould's castings. A casting is charged to one primary defect, however many it has."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Protocol


class Charged(Protocol):
    """What counting needs of a finding: records.kinds.Finding and records.histories.Seen both have it."""

    @property
    def castings(self) -> int | None: ...
    @property
    def disposition(self) -> str | None: ...
    @property
    def primary(self) -> bool | None: ...
    @property
    def defect(self) -> str | None: ...


@dataclass(frozen=True, slots=True)
class MouldCount:
    """castings = good + reworked + used_as_is + scrapped + undecided; `good` below zero says that it cannot be.

    `charged` is castings by the defect they are charged to, whatever became of them ("" when no defect is named).
    """

    castings: int
    scrapped: int = 0
    reworked: int = 0
    used_as_is: int = 0
    undecided: int = 0
    charged: Mapping[str, int] = field(default_factory=dict)

    @property
    def bad(self) -> int:
        return self.scrapped + self.reworked + self.used_as_is + self.undecided

    @property
    def good(self) -> int:
        """Good first time."""
        return self.castings - self.bad


def count_mould(castings: int, findings: Iterable[Charged]) -> MouldCount:
    """`castings` in the mould and its findings; an empty count is one casting, an empty disposition undecided."""
    became: dict[str, int] = {}
    charged: dict[str, int] = {}
    for finding in findings:
        if finding.primary is False:
            continue
        number = finding.castings or 1
        disposition = finding.disposition or "undecided"
        became[disposition] = became.get(disposition, 0) + number
        charged[finding.defect or ""] = charged.get(finding.defect or "", 0) + number
    return MouldCount(
        castings=castings,
        scrapped=became.get("scrap", 0),
        reworked=became.get("rework", 0),
        used_as_is=became.get("use as is", 0),
        undecided=became.get("undecided", 0),
        charged=charged,
    )


def total(counts: Iterable[MouldCount]) -> MouldCount:
    """The sum over moulds."""
    castings = scrapped = reworked = used_as_is = undecided = 0
    charged: dict[str, int] = {}
    for item in counts:
        castings += item.castings
        scrapped += item.scrapped
        reworked += item.reworked
        used_as_is += item.used_as_is
        undecided += item.undecided
        for defect, number in item.charged.items():
            charged[defect] = charged.get(defect, 0) + number
    return MouldCount(castings, scrapped, reworked, used_as_is, undecided, charged)
