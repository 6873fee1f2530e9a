"""Rows that were not taken: kept as they were written, each with its reasons, in sheets that can be mended and read in.

A second list, one line a problem, says the file, row, column, value and why.
"""

import csv
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

from defectlog.errors import BadInput, Problem
from defectlog.sheets.columns import WHY
from defectlog.sheets.guard import guarded, unguarded
from defectlog.sheets.sheet import AT_ROW, Sheet

REPORT_TITLES = ("sheet", "row", "column", "value", "why", "allowed", "what to do")


@dataclass(frozen=True, slots=True)
class Refused:
    """A row of the sheet of `kind` that was not taken; `index` is its place among the rows that were read."""

    kind: str
    index: int
    header: tuple[str, ...]
    cells: tuple[str, ...]
    problems: tuple[Problem, ...]


def refused_rows(kind: str, sheet: Sheet, problems: Iterable[Problem]) -> list[Refused]:
    """The rows of a sheet that have problems, in their order."""
    indexes = sheet.indexes()
    by_row: dict[int, list[Problem]] = {}
    for problem in problems:
        found = AT_ROW.fullmatch(problem.where)
        index = None if found is None else indexes.get((found["name"], int(found["row"])))
        if index is not None:
            by_row.setdefault(index, []).append(problem)
    return [
        Refused(kind, index, tuple(sheet.header), tuple(sheet.cells[index]), tuple(by_row[index]))
        for index in sorted(by_row)
    ]


def folder_beside(path: Path) -> Path:
    """Where refused rows of `path` go: "moulds.csv" → "moulds-refused"."""
    whole = path.resolve()
    return whole.with_name(f"{whole.stem if whole.is_file() else whole.name}-refused")


def checked_beside(path: Path) -> Path:
    """The folder for refused rows. Raises BadInput when it is there already: nothing is written over."""
    folder = folder_beside(path)
    if folder.exists():
        found = "there are refused rows here already"
        step = "import them first, or move the folder away"
        raise BadInput(Problem("refused-there", str(folder), found, "allowed: no such folder beside the sheets", step))
    return folder


def write_refused(rows: Sequence[Refused], folder: Path) -> list[Path]:
    """One CSV file a kind, with the cells as they were written and a last column of reasons."""
    folder.mkdir(parents=True)
    files = []
    for kind in dict.fromkeys(row.kind for row in rows):
        file = folder / f"{kind}.csv"
        own = [row for row in rows if row.kind == kind]
        with file.open("w", encoding="utf-8-sig", newline="") as out:
            writer = csv.writer(out, lineterminator="\n")
            header = own[0].header
            writer.writerow([*map(safe, header), WHY])
            for row in sorted(own, key=lambda row: row.problems[0].where):
                cells = [*row.cells, *[""] * len(header)][: max(len(header), len(row.cells))]
                why = "; ".join(f"{problem.found} ({problem.allowed})" for problem in row.problems)
                writer.writerow([*map(safe, cells), guarded(" ".join(why.split()))])
        files.append(file)
    return files


def safe(cell: str) -> str:
    """No cell that a spreadsheet would run, whether it was guarded when it came or not."""
    return guarded(unguarded(cell))


def write_report(problems: Iterable[Problem], file: Path) -> None:
    """One line a problem. Raises BadInput when the file cannot be written."""
    try:
        with file.open("x", encoding="utf-8-sig", newline="") as out:
            writer = csv.writer(out, lineterminator="\n")
            writer.writerow(REPORT_TITLES)
            writer.writerows([guarded(" ".join(cell.split())) for cell in report_line(problem)] for problem in problems)
    except OSError as error:
        found = f"the report cannot be written ({error.strerror})"
        step = "give another name to --report"
        raise BadInput(Problem("report-refused", str(file), found, "allowed: a new file", step)) from None


def report_line(problem: Problem) -> tuple[str, ...]:
    found = AT_ROW.fullmatch(problem.where)
    sheet, row = (found["name"], found["row"]) if found else (problem.where, "")
    column = problem.where.partition(", column ")[2] if found else ""
    return sheet, row, column, value_in(problem.found), problem.found, problem.allowed, problem.next_step


def value_in(found: str) -> str:
    """What stands between the first quotation marks: the offending text itself."""
    for mark in "'\"":
        _, opened, rest = found.partition(mark)
        if opened and mark in rest:
            return rest[: rest.index(mark)]
    return ""
