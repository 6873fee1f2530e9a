"""Readings that nobody typed: from the pattern card, and from a mould with its sand, its heat and its times."""

from collections.abc import Iterable, Mapping
from datetime import datetime

from defectlog.foundry.readings import ComputedReading, mould_readings, pattern_readings
from defectlog.jobs.circumstances import alloy_of
from defectlog.records.histories import PatternHistory
from defectlog.records.kinds import Mould
from defectlog.rulebase.shapes import RuleBase
from defectlog.units import show_quantity

# Reading of a mould → what it is computed from, where it is not on record.
OF_A_MOULD = {
    "superheat_c": "computed mould by mould from the pouring temperature and the alloy's liquidus",
    "temper_ratio": "computed batch by batch from moisture and active clay",
    "cooling_min": "where not on record, computed from the pour to the first finding at shakeout",
    "fill_ratio": "where the card does not tell, computed mould by mould from the measured pour",
}
ByRevision = Mapping[str, Mapping[str, ComputedReading]]


def card_readings(history: PatternHistory) -> dict[str, dict[str, ComputedReading]]:
    """Revision → readings that follow from its card."""
    return {card.revision or "A": pattern_readings(card) for card in history.revisions}


def computed_readings(
    history: PatternHistory, rules: RuleBase, by_revision: ByRevision
) -> dict[str, list[float | None]]:
    """Reading → one value a mould. Those of single moulds are worked out only when a cause of a defect found asks."""
    found = over_moulds(history, by_revision)
    for name, values in of_moulds(history, rules, wanted(history, rules) & set(OF_A_MOULD)).items():
        known = found.get(name, [None] * len(values))
        found[name] = [one if one is not None else other for one, other in zip(known, values, strict=True)]
    return found


def wanted(history: PatternHistory, rules: RuleBase) -> set[str]:
    """The readings that causes of the defects found here are shown by."""
    defects = {finding.defect for finding in history.findings}
    return {
        cause.reading.quantity
        for cause in rules.causes.values()
        if cause.reading is not None and any(pair.defect in defects for pair in cause.explains)
    }


def over_moulds(history: PatternHistory, by_revision: ByRevision) -> dict[str, list[float | None]]:
    names = {name for readings in by_revision.values() for name in readings}
    found: dict[str, list[float | None]] = {}
    for name in sorted(names):
        values = {revision: readings[name].value for revision, readings in by_revision.items() if name in readings}
        found[name] = [values.get(mould.revision or "A") for mould in history.moulds]
    return found


def of_moulds(history: PatternHistory, rules: RuleBase, names: Iterable[str]) -> dict[str, list[float | None]]:
    kept = sorted(names)
    if not kept:
        return {}
    cards = {card.revision or "A": card for card in history.revisions}
    opened = shaken_out(history)
    found: dict[str, list[float | None]] = {name: [] for name in kept}
    for mould in history.moulds:
        heat = history.heats.get(mould.heat or "")
        card = cards.get(mould.revision or "A")
        written = (heat.alloy if heat else None) or (card.alloy if card else None)
        readings = mould_readings(
            mould,
            history.sands.get(mould.sand or ""),
            heat,
            card,
            alloy_of(rules, written) if written else None,
            opened.get(mould.mould),
        )
        for name in kept:
            found[name].append(readings[name].value if name in readings else None)
    return found


def shaken_out(history: PatternHistory) -> dict[str, datetime]:
    """Mould → when something was first found on it at shakeout, where a time of day is on record."""
    first: dict[str, datetime] = {}
    poured: dict[str, Mould] = {mould.mould: mould for mould in history.moulds}
    for finding in history.findings:
        at = finding.found_at
        if finding.found == "shakeout" and at is not None and has_clock(at) and finding.mould in poured:
            first[finding.mould] = min(at, first.get(finding.mould, at))
    return first


def has_clock(moment: datetime) -> bool:
    """Midnight stands for a day alone."""
    return (moment.hour, moment.minute, moment.second) != (0, 0, 0)


def provenance_of(by_revision: ByRevision) -> dict[str, tuple[str, ...]]:
    """Reading → what it was computed from: a line a revision of the card, and how single moulds tell it."""
    found: dict[str, list[str]] = {name: [said] for name, said in OF_A_MOULD.items()}
    for revision, readings in by_revision.items():
        for name, reading in readings.items():
            shown = show_quantity(reading.value, reading.quantity, digits=3)
            found.setdefault(name, []).append(f"revision {revision}: {shown}, {reading.provenance}")
    return {name: tuple(lines) for name, lines in found.items()}
