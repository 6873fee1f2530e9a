"""The same sheets in one Excel workbook. Needs the extra `xlsx` (xlsxwriter to write, python-calamine to read)."""

import shlex
from datetime import date, datetime, time
from importlib import import_module
from pathlib import Path
from typing import Any
from zipfile import BadZipFile, ZipFile

from defectlog.book.open import Book
from defectlog.book.progress import Tell, quietly
from defectlog.book.tables import BY_KIND, Table
from defectlog.errors import BadInput, Problem
from defectlog.records.cells import day_text, moment_text, number_text
from defectlog.records.fields import names_of
from defectlog.records.kinds import BY_SHEET
from defectlog.sheets.guard import unguarded
from defectlog.sheets.workbook_text import write_text
from defectlog.sheets.write import cell_text, live_rows

# A workbook keeps fifteen significant digits of a number; a longer one is written as text, so that none is lost.
DIGITS_KEPT = 15
# A workbook is a packed file; one that would unpack to more than this is no shop's.
LARGEST_UNPACKED = 2_000_000_000
INSTALL = "install the extra: pip install 'defectlog[xlsx]', or use a folder of CSV files"


def export_workbook(book: Book, path: Path | str, *, replace: bool = False, tell: Tell = quietly) -> dict[str, int]:
    """One sheet a kind; the number of rows of each. Raises BadInput when the file is there and `replace` is not set."""
    path = Path(path)
    if path.exists() and not replace:
        step = "give another name, or write over it with --force"
        raise BadInput(Problem("sheets-there", str(path), "there is a file here already", "allowed: a new name", step))
    if not path.parent.is_dir():
        found = f"there is no folder {path.parent}"
        step = f"make it: mkdir {shlex.quote(str(path.parent))}"
        raise BadInput(Problem("folder-missing", str(path), found, "allowed: a folder that is there", step))
    xlsxwriter = extra("xlsxwriter", path)
    unfinished = path.with_name(f"{path.stem}.part{path.suffix}")
    options = {"strings_to_formulas": False, "strings_to_urls": False, "strings_to_numbers": False}
    try:
        with xlsxwriter.Workbook(unfinished, options) as workbook:
            bold = workbook.add_format({"bold": True})
            written = {}
            for name, kind in BY_SHEET.items():
                sheet = workbook.add_worksheet(name)
                sheet.freeze_panes(1, 0)
                sheet.write_row(0, 0, names_of(BY_KIND[kind].specs), bold)
                written[name] = write_rows(book, BY_KIND[kind], sheet, tell)
            tell("packing the workbook", 0, 0)
    except BaseException:
        unfinished.unlink(missing_ok=True)
        raise
    unfinished.replace(path)
    return written


def extra(name: str, path: Path) -> Any:
    """A library of the extra `xlsx`. Raises BadInput when it is not installed."""
    try:
        return import_module(name)
    except ImportError:
        found = "workbooks need an extra that is not installed"
        raise BadInput(Problem("no-workbooks", str(path), found, "allowed: CSV without the extra", INSTALL)) from None


def write_rows(book: Book, table: Table, sheet: Any, tell: Tell) -> int:
    number = 0
    for number, row in enumerate(live_rows(book, table, tell), 1):
        for place, (spec, value) in enumerate(zip(table.specs, row[1:], strict=True)):
            if value is None:
                continue
            if spec.holds in ("number", "count") and significant_digits(value) <= DIGITS_KEPT:
                sheet.write_number(number, place, value)
            else:
                write_text(sheet, number, place, unguarded(cell_text(spec, value)))
    return number


def significant_digits(value: float) -> int:
    return len(number_text(value).replace(".", "").strip("-0"))


def workbook_rows(path: Path) -> dict[str, list[list[str]]]:
    """Sheet title → its rows as text, blank rows kept so that row numbers are the workbook's own. Raises BadInput."""
    python_calamine = extra("python_calamine", path)
    refuse_a_bomb(path)
    try:
        workbook = python_calamine.CalamineWorkbook.from_path(path)
        return {
            title: [
                [cell_as_text(cell) for cell in row]
                for row in workbook.get_sheet_by_name(title).to_python(skip_empty_area=False)
            ]
            for title in workbook.sheet_names
        }
    except (python_calamine.CalamineError, OSError) as error:
        found = f"this is not a workbook that can be read ({error})"
        step = "open it in a spreadsheet and save it again as .xlsx"
        raise BadInput(Problem("workbook-torn", str(path), found, "allowed: .xlsx, .xls, .ods", step)) from None


def refuse_a_bomb(path: Path) -> None:
    """Raises BadInput for a packed file that says it unpacks to more than memory should hold."""
    try:
        with ZipFile(path) as packed:
            size = sum(item.file_size for item in packed.infolist())
    except (BadZipFile, OSError):
        return  # not packed (.xls), or torn: the reader says so
    if size > LARGEST_UNPACKED:
        found = f"it would unpack to {size / 1e9:.0f} GB"
        raise BadInput(Problem("workbook-large", str(path), found, "allowed: up to 2 GB", "save it as CSV UTF-8"))


def cell_as_text(cell: Any) -> str:
    """A workbook's value as the text of a CSV cell."""
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    if isinstance(cell, int | float):
        return number_text(cell)
    if isinstance(cell, datetime):
        return moment_text(cell)
    if isinstance(cell, date):
        return day_text(cell)
    return cell.isoformat(timespec="minutes") if isinstance(cell, time) else str(cell)
