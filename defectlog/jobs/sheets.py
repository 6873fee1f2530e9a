"""Sheets in and out: a folder of CSV files, or an Excel workbook where the path says so."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from defectlog.book.open import Book
from defectlog.book.progress import Tell, quietly
from defectlog.errors import BadInput, Problem
from defectlog.jobs.typed import Asked
from defectlog.records.cells import nearest_of
from defectlog.sheets.columns import titles_of
from defectlog.sheets.load import Imported, import_folder
from defectlog.sheets.read import is_there
from defectlog.sheets.refused import checked_beside, write_refused, write_report
from defectlog.sheets.titles import KINDS_OF_SHEET
from defectlog.sheets.told import Told, checked_order, pairs_told
from defectlog.sheets.write import export_folder

WORKBOOK = ".xlsx"


@dataclass(frozen=True, slots=True)
class BroughtIn:
    """What was imported, and the files in which refused rows lie."""

    imported: Imported
    files: tuple[Path, ...] = ()


def told_by(dates: str, columns: Sequence[str], sheets: Sequence[str], fill_down: Sequence[str]) -> Told:
    """What was typed about the sheets. Raises BadInput with everything that cannot be meant."""
    told_columns, told_sheets = pairs_told("--column", columns), pairs_told("--sheet", sheets)
    known = sorted({name for kind in KINDS_OF_SHEET.values() for name in titles_of(kind)})
    problems = [
        Problem(
            "field-unknown",
            "--column",
            f"no field is called {name!r}{nearest_of(name, known)}",
            "allowed: a column that our own sheets have, as in defectlog export",
            f"as in: --column '{title}=pour_c', or --column '{title}=' to leave it out",
        )
        for title, name in told_columns.items()
        if name and name.casefold().replace("-", "_") not in known
    ]
    problems += [
        Problem(
            "field-unknown",
            "--fill-down",
            f"no field is called {name!r}{nearest_of(name, known)}",
            "allowed: a column that our own sheets have, as in defectlog export",
            "as in: --fill-down pattern",
        )
        for name in fill_down
        if name not in known
    ]
    if problems:
        raise BadInput(problems)
    return Told(dates=checked_order(dates), columns=told_columns, sheets=told_sheets, fill_down=tuple(fill_down))


def bring_in(
    book: Book,
    path: Path,
    asked: Asked,
    *,
    dry_run: bool = False,
    told: Told | None = None,
    take_good: bool = False,
    report: Path | None = None,
    tell: Tell = quietly,
) -> BroughtIn:
    """Raises BadInput with every problem of every sheet; then nothing is written but the `report` of them.

    With `take_good` the rows with a problem go into sheets beside the first, and only the others into the book.
    """
    folder = checked_beside(path) if take_good and not dry_run and is_there(path) else None
    try:
        imported = import_folder(
            book,
            path,
            who=asked.who,
            dry_run=dry_run,
            command=asked.command,
            told=told or Told(),
            take_good=take_good,
            tell=tell,
        )
    except BadInput as error:
        if report is not None:
            write_report(error.problems, report)
        raise
    if report is not None:
        write_report((problem for row in imported.refused for problem in row.problems), report)
    files = write_refused(imported.refused, folder) if folder is not None and imported.refused else []
    return BroughtIn(imported, tuple(files))


def take_out(book: Book, path: Path, *, replace: bool = False, tell: Tell = quietly) -> dict[str, int]:
    """Sheet → rows written. Raises BadInput when something is there already and `replace` is not set."""
    if path.suffix.casefold() == WORKBOOK:
        from defectlog.sheets.workbook import export_workbook  # its writer is an optional extra

        return export_workbook(book, path, replace=replace, tell=tell)
    return export_folder(book, path, replace=replace, tell=tell)
