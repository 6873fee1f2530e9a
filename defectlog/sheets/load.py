"""Sheets into the book: all or nothing, in one act, and nothing twice.

A row whose key is in the book with the same values is "already there"; with other values it is a problem that names
the difference, because a sheet must not overwrite a record. Rows without a key (findings, verdicts, remedies) are
matched whole and one for one.
"""

import gc
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from defectlog.book.acts import Act, writing
from defectlog.book.bulk import card_revisions, first_written, ids_of, keyed_rows, unkeyed_rows
from defectlog.book.open import Book
from defectlog.errors import BadInput, Problem
from defectlog.sheets.read import Folder, read_path
from defectlog.sheets.sheet import Sheet
from defectlog.sheets.write import cell_text

# Of these two fields one must be filled: table → (one, the other, code of the problem).
ONE_OF_TWO = {
    "finding": ("defect", "seen", "nothing-seen"),
    "remedy": ("from_date", "from_mould", "remedy-without-start"),
}


@dataclass(frozen=True, slots=True)
class Imported:
    """Rows `added` and rows `already` in the book, by sheet; the `act` that wrote them (0 when nothing was new);
    files that were `ignored`."""

    added: dict[str, int]
    already: dict[str, int]
    act: int = 0
    ignored: tuple[str, ...] = ()


@dataclass(slots=True)
class Plan:
    """Of one sheet: the rows that are new (their index in the sheet), and how many are there already."""

    sheet: Sheet
    new: list[int] = field(default_factory=list)
    already: int = 0
    problems: list[Problem] = field(default_factory=list)


def import_folder(
    book: Book, path: Path | str, *, who: str | None = None, dry_run: bool = False, command: str = ""
) -> Imported:
    """Read a folder, a sheet or a workbook into the book.

    Raises BadInput with every problem that was found; then nothing is written.
    """
    with no_collecting():
        return load(book, path, who, dry_run, command or f"import {path}")


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


def load(book: Book, path: Path | str, who: str | None, dry_run: bool, command: str) -> Imported:
    folder = read_path(path)
    with writing(book, command, who=who, dry_run=dry_run) as act:
        plans = {name: plan(book, sheet) for name, sheet in folder.sheets.items() if sheet.columns}
        problems = list(folder.problems)
        for one in plans.values():
            problems += one.problems + references(book, folder, one.sheet)
        if problems:
            raise BadInput(problems)
        for one in plans.values():
            add(act, one)
    added = {name: len(one.new) for name, one in plans.items()}
    already = {name: one.already for name, one in plans.items()}
    return Imported(added, already, act.id if act.wrote else 0, folder.ignored)


def plan(book: Book, sheet: Sheet) -> Plan:
    """What of a sheet is new. A sheet with unreadable cells is looked through all the same, for its other problems."""
    planned = Plan(sheet)
    planned.problems += incomplete(sheet)
    if sheet.table.key:
        plan_keyed(book, planned)
    else:
        plan_unkeyed(book, planned)
    return planned


def plan_keyed(book: Book, planned: Plan) -> None:
    sheet = planned.sheet
    keys = list(sheet_keys(sheet))
    there = keyed_rows(book, sheet.table, {key[0] for key in keys if isinstance(key[0], str)})
    originals = first_written(book, sheet.table, there.values())
    seen: dict[tuple[Any, ...], int] = {}
    names = [spec.name for spec in sheet.table.specs]
    given = [place for place, name in enumerate(names) if name in sheet.columns]
    for index, (key, row) in enumerate(zip(keys, sheet.rows(), strict=True)):
        if key in seen:
            planned.problems.append(twice(sheet, index, seen[key], key))
            continue
        seen[key] = index
        stored = there.get(key)
        if stored is None:
            planned.new.append(index)
            continue
        before = originals.get(stored[0], stored)
        if all(row[place] == stored[place + 1] for place in given) or all(
            row[place] == before[place + 1] for place in given
        ):
            planned.already += 1
        else:
            differing = [place for place in given if row[place] != stored[place + 1]]
            planned.problems += [
                differs(sheet, index, names[place], row[place], stored[place + 1]) for place in differing
            ]


def plan_unkeyed(book: Book, planned: Plan) -> None:
    """Each row of the book answers for one row of the sheet, as it is now or as it was first written."""
    sheet = planned.sheet
    owners = {owner for owner in sheet.columns.get(sheet.table.specs[0].name, ()) if isinstance(owner, str)}
    there = unkeyed_rows(book, sheet.table, owners)
    originals = first_written(book, sheet.table, there)
    waiting: dict[tuple[Any, ...], list[int]] = {}
    for stored in there:
        for form in {tuple(stored[1:]), tuple(originals.get(stored[0], stored)[1:])}:
            waiting.setdefault(form, []).append(stored[0])
    used: set[int] = set()
    for index, row in enumerate(sheet.rows()):
        free = waiting.get(row, ()) if waiting else ()
        match = next((stored for stored in free if stored not in used), None)
        if match is None:
            planned.new.append(index)
        else:
            used.add(match)
            planned.already += 1


def sheet_keys(sheet: Sheet) -> Iterator[tuple[Any, ...]]:
    columns = [sheet.columns.get(name, [None] * len(sheet)) for name in sheet.table.key]
    if sheet.table.name == "pattern":
        return ((pattern, revision or "A") for pattern, revision in zip(*columns, strict=True))
    return zip(*columns, strict=True)


def twice(sheet: Sheet, index: int, first: int, key: Iterable[Any]) -> Problem:
    found = f"{' '.join(map(str, key))} stands in row {sheet.numbers[first]} too"
    return Problem("row-twice", sheet.where(index, sheet.table.key[0]), found, "each name stands once in a sheet")


def differs(sheet: Sheet, index: int, name: str, value: Any, stored: Any) -> Problem:
    spec = next(spec for spec in sheet.table.specs if spec.name == name)
    typed = cell_text(spec, value) or "nothing"
    found = f"{typed}, and the book has {cell_text(spec, stored) or 'nothing'}"
    key = " ".join(str(sheet.columns[part][index]) for part in sheet.table.key if sheet.columns.get(part))
    amend = f"to correct the book: defectlog {sheet.table.name} amend {key} --{name.replace('_', '-')} {typed}"
    return Problem("differs", sheet.where(index, name), found, "a sheet does not overwrite a record", amend)


def incomplete(sheet: Sheet) -> list[Problem]:
    """Rows that need one of two fields."""
    pairs = {
        "finding": ("defect", "seen", "nothing-seen"),
        "remedy": ("from_date", "from_mould", "remedy-without-start"),
    }
    if sheet.table.name not in pairs:
        return []
    one, other, code = pairs[sheet.table.name]
    nothing = [None] * len(sheet)
    both = zip(sheet.columns.get(one, nothing), sheet.columns.get(other, nothing), strict=True)
    return [
        Problem(code, sheet.where(index), f"neither {one} nor {other} is written here", "one of the two is needed")
        for index, (first, second) in enumerate(both)
        if first is None and second is None
    ]


def references(book: Book, folder: Folder, sheet: Sheet) -> list[Problem]:
    """Names that are neither in the sheets nor in the book."""
    problems = []
    for spec in sheet.table.specs:
        if spec.refers_to and spec.name in sheet.columns:
            wanted = {value for value in sheet.columns[spec.name] if isinstance(value, str)}
            wanted -= names_in(folder, spec.refers_to)
            missing = wanted - set(ids_of(book, spec.refers_to, wanted))
            problems += [
                Problem(
                    f"{spec.name.removeprefix('from_')}-unknown",
                    sheet.where(index, spec.name),
                    f"{value} is neither in the book nor in {spec.refers_to}",
                    f"allowed: a {spec.name} that is on record",
                )
                for index, value in enumerate(sheet.columns[spec.name])
                if value in missing
            ]
    return problems + (revisions(book, folder, sheet) if "revision" in sheet.columns else [])


def revisions(book: Book, folder: Folder, sheet: Sheet) -> list[Problem]:
    """Moulds that name a revision which their pattern has not."""
    if sheet.table.name != "mould":
        return []
    known = card_revisions(book)
    if "patterns" in folder.sheets:
        known |= set(sheet_keys(folder.sheets["patterns"]))
    patterns = {pattern for pattern, _ in known}
    pairs = zip(sheet.columns.get("pattern", []), sheet.columns["revision"], strict=False)
    return [
        Problem(
            "revision-unknown",
            sheet.where(index, "revision"),
            f"pattern {pattern} has no revision {revision}",
            "allowed: " + ", ".join(sorted(name for owner, name in known if owner == pattern)),
        )
        for index, (pattern, revision) in enumerate(pairs)
        if isinstance(revision, str) and pattern in patterns and (pattern, revision) not in known
    ]


def names_in(folder: Folder, sheet: str) -> set[Any]:
    there = folder.sheets.get(sheet)
    return set(there.columns.get(there.table.key[0], ())) if there is not None else set()


def add(act: Act, planned: Plan) -> None:
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
    act.add_rows(sheet.table, list(zip(*columns, strict=True)))
