"""What, where, when, who and which: where the defect is, where it could be and is not, filled from the records.

Blanks are marked as blanks. People are counted and not named.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from defectlog.diagnosis.arrays import Ints
from defectlog.diagnosis.evidence import Evidence, Grouping
from defectlog.diagnosis.phrases import unit_name
from defectlog.diagnosis.same_place import SamePlace
from defectlog.diagnosis.side_by_side import bad_per_unit
from defectlog.records.histories import PatternHistory
from defectlog.rulebase.plain_names import counted, defect_name, place_names
from defectlog.rulebase.shapes import RuleBase

MOST_NAMED = 4


@dataclass(frozen=True, slots=True)
class IsIsNot:
    """One line of the table; `blank` says what is not on record, "" when all is."""

    asks: str
    is_: str
    is_not: str
    blank: str = ""


def is_is_not(
    evidence: Evidence,
    bad: Ints,
    defect: str,
    history: PatternHistory,
    impressions: SamePlace | None,
    places: dict[str, int],
    others: dict[str, int],
    rules: RuleBase,
) -> tuple[IsIsNot, ...]:
    """`places` findings by place; `others` castings by the other defects of the pattern; all by id."""
    return (
        what_line(defect, int(bad.sum()), others, rules),
        pattern_line(bad, history, defect),
        where_line(places, len(evidence.findings_of(defect)), rules),
        *impression_lines(impressions),
        when_line(evidence, bad),
        order_line(evidence, bad),
        *(unit_line(evidence.units[level], bad, level) for level in ("sand", "heat", "pattern")),
        who_line(evidence.units["moulder"], bad),
        lot_line(bad, history),
    )


def what_line(defect: str, castings: int, others: dict[str, int], rules: RuleBase) -> IsIsNot:
    rest = ", ".join(f"{defect_name(other, rules)} {count}" for other, count in others.items())
    return IsIsNot(
        "what",
        f"{defect_name(defect, rules)} on {counted(castings, 'casting')}",
        rest or "no other defect on this pattern",
    )


def pattern_line(bad: Ints, history: PatternHistory, defect: str) -> IsIsNot:
    """This pattern against the others out of the same sand and heats: is it the plate, or what they share?"""
    ours = f"{history.pattern}: bad in {int((bad > 0).sum())} of {counted(len(bad), 'mould')}"
    moulds, of_others = sum(history.alongside.moulds.values()), history.alongside.of(defect)
    if not moulds:
        return IsIsNot("which pattern", ours, "–", "no other pattern on record out of the same sand or heats")
    named = ", ".join(
        f"{other} {count} of {history.alongside.moulds[other]}" for other, count in list(of_others.items())[:MOST_NAMED]
    )
    theirs = f"others out of the same sand or heats: bad in {sum(of_others.values())} of {counted(moulds, 'mould')}"
    return IsIsNot("which pattern", ours, f"{theirs} ({named})" if named else theirs)


def where_line(places: dict[str, int], findings: int, rules: RuleBase) -> IsIsNot:
    named = ", ".join(f"{place_names(place, rules)} {count}" for place, count in list(places.items())[:MOST_NAMED])
    blank = "" if places else f"no place on record for {counted(findings, 'finding')}"
    return IsIsNot("where on the casting", named or "–", "any other place" if named else "–", blank)


def impression_lines(same: SamePlace | None) -> Iterator[IsIsNot]:
    if same is None:
        return
    bad = [f"{number} ({counted(count, 'mould')})" for number, count in same.impressions.items() if count]
    good = [str(number) for number, count in same.impressions.items() if not count]
    blank = f"{counted(same.not_on_record, 'finding')} without an impression" if same.not_on_record else ""
    yield IsIsNot("which impression", ", ".join(bad) or "–", ", ".join(good) or "none is free of it", blank)


def when_line(evidence: Evidence, bad: Ints) -> IsIsNot:
    per_day = bad_per_unit(evidence.days, bad, len(evidence.day_names))
    hit = np.flatnonzero(per_day)
    if not len(hit):
        return IsIsNot("when", "–", "–")
    first, last = evidence.day_names[hit[0]], evidence.day_names[hit[-1]]
    days = f"{len(hit)} pouring days from {first} to {last}" if len(hit) > 1 else f"1 pouring day, {first}"
    clean, before = len(per_day) - len(hit), int(hit[0])
    others = f"{counted(clean, 'other pouring day')}, {before} of them before the first"
    return IsIsNot("when", days, others if clean else "no other pouring day")


def order_line(evidence: Evidence, bad: Ints) -> IsIsNot:
    """Early against late moulds of a heat, parted at the middle of the orders on record."""
    order = evidence.readings["pour_order"]
    known = ~np.isnan(order)
    if not known.any():
        return IsIsNot("when in the heat", "–", "–", "no pouring order on record")
    middle = float(np.sort(order[known])[int(known.sum()) // 2])
    late, hit = known & (order > middle), bad > 0
    early = known & ~late
    text = [f"{int((hit & part).sum())} of {counted(int(part.sum()), 'mould')}" for part in (early, late)]
    missing = int((~known).sum())
    return IsIsNot(
        "when in the heat",
        f"order 1 to {middle:.0f}: bad in {text[0]}",
        f"later: bad in {text[1]}",
        f"{counted(missing, 'mould')} without an order" if missing else "",
    )


def unit_line(grouping: Grouping, bad: Ints, level: str) -> IsIsNot:
    per_unit = bad_per_unit(grouping.codes, bad, len(grouping.names))
    recorded = grouping.recorded
    hit = [grouping.names[unit] for unit in np.flatnonzero((per_unit > 0) & recorded)]
    clean = int(((per_unit == 0) & recorded).sum())
    blank = int((~recorded[grouping.codes]).sum())
    listed = ", ".join(hit[:MOST_NAMED]) + (" …" if len(hit) > MOST_NAMED else "")
    return IsIsNot(
        f"which {unit_name(level, 1)}",
        f"{len(hit)}: {listed}" if hit else "–",
        counted(clean, "other") if clean else "none is free of it",
        f"not on record for {counted(blank, 'mould')}" if blank else "",
    )


def who_line(grouping: Grouping, bad: Ints) -> IsIsNot:
    per_unit = bad_per_unit(grouping.codes, bad, len(grouping.names))
    moulders = int(grouping.recorded.sum())
    hit = int(((per_unit > 0) & grouping.recorded).sum())
    blank = int((~grouping.recorded[grouping.codes]).sum())
    return IsIsNot(
        "who moulded it",
        f"{hit} of {counted(moulders, 'moulder')}" if moulders else "–",
        counted(moulders - hit, "moulder") if moulders else "–",
        f"not on record for {counted(blank, 'mould')}" if blank else "",
    )


def lot_line(bad: Ints, history: PatternHistory) -> IsIsNot:
    lots: dict[str, int] = {}
    blank = 0
    for mould, count in zip(history.moulds, bad, strict=True):
        heat = history.heats.get(mould.heat or "")
        if heat is None or not heat.ingot_lot:
            blank += 1
        else:
            lots[heat.ingot_lot] = lots.get(heat.ingot_lot, 0) + int(count > 0)
    hit = [lot for lot, count in lots.items() if count]
    clean = [lot for lot, count in lots.items() if not count]
    return IsIsNot(
        "which ingot lot",
        ", ".join(hit[:MOST_NAMED]) or "–",
        ", ".join(clean[:MOST_NAMED]) or ("none is free of it" if hit else "–"),
        f"not on record for {counted(blank, 'mould')}" if blank else "",
    )
