"""Moulds with what was found on them, as cards and traces count them. Pure."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from defectlog.records.counts import MouldCount, total
from defectlog.records.kinds import Finding, Mould


@dataclass(frozen=True, slots=True)
class MouldSeen:
    """A mould, what was found on it, and what became of its castings."""

    mould: Mould
    findings: tuple[Finding, ...]
    count: MouldCount


@dataclass(frozen=True, slots=True)
class DefectSeen:
    """One defect as the shop wrote it ("" where only looks were written): castings charged to it, and moulds."""

    defect: str
    castings: int
    moulds: int


def poured(mould: Mould) -> bool:
    """Whether metal went in: said so, or a heat or a pouring time is on record."""
    if mould.outcome is not None:
        return mould.outcome == "poured"
    return mould.poured_at is not None or mould.heat is not None


def waiting(mould: Mould) -> bool:
    """Neither poured nor lost."""
    return mould.outcome is None and not poured(mould)


def counts(mould: Mould) -> bool:
    """Poured, and no trial: it is in the rates."""
    return poured(mould) and not mould.trial


def counted(moulds: Iterable[MouldSeen]) -> MouldCount:
    """The sum over the moulds that are in the rates."""
    return total(item.count for item in moulds if counts(item.mould))


def defects_of(moulds: Iterable[MouldSeen]) -> tuple[DefectSeen, ...]:
    """Defects by castings charged, most first."""
    castings: dict[str, int] = {}
    in_moulds: dict[str, int] = {}
    for item in moulds:
        for defect, number in item.count.charged.items():
            castings[defect] = castings.get(defect, 0) + number
            in_moulds[defect] = in_moulds.get(defect, 0) + 1
    order = sorted(castings, key=lambda defect: (-castings[defect], defect))
    return tuple(DefectSeen(defect, castings[defect], in_moulds[defect]) for defect in order)


def stages_of(moulds: Iterable[MouldSeen]) -> Mapping[str, int]:
    """Castings charged, by where they were found ("" where that is not on record)."""
    stages: dict[str, int] = {}
    for item in moulds:
        for finding in item.findings:
            if finding.primary is not False:
                stages[finding.found or ""] = stages.get(finding.found or "", 0) + (finding.castings or 1)
    return stages
