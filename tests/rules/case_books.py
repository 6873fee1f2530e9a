"""From a case of the rules to what the reasoning is asked: a small book of one pattern, and a shop's usual run.

Everything is invented. Rows are laid out as the case says; whatever it does not say (which heat, which batch, which
moulder) is dealt out in turn, the bad moulds of a row before its good ones, so that nothing else sorts them.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from defectlog.diagnosis.why import Asked, Diagnosis, diagnose
from defectlog.jobs.why import look_reader
from defectlog.records.fields import fields_of
from defectlog.records.histories import PatternHistory, Seen, ShopUsual
from defectlog.records.kinds import Heat, Mould, Pattern, Sand, Verdict
from defectlog.rulebase.cases import CauseCase, Found, Row, level_of
from defectlog.rulebase.reading_names import COMPUTED
from defectlog.rulebase.shapes import RuleBase

PATTERN, ANOTHER = "P-1", "P-2"
FIRST_DAY = datetime(2026, 3, 2, 10, 0)
LAST_DAY = date(2026, 3, 31)
# Enough that each is crossed with the others, few enough that each shows how it fared.
SHARED = {"sand": 3, "heat": 3, "moulder": 2}
# What the shop's other patterns did: one bad casting in a hundred.
ELSEWHERE_BAD, ELSEWHERE_CASTINGS = 8, 800


@dataclass(frozen=True)
class CaseBook:
    """A case as `diagnose` takes it."""

    history: PatternHistory
    usual: ShopUsual
    asked: Asked
    computed: Mapping[str, list[float | None]]


@dataclass(frozen=True)
class Laid:
    """One mould of a case: its row, its place in the row, and what it belongs to."""

    number: int
    row: int
    bad: bool
    day: int
    units: Mapping[str, str]
    readings: Mapping[str, float]

    @property
    def name(self) -> str:
        return f"M-{self.number}"


def ask(case: CauseCase, rules: RuleBase) -> Diagnosis:
    book = book_of(case)
    return diagnose(book.history, book.usual, rules, book.asked, look_reader(rules), book.computed)


def book_of(case: CauseCase) -> CaseBook:
    laid = laid_out(case)
    return CaseBook(
        history=history_of(case, laid),
        usual=usual_of(case, laid),
        asked=Asked(today=LAST_DAY, defect=case.defect, circumstances=case.circumstances),
        computed={
            name: [mould.readings.get(name) for mould in laid]
            for name in sorted({name for mould in laid for name in mould.readings if name in COMPUTED})
            if name != "stood_h"
        },
    )


def laid_out(case: CauseCase) -> list[Laid]:
    """By impression every mould holds all rows, so one row's moulds stand for them."""
    rows = case.units[:1] if case.by == "impression" else case.units
    found: list[Laid] = []
    for row_number, row in enumerate(rows):
        for place in range(row.moulds):
            found.append(laid(case, row, row_number, place, len(found)))
    return found


def laid(case: CauseCase, row: Row, row_number: int, place: int, number: int) -> Laid:
    day = row.day or (row_number + 1 if case.by == "pattern" else 1)
    turns = {
        "sand": place % SHARED["sand"],
        "heat": (place + place // SHARED["sand"]) % SHARED["heat"],
        "moulder": (place + row_number) % SHARED["moulder"],
    }
    # A batch and a heat are of one day; a moulder is there on all of them.
    units = {
        level: f"{level} {turn + 1}" + ("" if level == "moulder" else f", day {day}") for level, turn in turns.items()
    }
    units["pattern"] = "A"
    if case.by in units:
        units[case.by] = "ABCDEFGHIJ"[row_number] if case.by == "pattern" else f"{case.by} of row {row_number + 1}"
    return Laid(number, row_number, place < row.bad, day, units, {**case.throughout, **row.readings})


def history_of(case: CauseCase, laid: list[Laid]) -> PatternHistory:
    return PatternHistory(
        pattern=PATTERN,
        since=FIRST_DAY.date(),
        until=LAST_DAY,
        revisions=tuple(cards_of(case, laid).values()),
        moulds=tuple(mould_of(case, mould) for mould in laid),
        sands={mould.units["sand"]: sand_of(mould) for mould in laid},
        heats={mould.units["heat"]: heat_of(mould) for mould in laid},
        findings=findings_of(case, laid),
    )


def cards_of(case: CauseCase, laid: list[Laid]) -> dict[str, Pattern]:
    return {
        mould.units["pattern"]: Pattern(
            pattern=PATTERN,
            revision=mould.units["pattern"],
            in_force_from=moment(mould).date(),
            impressions=case.plate,
            **columns(mould, "pattern", Pattern),
        )
        for mould in laid
    }


def sand_of(mould: Laid) -> Sand:
    return Sand(sand=mould.units["sand"], mixed_at=moment(mould), **columns(mould, "sand", Sand))


def heat_of(mould: Laid) -> Heat:
    return Heat(heat=mould.units["heat"], melted_at=moment(mould), **columns(mould, "heat", Heat))


def mould_of(case: CauseCase, mould: Laid) -> Mould:
    stood = mould.readings.get("stood_h")
    poured = moment(mould)
    return Mould(
        mould=mould.name,
        pattern=PATTERN,
        revision=mould.units["pattern"],
        sand=mould.units["sand"],
        heat=mould.units["heat"],
        moulder=mould.units["moulder"],
        made_at=poured - timedelta(hours=stood) if stood is not None else None,
        poured_at=poured,
        castings=case.plate,
        **columns(mould, "mould", Mould),
    )


def moment(mould: Laid) -> datetime:
    return FIRST_DAY + timedelta(days=mould.day - 1)


def columns(mould: Laid, level: str, kind: type) -> dict[str, Any]:
    """The readings that stand on one kind of record, as its fields want them."""
    holds = {spec.name: spec.holds for spec in fields_of(kind)}
    typed = {"yes_no": bool, "count": int}
    return {
        name: typed.get(holds[name], float)(value)
        for name, value in mould.readings.items()
        if name in holds and level_of(name) == level
    }


def findings_of(case: CauseCase, laid: list[Laid]) -> tuple[Seen, ...]:
    if case.by == "impression":
        places = [
            (mould, 1, impression) for impression, row in enumerate(case.units, start=1) for mould in laid[: row.bad]
        ]
    else:
        places = [(mould, case.units[mould.row].castings or case.plate, 0) for mould in laid if mould.bad]
    return tuple(
        Seen(
            finding=number,
            mould=mould.name,
            castings=castings,
            defect=case.defect,
            impression=impression or None,
            seen=case.seen[number % len(case.seen)] if case.seen else "",
            place=case.place,
        )
        for number, (mould, castings, impression) in enumerate(places)
    )


def usual_of(case: CauseCase, laid: list[Laid]) -> ShopUsual:
    bad = sum(finding.castings for finding in findings_of(case, laid))
    by_unit = {
        (name, mould.units.get(level_of(name), mould.name)): value
        for mould in laid
        for name, value in mould.readings.items()
    }
    names = sorted({name for name, _ in by_unit})
    return ShopUsual(
        moulds=len(laid) + ELSEWHERE_CASTINGS,
        castings=len(laid) * case.plate + ELSEWHERE_CASTINGS,
        bad={case.defect: bad + ELSEWHERE_BAD},
        readings={name: tuple(value for (of, _), value in by_unit.items() if of == name) for name in names},
        verdicts=tuple(verdict_of(case, found) for found in case.found_before),
    )


def verdict_of(case: CauseCase, found: Found) -> Verdict:
    return Verdict(
        pattern=ANOTHER if found.another else PATTERN,
        defect=case.defect,
        cause=found.cause,
        verdict=found.verdict,
        decided_on=FIRST_DAY.date() - timedelta(days=30),
    )
