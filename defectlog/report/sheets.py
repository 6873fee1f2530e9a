"""What went in or out by sheets, counted; and copies of the whole book."""

from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

from defectlog.book.backup import Copied
from defectlog.book.undo import Undone
from defectlog.errors import Problem
from defectlog.report.page import Block, Bullets, Page, Text, next_step, table
from defectlog.report.values import drawn_together, many

LINES_SHOWN = 8


def exported_page(written: Mapping[str, int], path: Path) -> Page:
    rows = [(name, str(number)) for name, number in written.items()]
    return (
        Text(f"written to {path}: {many(sum(written.values()), 'row')}, metric", tone="strong"),
        table(("sheet", "rows"), rows, right=(1,)),
    )


def problems_page(problems: Sequence[Problem]) -> Page:
    """Each problem with its place, the rule and what to type."""
    return tuple(block for problem in problems for block in problem_blocks(problem))


def problem_blocks(problem: Problem) -> Iterator[Block]:
    yield Text(f"{problem.where}: {problem.found}" if problem.where else problem.found, tone="strong")
    for line in (problem.allowed, problem.next_step):
        if line:
            yield Text(line, indent=2)


def problem_json(problem: Problem) -> dict[str, str]:
    return {
        "code": problem.code,
        "where": problem.where,
        "found": problem.found,
        "allowed": problem.allowed,
        "next_step": problem.next_step,
    }


def undone_page(undone: Undone) -> Page:
    blocks: list[Block] = [Text(f"taken back: act {undone.act.id}, {undone.act.command}", tone="strong")]
    lines = drawn_together((record, text) for record, _, text in (line.partition(": ") for line in undone.lines))
    blocks.append(Bullets(tuple(lines[:LINES_SHOWN])))
    if len(lines) > LINES_SHOWN:
        blocks.append(Text(f"and {len(lines) - LINES_SHOWN} lines more, see: defectlog history act {undone.act.id}"))
    if undone.by:
        blocks.append(next_step(f"defectlog undo {undone.by}", "to have it back"))
    else:
        blocks.append(Text("tried out, nothing written"))
    return tuple(blocks)


def undone_json(undone: Undone) -> dict[str, Any]:
    return {
        "undone": undone.act.id,
        "command": undone.act.command,
        "act": undone.by or None,
        "did": list(undone.lines),
    }


def copied_page(copied: Copied, verb: str) -> Page:
    """A backup made or put back, with what is in it."""
    rows = [(name, str(number)) for name, number in copied.rows.items() if number]
    photos = f", {many(copied.photos, 'photo')} beside it" if copied.photos else ""
    size = f"{copied.size / 1e6:.1f} MB, {many(copied.acts, 'act')} in its journal"
    blocks: list[Block] = [Text(f"{verb} {copied.path}: {size}{photos}, looked over", tone="strong")]
    blocks += [table(("records", "number"), rows, right=(1,))] if rows else []
    if copied.damaged:
        blocks.append(Text(f"damaged and left out: {many(len(copied.damaged), 'photo')}: {', '.join(copied.damaged)}"))
        blocks.append(next_step("defectlog check", "more about them"))
    if copied.kept is not None:
        blocks.append(Text(f"what was here before is kept: {copied.kept}"))
    if copied.seal:
        blocks.append(Text(f"last seal of its journal: {copied.seal[:16]}", tone="quiet"))
    return tuple(blocks)


def copied_json(copied: Copied) -> dict[str, Any]:
    return {
        "path": str(copied.path),
        "rows": copied.rows,
        "acts": copied.acts,
        "bytes": copied.size,
        "seal": copied.seal or None,
        "photos": copied.photos,
        "damaged_photos": list(copied.damaged),
        "kept": None if copied.kept is None else str(copied.kept),
    }
