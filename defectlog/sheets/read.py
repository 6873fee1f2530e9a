"""A folder of CSV files, one file of it, or a workbook: sheets and all their problems in one pass."""

import csv
import io
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from defectlog.errors import BadInput, NotFound, Problem
from defectlog.records.kinds import BY_SHEET
from defectlog.sheets.columns import folded_title, titles_of
from defectlog.sheets.sheet import Sheet, read_sheet

SEPARATORS = ",;\t"
SHEETS = ", ".join(f"{name}.csv" for name in BY_SHEET)
WORKBOOKS = (".xlsx", ".xlsm", ".xls", ".ods")


@dataclass(frozen=True, slots=True)
class Folder:
    """What was read: `sheets` by kind in the order in which they refer to each other, and files that were `ignored`."""

    sheets: dict[str, Sheet]
    ignored: tuple[str, ...] = ()
    problems: list[Problem] = field(default_factory=list)

    def records(self) -> dict[str, list[Any]]:
        """Records by kind; only when there are no problems."""
        return {name: sheet.records() for name, sheet in self.sheets.items()}


def read_path(path: Path | str) -> Folder:
    """A folder, one CSV file named after its kind, or a workbook. Raises NotFound or BadInput when it is none."""
    path = Path(path)
    if not path.exists():
        raise NotFound(Problem("path-missing", str(path), "there is nothing here", f"allowed: a folder with {SHEETS}"))
    if path.is_dir():
        return read_folder(path)
    if path.suffix.casefold() in WORKBOOKS:
        from defectlog.sheets.workbook import workbook_rows  # its reader is an optional extra

        return gathered({name: (f"{path.name} {name}", rows) for name, rows in workbook_rows(path).items()})
    if path.suffix.casefold() == ".csv":
        return read_files([path])
    allowed = f"allowed: a folder with {SHEETS}; one of these; or a workbook (.xlsx)"
    raise BadInput(Problem("not-a-sheet", str(path), "this is neither a folder nor a sheet", allowed))


def read_folder(path: Path) -> Folder:
    """Every sheet of a folder; other files are left alone. Raises BadInput when there is no sheet in it."""
    return read_files(sorted(item for item in path.iterdir() if item.suffix.casefold() == ".csv"), str(path))


def read_files(files: list[Path], where: str = "") -> Folder:
    by_name = {file.stem.casefold(): file for file in files}
    known = {name: by_name[name] for name in BY_SHEET if name in by_name}
    ignored = tuple(file.name for name, file in by_name.items() if name not in known)
    if not known:
        found = f"there is no sheet here, only {', '.join(ignored)}" if ignored else "there is no sheet here"
        raise BadInput(Problem("no-sheets", where or str(files[0]), found, f"allowed: {SHEETS}"))
    sheets, problems = {}, []
    for name, file in known.items():
        sheet = read_csv(file, BY_SHEET[name])
        sheets[name] = sheet
        problems += sheet.problems
    return Folder(sheets, ignored, problems)


def gathered(tables: dict[str, tuple[str, list[list[str]]]]) -> Folder:
    """Sheets of a workbook: `tables` is sheet title → (how it is called in messages, rows)."""
    sheets: dict[str, Sheet] = {}
    problems: list[Problem] = []
    by_name = {folded_title(title): title for title in tables}
    for name, kind in BY_SHEET.items():
        if name in by_name:
            where, rows = tables[by_name[name]]
            sheets[name] = read_sheet(where, kind, rows, guarded=False, decimal_comma=False)
            problems += sheets[name].problems
    ignored = tuple(title for folded, title in by_name.items() if folded not in sheets)
    if not sheets:
        allowed = "allowed: " + ", ".join(BY_SHEET)
        raise BadInput(Problem("no-sheets", "", "the workbook has no sheet of ours", allowed))
    return Folder(sheets, ignored, problems)


def read_csv(file: Path, kind: Any) -> Sheet:
    """One CSV file; comma, semicolon or tab between cells, decimal point or comma."""
    try:
        text = file.read_bytes().decode("utf-8-sig")
    except UnicodeDecodeError:
        found = "the file is not in UTF-8"
        step = "save it again as CSV UTF-8"
        return Sheet(file.name, kind, {}, [], [Problem("not-utf-8", file.name, found, "allowed: UTF-8", step)])
    separator = separator_of(text, kind)
    lines: list[list[str]] = []
    try:
        lines.extend(csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True))
    except csv.Error as error:
        where = f"{file.name} row {len(lines) + 1}"
        problem = Problem(
            "row-torn", where, f"the row cannot be read ({error})", 'allowed: a quote inside quotes as ""'
        )
        return Sheet(file.name, kind, {}, [], [problem])
    return read_sheet(file.name, kind, lines, guarded=True, decimal_comma=separator != ",")


def separator_of(text: str, kind: Any) -> str:
    """The sign that cuts the header row into the most titles that are known."""
    header = text.partition("\n")[0]
    titles = titles_of(kind)
    return max(
        SEPARATORS, key=lambda sign: sum(folded_title(cell.strip('" \r')) in titles for cell in header.split(sign))
    )
