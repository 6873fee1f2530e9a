"""What the rows of a sheet refer to: names that must be in the book already, or in a sheet beside it."""

from typing import Any

from defectlog.book.bulk import card_revisions, ids_of
from defectlog.book.open import Book
from defectlog.book.tables import BY_KIND
from defectlog.errors import Problem
from defectlog.records.kinds import BY_SHEET
from defectlog.sheets.plan import sheet_keys
from defectlog.sheets.read import Folder
from defectlog.sheets.sheet import Sheet


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
                    f"put it into {spec.refers_to}.csv beside this one, or: defectlog {verb_of(spec.refers_to)} add …",
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
            f"put its card into patterns.csv, or: defectlog pattern add {pattern} --revision {revision}",
        )
        for index, (pattern, revision) in enumerate(pairs)
        if isinstance(revision, str) and pattern in patterns and (pattern, revision) not in known
    ]


def names_in(folder: Folder, sheet: str) -> set[Any]:
    there = folder.sheets.get(sheet)
    return set(there.columns.get(there.table.key[0], ())) if there is not None else set()


def verb_of(sheet: str) -> str:
    return BY_KIND[BY_SHEET[sheet]].name
