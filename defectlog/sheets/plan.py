"""What of a sheet is new, what is in the book already, and what says another thing than the book.

A row whose key is in the book with the same values is "already there"; with other values it is a problem that names
the difference, because a sheet must not overwrite a record. Rows without a key (findings, verdicts, remedies) are
matched whole and one for one.
"""

import shlex
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

from defectlog.book.bulk import first_written, keyed_rows, unkeyed_rows
from defectlog.book.open import Book
from defectlog.errors import Problem
from defectlog.sheets.sheet import UNREADABLE, Sheet
from defectlog.sheets.told import LeftOut
from defectlog.sheets.write import cell_text

# Of these two fields one must be filled: table → (one, the other, code of the problem).
ONE_OF_TWO = {
    "finding": ("defect", "seen", "nothing-seen"),
    "remedy": ("from_date", "from_mould", "remedy-without-start"),
}


@dataclass(slots=True)
class Plan:
    """Of one sheet: the rows that are new (their index in the sheet), and how many are there already."""

    sheet: Sheet
    new: list[int] = field(default_factory=list)
    already: int = 0
    problems: list[Problem] = field(default_factory=list)
    left_out: list[LeftOut] = field(default_factory=list)


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
            again(planned, index, seen[key], key)
            continue
        seen[key] = index
        stored = there.get(key)
        if stored is None:
            planned.new.append(index)
            continue
        before = originals.get(stored[0], stored)
        # A cell that cannot be read has its problem already, and says nothing of the book.
        read = [place for place in given if row[place] is not UNREADABLE]
        if all(row[place] == stored[place + 1] for place in read) or all(
            row[place] == before[place + 1] for place in read
        ):
            planned.already += 1
        else:
            differing = [place for place in read if row[place] != stored[place + 1]]
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


def again(planned: Plan, index: int, first: int, key: tuple[Any, ...]) -> None:
    """A row whose key was there before: left out and said when it is the same throughout, a problem when it is not."""
    sheet = planned.sheet
    same = all(column[index] == column[first] for column in sheet.columns.values())
    if same and UNREADABLE not in key:
        why = f"the same as row {sheet.numbers[first]}, word for word"
        planned.left_out.append(LeftOut(sheet.name_at(index), sheet.numbers[index], why))
    elif UNREADABLE not in key and None not in key[:1]:
        found = f"{' '.join(map(str, key))} stands in row {sheet.numbers[first]} too, with other values"
        step = "take one of the two rows out, or give it a number of its own"
        where = sheet.where(index, sheet.table.key[0])
        planned.problems.append(Problem("row-twice", where, found, "allowed: each number once in a sheet", step))


def differs(sheet: Sheet, index: int, name: str, value: Any, stored: Any) -> Problem:
    spec = next(spec for spec in sheet.table.specs if spec.name == name)
    typed = cell_text(spec, value) or "nothing"
    found = f"{typed}, and the book has {cell_text(spec, stored) or 'nothing'}"
    amend = f"to correct the book: {amending(sheet, index, name, value)}"
    return Problem(
        "differs", sheet.where(index, name), found, "allowed: what the book has; a sheet overwrites no record", amend
    )


def incomplete(sheet: Sheet) -> list[Problem]:
    """Rows that need one of two fields."""
    if sheet.table.name not in ONE_OF_TWO:
        return []
    one, other, code = ONE_OF_TWO[sheet.table.name]
    nothing = [None] * len(sheet)
    both = zip(sheet.columns.get(one, nothing), sheet.columns.get(other, nothing), strict=True)
    return [
        Problem(
            code,
            sheet.where(index),
            f"neither {one} nor {other} is written here",
            "needed: one of the two",
            f"write {one} or {other} into the row",
        )
        for index, (first, second) in enumerate(both)
        if first is None and second is None
    ]


def amending(sheet: Sheet, index: int, name: str, value: Any) -> str:
    """The command that would set a field of the book to what the sheet says."""
    key = [str(sheet.columns[part][index]) for part in sheet.table.key[:1]]
    parts = [(part, sheet.columns[part][index]) for part in sheet.table.key[1:] if sheet.columns.get(part)]
    words = [word for part, told in parts if told for word in (f"--{part}", str(told))]
    spec = next(spec for spec in sheet.table.specs if spec.name == name)
    typed = cell_text(spec, value)
    return " ".join(
        map(quoted_word, ["defectlog", sheet.table.name, "amend", *key, *words, f"--{name.replace('_', '-')}", typed])
    )


def quoted_word(word: str) -> str:
    return shlex.quote(word)
