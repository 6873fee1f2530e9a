"""A folder of CSV files, one file of it, or a workbook: sheets and all their problems in one pass."""

import csv
import io
from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import islice
from pathlib import Path
from typing import Any

from defectlog.book.progress import Tell, quietly
from defectlog.errors import BadInput, NotFound, Problem
from defectlog.records.kinds import BY_SHEET
from defectlog.sheets.columns import meaning_of
from defectlog.sheets.encodings import text_of
from defectlog.sheets.joined import joined
from defectlog.sheets.layout import TITLE_ROWS
from defectlog.sheets.sheet import Sheet, read_sheet
from defectlog.sheets.titles import kind_named, kind_of_header
from defectlog.sheets.told import NOTHING, LeftOut, Told

SEPARATORS = ",;\t"
SHEETS = ", ".join(f"{name}.csv" for name in BY_SHEET)
WORKBOOKS = (".xlsx", ".xlsm", ".xls", ".ods")
# A cell longer than any record may hold is still read, so that the message can say what is wrong with it.
LONGEST_CELL = 64_000_000
HEADER_LINES = 40
ROWS_AT_ONCE = 20_000


@dataclass(frozen=True, slots=True)
class Folder:
    """What was read: `sheets` by kind in the order in which they refer to each other, files that were `ignored`, and
    what is to be `said` about how it was read."""

    sheets: dict[str, Sheet]
    ignored: tuple[str, ...] = ()
    problems: list[Problem] = field(default_factory=list)
    said: tuple[str, ...] = ()

    def records(self) -> dict[str, list[Any]]:
        """Records by kind; only when there are no problems."""
        return {name: sheet.records() for name, sheet in self.sheets.items()}

    def left_out(self) -> list[LeftOut]:
        return [row for sheet in self.sheets.values() for row in sheet.left_out]


@dataclass(frozen=True, slots=True)
class Found:
    """A sheet that was found: its `name` in messages, and its rows once it is known what it holds."""

    name: str
    title: str
    lines: Sequence[Sequence[str]]
    guarded: bool
    separator: str = ","
    said: str = ""


def read_path(path: Path | str, told: Told = NOTHING, tell: Tell = quietly) -> Folder:
    """A folder, one CSV file, or a workbook. Raises NotFound or BadInput when it is none of them."""
    path = Path(path)
    if not is_there(path):
        step = "look at the path: it is read from the folder you are in"
        allowed = f"allowed: a folder with {SHEETS}"
        raise NotFound(Problem("path-missing", str(path)[:200], "there is nothing here", allowed, step))
    if path.is_dir():
        return read_folder(path, told, tell)
    if path.is_file() and path.suffix.casefold() in WORKBOOKS:
        from defectlog.sheets.workbook import workbook_rows  # its reader is an optional extra

        tell(f"reading {path.name}", 0, 0)
        found = [Found(f"{path.name} {title}", title, rows, False) for title, rows in workbook_rows(path).items()]
        return gathered(found, told, path.name, tell=tell)
    if path.is_file() and path.suffix.casefold() == ".csv":
        return read_files([path], told, tell=tell)
    allowed = f"allowed: a folder with {SHEETS}; one of these; or a workbook (.xlsx)"
    step = "save the sheet as CSV UTF-8 or as .xlsx"
    raise BadInput(Problem("not-a-sheet", str(path), "this is neither a folder nor a sheet", allowed, step))


def is_there(path: Path) -> bool:
    """False as well for what can be no path: too long, or with a zero byte."""
    try:
        return path.exists()
    except (OSError, ValueError):
        return False


def read_folder(path: Path, told: Told = NOTHING, tell: Tell = quietly) -> Folder:
    """Every sheet of a folder; other files are left alone. Raises BadInput when there is no sheet in it, or when one
    of them is a link to a file outside."""
    try:
        files = sorted(item for item in path.iterdir() if item.suffix.casefold() == ".csv")
    except OSError as error:
        raise unreadable(path, error) from None
    inside = path.resolve()
    outside = [file for file in files if not file.resolve().is_relative_to(inside)]
    if outside:
        allowed = "allowed: sheets that lie in the folder itself"
        raise BadInput(
            Problem("link-outside", str(file), "this is a link to a file in another folder", allowed, "copy the file")
            for file in outside
        )
    return read_files([file for file in files if file.is_file()], told, str(path), tell)


def read_files(files: Sequence[Path], told: Told = NOTHING, where: str = "", tell: Tell = quietly) -> Folder:
    found: list[Found] = []
    problems: list[Problem] = []
    for file in files:
        try:
            found.append(found_csv(file, None, told, tell))
        except BadInput as error:
            problems += error.problems
    if not found and not problems:
        raise no_sheets(where, "there is no sheet here")
    return gathered(found, told, where or str(files[0]), problems, tell)


def gathered(
    found: Sequence[Found], told: Told, where: str, problems: Sequence[Problem] = (), tell: Tell = quietly
) -> Folder:
    """Sheets by kind; those of the same kind are joined. Raises BadInput when none is a sheet of ours."""
    by_kind: dict[str, list[Sheet]] = {}
    said, ignored, unclear = [], [], []
    for item in found:
        kind, why = kind_of(item, told)
        unclear += [why] if isinstance(why, Problem) else []
        if not kind:
            ignored.append(item.title)
            continue
        said += [line for line in (item.said, why) if isinstance(line, str) and line]
        by_kind.setdefault(kind, []).append(sheet_of(item, BY_SHEET[kind], told, tell))
    sheets = {name: joined(by_kind[name]) for name in BY_SHEET if name in by_kind}
    if not sheets and not problems and not unclear:
        names = ", ".join(ignored)
        raise no_sheets(where, f"there is no sheet of ours here, only {names}" if names else "there is no sheet here")
    everything = [*problems, *unclear, *(problem for sheet in sheets.values() for problem in sheet.problems)]
    said += [line for sheet in sheets.values() for line in sheet.said]
    return Folder(sheets, tuple(ignored), everything, tuple(said))


def kind_of(item: Found, told: Told) -> tuple[str, str | Problem]:
    """The kind of a sheet by what was told, by its name, or by its titles, and what to say about it."""
    stem = item.title.removesuffix(".csv").removesuffix(".CSV")
    asked = told.sheets.get(stem, told.sheets.get(item.title, stem))
    if asked.casefold() in BY_SHEET:
        return asked.casefold(), ""
    if asked != stem:
        allowed = "allowed: " + ", ".join(BY_SHEET)
        found = f"{asked!r} is no kind of sheet"
        return "", Problem("kind-unknown", "--sheet", found, allowed, f"as in: --sheet '{stem}=moulds'")
    named = kind_named(stem)
    if named:
        return named, f"{item.name} is taken as {named}, by its name"
    by_titles = kind_of_header(item.lines[:TITLE_ROWS])
    if len(by_titles) == 1:
        return by_titles[0], f"{item.name} is taken as {by_titles[0]}, by its titles"
    return "", ""


def sheet_of(item: Found, kind: Any, told: Told, tell: Tell = quietly) -> Sheet:
    comma = item.guarded and item.separator != ","
    return read_sheet(item.name, kind, item.lines, guarded=item.guarded, decimal_comma=comma, told=told, tell=tell)


def no_sheets(where: str, found: str) -> BadInput:
    step = "if one of them is ours under another name: --sheet 'NAME=moulds'"
    return BadInput(Problem("no-sheets", where, found, f"allowed: {SHEETS}, or sheets of these names", step))


def read_csv(file: Path, kind: Any, told: Told = NOTHING) -> Sheet:
    """One CSV file; comma, semicolon or tab between cells, decimal point or comma."""
    try:
        return sheet_of(found_csv(file, kind, told), kind, told)
    except BadInput as error:
        return Sheet(file.name, kind, {}, [], list(error.problems))


def found_csv(file: Path, kind: Any, told: Told, tell: Tell = quietly) -> Found:
    """The rows of a file; `kind` None when it is not known yet. Raises BadInput."""
    try:
        raw = file.read_bytes()
    except OSError as error:
        raise unreadable(file, error) from None
    text, said = text_of(raw, file.name)
    separator = separator_of(text, [kind] if kind is not None else list(BY_SHEET.values()), told)
    lines: list[list[str]] = []
    csv.field_size_limit(LONGEST_CELL)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
    try:
        before = -1
        while len(lines) > before:
            before = len(lines)
            # What was read stays when a row is torn: the message counts it.
            lines.extend(islice(reader, ROWS_AT_ONCE))
            tell(f"reading {file.name}", 0, 0)
    except csv.Error as error:
        where = f"{file.name} row {len(lines) + 1}"
        found = f"the row cannot be read ({error})"
        step = "open it in a spreadsheet and save it again as CSV UTF-8"
        raise BadInput(Problem("row-torn", where, found, 'allowed: a quote inside quotes as ""', step)) from None
    return Found(file.name, file.name, lines, True, separator, said)


def unreadable(path: Path, error: OSError) -> BadInput:
    found = f"this cannot be read ({error.strerror})"
    step = "look who may read it, and whether it is open in another program"
    return BadInput(Problem("path-unreadable", str(path), found, "allowed: what you may read", step))


def separator_of(text: str, kinds: Sequence[Any], told: Told) -> str:
    """The sign that cuts one of the first rows into the most titles that are known."""
    lines = [line.split("\r")[0] for line in text[:100_000].split("\n", HEADER_LINES)[:HEADER_LINES]]

    def known(sign: str) -> int:
        rows = [[cell.strip('" ') for cell in line.split(sign)] for line in lines if line]
        return max(
            (sum(meaning_of(kind, cell, told) is not None for cell in row) for row in rows for kind in kinds), default=0
        )

    return max(SEPARATORS, key=known)
