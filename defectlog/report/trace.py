"""A trace as a page, as JSON and as rows of a sheet."""

import csv
import io
from collections.abc import Iterator
from typing import Any

from defectlog.report.answers import Trace, Traced
from defectlog.report.cards import count_text, defect_table, mould_json
from defectlog.report.lists import state
from defectlog.report.moulds import defects_of, poured, stages_of
from defectlog.report.page import Block, Bullets, Heading, Page, Text, next_step, table
from defectlog.report.values import NOT_ON_RECORD, as_typed, field_texts, json_value, many, record_json, runs_text
from defectlog.sheets.guard import guarded

LOT_NAMES = {"lot": "ingot lot"}
SHEET_COLUMNS = (
    "mould", "pattern", "revision", "made_at", "sand", "heat", "poured_at", "state", "castings", "good", "reworked",
    "used_as_is", "scrapped", "undecided", "defects", "found", "shares",
)  # fmt: skip


def trace_page(trace: Trace, units: str = "metric") -> Page:
    return tuple(trace_blocks(trace, units))


def trace_blocks(trace: Trace, units: str) -> Iterator[Block]:
    kind = LOT_NAMES.get(trace.what.kind, trace.what.kind)
    yield Heading(f"Everything that shares {kind} {trace.what.name}")
    yield Bullets(tuple(shared_texts(trace, units)))
    if not trace.moulds:
        yield Text("no mould names it: nothing else on record shares it")
        return
    yield from at_risk(trace)
    yield table(
        ("mould", "pattern", "heat", "sand", "castings", "scrap", "defects", "state"),
        [mould_row(item) for item in trace.moulds],
        right=(4, 5),
    )
    yield next_step(f"defectlog trace {trace.what.kind} {as_typed([trace.what.name])} --csv trace.csv", "as a sheet")


def shared_texts(trace: Trace, units: str) -> Iterator[str]:
    """Heats and sand batches with their readings."""
    for heat in trace.heats:
        yield ", ".join([f"heat {heat.heat}", *pairs(heat, "heat", units)])
    for sand in trace.sands:
        yield ", ".join([f"sand {sand.sand}", *pairs(sand, "sand", units)])
    patterns = dict.fromkeys(item.seen.mould.pattern for item in trace.moulds)
    if patterns:
        yield f"pattern{'s' if len(patterns) > 1 else ''} {', '.join(patterns)}"


def pairs(record: Any, key: str, units: str) -> list[str]:
    return [f"{meaning} {value}" for meaning, value in field_texts(record, units, leave_out=(key,))]


def at_risk(trace: Trace) -> Iterator[Block]:
    """How many castings may be out there, where faults were found, and what can still be stopped."""
    poured_text = f"{many(trace.poured, 'mould')} poured – {count_text(trace.count)}"
    yield Text(poured_text if trace.poured else "none poured", tone="strong")
    melted = [item.seen for item in trace.moulds if poured(item.seen.mould)]
    if trace.not_scrapped > 0:
        yield Text(
            f"at risk: {many(trace.not_scrapped, 'casting')} poured and not scrapped."
            " The book does not hold where they are now: look in stock and in the delivery notes."
        )
    if trace.waiting:
        yield Text(f"can still be stopped, not poured yet: {runs_text(trace.waiting)}", tone="strong")
    if trace.lost:
        yield Text(f"lost before pouring: {runs_text(trace.lost)}")
    stages = stages_of(melted)
    if stages:
        where = ", ".join(
            f"{number} at {stage}" if stage else f"{number} not said where" for stage, number in stages.items()
        )
        yield Text(f"castings with something found: {where}")
    yield from defect_table(defects_of(melted))


def mould_row(item: Traced) -> tuple[str, ...]:
    mould, count = item.seen.mould, item.seen.count
    return (
        mould.mould,
        mould.pattern,
        mould.heat or NOT_ON_RECORD,
        mould.sand or NOT_ON_RECORD,
        str(count.castings),
        str(count.scrapped) if poured(mould) else NOT_ON_RECORD,
        defects_said(item),
        state(mould),
    )


def defects_said(item: Traced) -> str:
    return ", ".join(
        f"{defect.defect or 'not named'} {defect.castings}" if defect.castings > 1 else defect.defect or "not named"
        for defect in defects_of([item.seen])
    )


def trace_json(trace: Trace) -> dict[str, Any]:
    return {
        "what": {"kind": trace.what.kind, "name": trace.what.name},
        "heats": [record_json(heat) for heat in trace.heats],
        "sands": [record_json(sand) for sand in trace.sands],
        "moulds_poured": trace.poured,
        "castings": trace.count.castings,
        "scrapped": trace.count.scrapped,
        "not_scrapped": trace.not_scrapped,
        "not_poured_yet": list(trace.waiting),
        "lost_before_pouring": list(trace.lost),
        "found": dict(stages_of(item.seen for item in trace.moulds)),
        "moulds": [{**mould_json(item.seen), "shares": list(item.shares)} for item in trace.moulds],
        "taken": trace.what.said or None,
    }


def sheet_rows(trace: Trace) -> Iterator[list[str]]:
    """The header and one row a mould; texts guarded against being taken for formulas."""
    yield list(SHEET_COLUMNS)
    for item in trace.moulds:
        mould, count = item.seen.mould, item.seen.count
        known = poured(mould)
        texts = [mould.mould, mould.pattern, mould.revision, json_value(mould.made_at), mould.sand, mould.heat]
        texts += [json_value(mould.poured_at), state(mould)]
        numbers = [count.castings, count.good, count.reworked, count.used_as_is, count.scrapped, count.undecided]
        found = " ".join(stage or "not-said" for stage in stages_of([item.seen]))
        yield [
            *(guarded(text or "") for text in texts),
            *(str(number) if known or place == 0 else "" for place, number in enumerate(numbers)),
            *(guarded(text) for text in (defects_said(item), found, ", ".join(item.shares))),
        ]


def sheet_text(trace: Trace) -> str:
    """The rows as CSV."""
    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerows(sheet_rows(trace))
    return out.getvalue()
