"""Records to sheets: what was typed comes out as it went in, in metric units, row by row in the order of the book."""

import csv
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from defectlog.book.open import Book, troubles
from defectlog.book.progress import Tell, quietly
from defectlog.book.records import count
from defectlog.book.tables import BY_KIND, Table, select
from defectlog.errors import BadInput, Problem
from defectlog.records.cells import number_text
from defectlog.records.fields import FieldSpec, names_of
from defectlog.records.kinds import BY_SHEET
from defectlog.sheets.guard import guarded

ROWS_A_TELL = 2000


def export_folder(book: Book, path: Path | str, *, replace: bool = False, tell: Tell = quietly) -> dict[str, int]:
    """One CSV file a kind; the number of rows of each. Reading them into a new book and writing that gives the
    same bytes. The sheets take their places when all of them are written.

    Raises BadInput when the folder cannot be made, or has such files already and `replace` is not set.
    """
    path = Path(path)
    make_folder(path)
    files = {name: path / f"{name}.csv" for name in BY_SHEET}
    there = [file.name for file in files.values() if file.exists()]
    if there and not replace:
        found = f"there are sheets here already: {', '.join(there)}"
        raise BadInput(
            Problem(
                "sheets-there",
                str(path),
                found,
                "allowed: a new or empty folder",
                "give another folder, or write over them with --force",
            )
        )
    unfinished = {name: file.with_suffix(".csv.part") for name, file in files.items()}
    try:
        written = {name: write_csv(book, BY_KIND[BY_SHEET[name]], file, tell) for name, file in unfinished.items()}
    except BaseException:
        for file in unfinished.values():
            file.unlink(missing_ok=True)
        raise
    for name, file in unfinished.items():
        file.replace(files[name])
    return written


def make_folder(path: Path) -> None:
    try:
        path.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        found = f"the folder cannot be made ({error.strerror})"
        raise BadInput(
            Problem("folder-refused", str(path), found, "allowed: a folder you may write in", "give another folder")
        ) from None


def write_csv(book: Book, table: Table, file: Path, tell: Tell = quietly) -> int:
    with file.open("w", encoding="utf-8-sig", newline="") as out:
        writer = csv.writer(out, lineterminator="\n")
        writer.writerow(names_of(table.specs))
        rows = 0
        for rows, line in enumerate(text_rows(book, table, tell), 1):  # noqa: B007 - the count is wanted after the loop
            writer.writerow(line)
    return rows


def text_rows(book: Book, table: Table, tell: Tell = quietly) -> Iterator[list[str]]:
    """The live rows of a table as text, guarded against being taken for formulas."""
    texts = [CellTexts(spec) for spec in table.specs]
    for row in live_rows(book, table, tell):
        yield [cells[value] for cells, value in zip(texts, row[1:], strict=True)]


def live_rows(book: Book, table: Table, tell: Tell) -> Iterator[tuple[Any, ...]]:
    """The rows that stand, in the order of the book; told of every few thousand."""
    of = count(book, table.kind)
    with troubles(book.path):
        rows = book.connection.execute(f"{select(table)} WHERE t.withdrawn_by IS NULL ORDER BY t.id")
        for number, row in enumerate(rows):
            if number % ROWS_A_TELL == 0:
                tell(f"writing {table.kind.sheet}", number, of)
            yield row


class CellTexts(dict[Any, str]):
    """The texts of one column's different values. Stored days and moments are the text of their cell already."""

    def __init__(self, spec: FieldSpec) -> None:
        super().__init__()
        self.spec = spec

    def __missing__(self, value: Any) -> str:
        text = cell_text(self.spec, value)
        self[value] = text
        return text


def cell_text(spec: FieldSpec, value: Any) -> str:
    if value is None:
        return ""
    if spec.holds == "number":
        return number_text(value)
    if spec.holds == "yes_no":
        return "yes" if value else "no"
    return guarded(str(value)) if spec.holds == "text" else str(value)
