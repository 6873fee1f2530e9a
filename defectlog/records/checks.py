"""Is the book sound? Each check takes records and returns a list of problems; the runner gathers them all.

Tier "always": a record that breaks one of these is refused when it is written (`faults`).
Tier "check": what may be true and is worth a look; reported by mould, never mended.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, time
from shlex import quote
from typing import Any

from defectlog.errors import Problem
from defectlog.records.cells import allowed_range, moment_text, out_of_range, text_fault
from defectlog.records.counts import count_mould
from defectlog.records.fields import FieldSpec, fields_of
from defectlog.records.kinds import Finding, Heat, Mould, Pattern, Remedy, Sand
from defectlog.records.plausible import unlikely

# Scales that end before the bounds of what may be written: readings are taken as they were read.
SCALES = {"hardness_b": (0, 100), "returns_pct": (0, 100)}


def faults(record: Any, where: str = "") -> list[Problem]:
    """What makes one record impossible by itself: empty where required, out of range, not one of the choices."""
    kind: Any = type(record)
    found = []
    for spec in fields_of(kind):
        found += field_faults(spec, getattr(record, spec.name), f"{where}, {spec.name}" if where else spec.name)
    if isinstance(record, Finding) and not (record.defect or record.seen):
        needed = "needed: the defect, or what was seen"
        found.append(Problem("nothing-seen", where, "the finding names no defect and nothing seen", needed))
    if isinstance(record, Remedy) and record.from_date is None and record.from_mould is None:
        needed = "needed: from_date or from_mould"
        found.append(Problem("remedy-without-start", where, "nothing says from when the change holds", needed))
    return found


def field_faults(spec: FieldSpec, value: Any, where: str) -> list[Problem]:
    if value is None or value == "":
        if spec.required or value == "":
            return [Problem("cell-empty", where, "nothing is written here", f"needed: {spec.meaning}")]
        return []
    if spec.holds in ("number", "count") and out_of_range(spec, value):
        return [Problem("impossible", where, f"{value} is impossible for {spec.meaning}", allowed_range(spec))]
    if spec.holds == "text" and (problem := text_fault(value, where)):
        return [problem]
    if spec.choices and value not in spec.choices:
        allowed = "allowed: " + ", ".join(spec.choices)
        return [Problem("not-a-choice", where, f"{value!r} is not one of the choices", allowed)]
    return []


def about(mould: Mould, code: str, found: str, allowed: str = "", next_step: str = "") -> Problem:
    look = next_step or f"look at: defectlog mould show {mould.mould}"
    return Problem(code, f"mould {mould.mould}", found, allowed, look)


def more_found_than_cast(mould: Mould, castings: int, findings: Sequence[Finding]) -> list[Problem]:
    """One finding on more castings than the mould holds."""
    rule = f"allowed: up to {castings} castings"
    return [
        about(mould, "castings-too-many", f"{item.castings} castings with {what(item)}, in a mould of {castings}", rule)
        for item in findings
        if (item.castings or 1) > castings
    ]


def what(finding: Finding) -> str:
    return finding.defect or finding.seen or "something not named"


def impression_not_there(mould: Mould, impressions: int, findings: Sequence[Finding]) -> list[Problem]:
    """A finding at an impression that the pattern plate has not got."""
    return [
        about(
            mould,
            "impression-unknown",
            f"{what(item)} at impression {item.impression}, on a plate of {impressions}",
            f"allowed: 1 to {impressions}",
        )
        for item in findings
        if item.impression is not None and item.impression > impressions
    ]


def out_of_balance(mould: Mould, castings: int, findings: Sequence[Finding]) -> list[Problem]:
    """Castings charged to primary defects must not be more than the mould's."""
    counted = count_mould(castings, findings)
    if counted.good >= 0:
        return []
    said = f"{counted.bad} castings are charged to defects, in a mould of {castings}"
    rule = "a casting is charged to one primary defect; others on it are secondary (primary: no)"
    return [about(mould, "out-of-balance", said, rule)]


def never_charged(mould: Mould, _castings: int, findings: Sequence[Finding]) -> list[Problem]:
    """A secondary finding with no primary one that could be on the same casting: the casting would count as good."""
    places = {item.impression for item in findings if item.primary is not False}
    rule = "one defect of each casting is primary"
    return [
        about(mould, "never-charged", f"{what(item)} is secondary, and no primary defect stands beside it", rule)
        for item in findings
        if item.primary is False and not (places and (item.impression is None or {None, item.impression} & places))
    ]


def lost_yet_poured(mould: Mould, _castings: int, findings: Sequence[Finding]) -> list[Problem]:
    """A mould lost before pouring has no castings to find anything on."""
    if mould.outcome != "lost before pouring" or not (findings or mould.poured_at or mould.heat):
        return []
    found = "lost before pouring, yet it has a heat, a pouring time or findings"
    return [about(mould, "lost-yet-poured", found, "allowed: a mould that was lost has none of these")]


def dates_out_of_order(
    mould: Mould, findings: Sequence[Finding], sand: Sand | None = None, heat: Heat | None = None
) -> list[Problem]:
    """Mulled, made, melted, poured, found: in this order, as far as the moments are on record."""
    poured = mould.poured_at
    pairs = [
        ("poured", poured, "made", mould.made_at),
        ("made", mould.made_at, "its sand was mulled", None if sand is None else sand.mixed_at),
        ("poured", poured, "its heat was melted", None if heat is None else heat.melted_at),
    ]
    pairs += [(f"{what(item)} found", item.found_at, "cast", poured or mould.made_at) for item in findings]
    return [
        about(
            mould,
            "dates-out-of-order",
            f"{late} {moment_text(later)}, before {soon} {moment_text(sooner)}",
            "allowed: mulled, made, melted, poured, found, in this order",
        )
        for late, later, soon, sooner in pairs
        if later is not None and sooner is not None and before(later, sooner)
    ]


def before(later: datetime, sooner: datetime) -> bool:
    """Whether `later` lies before `sooner`; a moment without a time of day is only compared by its day."""
    if later.time() == time() or sooner.time() == time():
        return later.date() < sooner.date()
    return later < sooner


def undated(mould: Mould) -> list[Problem]:
    """A poured mould without a date is in no month's figures."""
    poured = mould.outcome == "poured" or mould.heat is not None
    if not poured or mould.poured_at is not None or mould.made_at is not None:
        return []
    said = "poured, but neither made_at nor poured_at is on record"
    step = f"defectlog mould amend {mould.mould} --poured-at 2026-03-09"
    return [about(mould, "mould-undated", said, "needed: one of the two, or it is in no month's figures", step)]


def off_scale(record: Any, where: str) -> list[Problem]:
    """Readings beyond what their scale has, and such as are hardly ever true (records/plausible.py). The record stands:
    an instrument, a sum or a finger may have been wrong."""
    found = [
        Problem(
            "off-scale",
            f"{where}, {field}",
            f"{field} is {value:g}",
            f"its scale runs from {low:g} to {high:g}",
            look_at(where),
        )
        for field, (low, high) in SCALES.items()
        if (value := getattr(record, field, None)) is not None and not low <= value <= high
    ]
    off = {problem.where for problem in found}
    return found + [
        Problem("unlikely", f"{where}, {field}", f"{field} is {value:g}: is that right?", span.why, look_at(where))
        for field, value, span in unlikely(record)
        if f"{where}, {field}" not in off
    ]


def look_at(where: str) -> str:
    """What corrects a record that a message calls `where`: its kind and its name (of a card the revision too)."""
    kind, _, name = where.partition(" ")
    return f"if it is wrong: defectlog {kind} amend {name if kind == 'pattern' else quote(name)} …"


def more_than_the_plate(mould: Mould, pattern: Pattern) -> list[Problem]:
    """More castings in a mould than the plate has impressions."""
    if mould.castings is None or mould.castings <= pattern.impressions:
        return []
    found = f"{mould.castings} castings in it, from a plate of {pattern.impressions}"
    return [about(mould, "castings-over-impressions", found, f"allowed: up to {pattern.impressions}")]


def alloy_differs(mould: Mould, pattern: Pattern, heat: Heat) -> list[Problem]:
    """The heat's alloy is not the one that the pattern card asks for."""
    if not pattern.alloy or not heat.alloy or pattern.alloy.casefold() == heat.alloy.casefold():
        return []
    said = f"poured from heat {heat.heat} in {heat.alloy}; pattern {pattern.pattern} is cast in {pattern.alloy}"
    rule = "allowed: a heat of the alloy that is on the card"
    return [about(mould, "alloy-differs", said, rule, f"look at: defectlog heat show {heat.heat}")]


@dataclass(frozen=True, slots=True, kw_only=True)
class MouldCase:
    """One mould with what it rests on; `castings` filled in, `pattern` the card it was made to."""

    mould: Mould
    castings: int
    pattern: Pattern
    findings: tuple[Finding, ...] = ()
    sand: Sand | None = None
    heat: Heat | None = None


def check_mould(case: MouldCase) -> list[Problem]:
    """Every check of one mould."""
    found = []
    for check in (more_found_than_cast, out_of_balance, never_charged, lost_yet_poured):
        found += check(case.mould, case.castings, case.findings)
    found += impression_not_there(case.mould, case.pattern.impressions, case.findings)
    found += dates_out_of_order(case.mould, case.findings, case.sand, case.heat)
    found += more_than_the_plate(case.mould, case.pattern)
    found += undated(case.mould) + off_scale(case.mould, f"mould {case.mould.mould}")
    if case.heat is not None:
        found += alloy_differs(case.mould, case.pattern, case.heat)
    return found


def range_reversed(pattern: Pattern) -> list[Problem]:
    """Two ends of one range on the pattern card, the wrong way round."""
    where = f"pattern {pattern.pattern} {pattern.revision or 'A'}"
    look = f"look at: defectlog pattern show {pattern.pattern}"
    rule = "allowed: the first no more than the second"
    castings_kg = None if pattern.casting_kg is None else pattern.casting_kg * pattern.impressions
    pairs = (
        ("thinnest wall", pattern.min_section_mm, "thickest wall", pattern.max_section_mm),
        ("lowest pouring temperature", pattern.pour_low_c, "highest", pattern.pour_high_c),
        ("weight of the castings in a mould", castings_kg, "metal per mould", pattern.poured_kg),
    )
    return [
        Problem("range-reversed", where, f"{small} {low:g} is more than {large} {high:g}", rule, look)
        for small, low, large, high in pairs
        if low is not None and high is not None and low > high
    ]
