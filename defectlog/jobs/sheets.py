"""Sheets in and out: a folder of CSV files, or an Excel workbook where the path says so."""

from pathlib import Path

from defectlog.book.open import Book
from defectlog.jobs.typed import Asked
from defectlog.sheets.load import Imported, import_folder
from defectlog.sheets.write import export_folder

WORKBOOK = ".xlsx"


def bring_in(book: Book, path: Path, asked: Asked, *, dry_run: bool = False) -> Imported:
    """Raises BadInput with every problem of every sheet; then nothing is written."""
    return import_folder(book, path, who=asked.who, dry_run=dry_run, command=asked.command)


def take_out(book: Book, path: Path, *, replace: bool = False) -> dict[str, int]:
    """Sheet → rows written. Raises BadInput when something is there already and `replace` is not set."""
    if path.suffix.casefold() == WORKBOOK:
        from defectlog.sheets.workbook import export_workbook  # its writer is an optional extra

        return export_workbook(book, path, replace=replace)
    return export_folder(book, path, replace=replace)
