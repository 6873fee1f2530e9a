"""Sheets into the book: in one act, nothing twice, and all or nothing unless the good rows alone are asked for."""

import gc
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from pathlib import Path

from defectlog.book.acts import Act, writing
from defectlog.book.bulk import ids_of
from defectlog.book.open import Book
from defectlog.book.progress import Tell, quietly
from defectlog.errors import BadInput, Problem
from defectlog.sheets.plan import Plan, plan
from defectlog.sheets.read import Folder, read_path
from defectlog.sheets.references import references
from defectlog.sheets.refused import Refused, refused_rows
from defectlog.sheets.told import NOTHING, LeftOut, Told

ROWS_AT_ONCE = 5000


@dataclass(frozen=True, slots=True)
class Imported:
    """Rows `added` and rows `already` in the book, by sheet; the `act` that wrote them (0 when nothing was new);
    files that were `ignored`; what was taken in another way than it is written (`said`); rows that are no records
    (`left_out`), and rows that were `refused` where the good ones alone were wanted."""

    added: dict[str, int]
    already: dict[str, int]
    act: int = 0
    ignored: tuple[str, ...] = ()
    said: tuple[str, ...] = ()
    left_out: tuple[LeftOut, ...] = ()
    refused: tuple[Refused, ...] = field(default=())


def import_folder(
    book: Book,
    path: Path | str,
    *,
    who: str | None = None,
    dry_run: bool = False,
    command: str = "",
    told: Told = NOTHING,
    take_good: bool = False,
    tell: Tell = quietly,
) -> Imported:
    """Read a folder, a sheet or a workbook into the book.

    Raises BadInput with every problem that was found; then nothing is written. With `take_good` a row with a problem
    is left behind, with the rows that rest on it, and handed back as refused; problems of a whole sheet still stop all.
    """
    told = replace(told, keep_cells=told.keep_cells or take_good)
    with no_collecting():
        folder = read_path(path, told, tell)
        act = writing(book, command or f"import {path}", who=who, dry_run=dry_run, tell=tell)
        return load(act, folder, take_good, tell)


@contextmanager
def no_collecting() -> Iterator[None]:
    """Millions of cells and not one cycle among them: looking for cycles again and again costs a fifth of the time."""
    enabled = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if enabled:
            gc.enable()


def load(act: Act, folder: Folder, take_good: bool, tell: Tell) -> Imported:
    """All that is new, in the act that is about to begin."""
    refused: list[Refused] = []
    with act:
        plans, problems = looked_through(act.book, folder, tell)
        while problems and take_good:
            # A row that rests on a refused one is refused in the next turn.
            folder, turned_away = without_bad_rows(folder, plans, problems)
            refused += turned_away
            plans, problems = looked_through(act.book, folder, tell)
        if problems:
            raise BadInput(problems)
        for one in plans.values():
            add(act, one, tell)
    left_out = [*folder.left_out(), *(row for one in plans.values() for row in one.left_out)]
    return Imported(
        {name: len(one.new) for name, one in plans.items()},
        {name: one.already for name, one in plans.items()},
        act.id if act.wrote else 0,
        folder.ignored,
        folder.said,
        tuple(left_out),
        tuple(refused),
    )


def looked_through(book: Book, folder: Folder, tell: Tell) -> tuple[dict[str, Plan], list[Problem]]:
    """What is new of every sheet, and every problem: of reading it, of rows against the book, of what they refer to."""
    plans: dict[str, Plan] = {}
    for number, (name, sheet) in enumerate(folder.sheets.items()):
        tell(f"comparing {name} with the book", number, len(folder.sheets))
        if sheet.columns:
            plans[name] = plan(book, sheet)
    problems = list(folder.problems)
    for one in plans.values():
        problems += one.problems + references(book, folder, one.sheet)
    return plans, problems


def without_bad_rows(folder: Folder, plans: dict[str, Plan], problems: list[Problem]) -> tuple[Folder, list[Refused]]:
    """The folder without the rows that have a problem, and these rows. Raises BadInput for problems of no row."""
    turned_away: list[Refused] = []
    sheets = dict(folder.sheets)
    of_rows: set[Problem] = set()
    for name, one in plans.items():
        rows = refused_rows(name, one.sheet, problems)
        of_rows.update(problem for row in rows for problem in row.problems)
        sheets[name] = one.sheet.without({row.index for row in rows})
        turned_away += rows
    others = [problem for problem in problems if problem not in of_rows]
    if others:
        raise BadInput(others)
    return replace(folder, sheets=sheets, problems=[]), turned_away


def add(act: Act, planned: Plan, tell: Tell) -> None:
    """The new rows of a sheet, their links turned into row ids."""
    sheet = planned.sheet
    nothing = [None] * len(sheet)
    columns = []
    for spec in sheet.table.specs:
        column = sheet.columns.get(spec.name, nothing)
        if len(planned.new) < len(sheet):
            column = [column[index] for index in planned.new]
        if spec.name in sheet.table.links:
            column = list(map(ids_of(act.book, spec.refers_to, set(column) - {None}).get, column))
        columns.append(column)
    rows = list(zip(*columns, strict=True))
    for start in range(0, len(rows), ROWS_AT_ONCE):
        tell(f"writing {sheet.name}", start, len(rows))
        act.add_rows(sheet.table, rows[start : start + ROWS_AT_ONCE])
