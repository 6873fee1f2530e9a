"""What came in by sheets: counted, with everything that was taken in another way than it is written, or not at all."""

import shlex
from collections.abc import Iterator, Sequence
from itertools import pairwise
from pathlib import Path
from typing import Any

from defectlog.report.page import Block, Bullets, Page, Text, next_step, table
from defectlog.report.sheets import problem_json
from defectlog.report.shell import shell_command
from defectlog.report.values import many
from defectlog.sheets.load import Imported

ROWS_SHOWN = 12


def imported_page(imported: Imported, command: str, *, dry_run: bool, files: Sequence[Path] = ()) -> Page:
    return tuple(imported_blocks(imported, command, dry_run, files))


def imported_blocks(imported: Imported, command: str, dry_run: bool, files: Sequence[Path]) -> Iterator[Block]:
    new = sum(imported.added.values())
    if dry_run:
        yield Text(f"tried out, nothing written: {many(new, 'row')} would be new", tone="strong")
    elif new:
        yield Text(f"written: {many(new, 'row')}", tone="strong")
    elif not imported.refused:
        yield Text("nothing new: every row is in the book already")
    rows = [(name, str(added), str(imported.already.get(name, 0))) for name, added in imported.added.items()]
    yield table(("sheet", "would be new" if dry_run else "new", "in the book already"), rows, right=(1, 2))
    if imported.said:
        yield Text("read as follows:")
        yield Bullets(imported.said)
    if imported.ignored:
        yield Text(f"left alone, not sheets of ours: {', '.join(imported.ignored)}")
    yield from left_out_blocks(imported)
    yield from refused_blocks(imported, files)
    if imported.act:
        yield Text(f"undo: defectlog undo {imported.act}", tone="quiet")
    if files:
        yield next_step(again_from(files[0].parent, command), "when they are mended")
    elif dry_run and new:
        yield next_step(command.replace(" --dry-run", ""), "next")
    else:
        yield next_step("defectlog check", "next")


def left_out_blocks(imported: Imported) -> Iterator[Block]:
    if imported.left_out:
        yield Text(f"not taken, no records: {many(len(imported.left_out), 'row')}")
        yield Bullets(tuple(f"{row.sheet} row {row.row}: {row.why}" for row in imported.left_out))


def refused_blocks(imported: Imported, files: Sequence[Path]) -> Iterator[Block]:
    if not imported.refused:
        return
    problems = [problem for row in imported.refused for problem in row.problems]
    yield Text(f"refused: {many(len(imported.refused), 'row')}", tone="strong")
    yield Bullets(tuple(f"{problem.where}: {problem.found}" for problem in problems[:ROWS_SHOWN]))
    if len(problems) > ROWS_SHOWN:
        yield Text(f"and {len(problems) - ROWS_SHOWN} more reasons", indent=2)
    for file in files:
        yield Text(f"refused rows with their reasons: {file}")


def again_from(folder: Path, command: str) -> str:
    """The import of refused rows, with what was said about dates, columns and sheets."""
    options, words = [], shlex.split(command)
    for option, value in pairwise(words):
        if option in ("--dates", "--column"):
            options += [option, value]
    return shell_command("import", str(folder), *options)


def imported_json(imported: Imported, files: Sequence[Path] = ()) -> dict[str, Any]:
    return {
        "act": imported.act or None,
        "added": imported.added,
        "already": imported.already,
        "ignored": list(imported.ignored),
        "said": list(imported.said),
        "left_out": [{"sheet": row.sheet, "row": row.row, "why": row.why} for row in imported.left_out],
        "refused": [problem_json(problem) for row in imported.refused for problem in row.problems],
        "refused_rows": len(imported.refused),
        "refused_files": [str(file) for file in files],
    }
