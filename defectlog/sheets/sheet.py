"""One sheet, read: columns of values as the book keeps them, and every cell that cannot be taken.

Columns are read whole, and each different text of a column is parsed once: a day's date, a pattern's number and
"scrap" stand in thousands of rows.
"""

import re
from bisect import bisect_left
from collections.abc import Container, Iterator, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from defectlog.book.progress import Tell, quietly
from defectlog.book.tables import BY_KIND, Table, record_from, stored_value
from defectlog.errors import BadInput, Problem
from defectlog.records.cells import LONGEST_TEXT, is_whole_moment, parse_cell
from defectlog.records.fields import fields_of
from defectlog.sheets.columns import Column, read_header
from defectlog.sheets.days import iso_of
from defectlog.sheets.guard import unguarded
from defectlog.sheets.layout import fill_down, join_times, laid_out
from defectlog.sheets.told import NOTHING, LeftOut, Told

MEND = "put it right in the sheet and read it in again"
UNREADABLE = object()
DECIMAL_COMMA = re.compile(r"\s*[-+]?\d+,\d+\s*\S*")
# What people write into a cell for what they do not know. In a text it is text.
NOT_KNOWN = frozenset({"-", "--", "–", "—", "?", "??", "n/a", "na", "n.a.", "unknown", "not known"})
AT_ROW = re.compile(r"(?P<name>.*) row (?P<row>\d+)(?:, column .*)?", re.DOTALL)
POINT_FOR_THOUSANDS = re.compile(r"[-+]?[1-9]\d{0,2}(\.\d{3})+(?!\d)")


@dataclass(frozen=True, slots=True)
class Sheet:
    """`name` as the reader knows it ("moulds.csv"); `columns` field → stored values, links still as names;
    `numbers` the row number of each value as a spreadsheet shows it.

    `said` are things taken in another way than they are written, `left_out` rows that are no records. `header` and
    `cells` are as they were written, and only kept when that was asked for. `parts` of a sheet joined from several:
    the index at which each begins, and its name.
    """

    name: str
    kind: type[Any]
    columns: dict[str, list[Any]]
    numbers: list[int]
    problems: list[Problem] = field(default_factory=list)
    said: list[str] = field(default_factory=list)
    left_out: list[LeftOut] = field(default_factory=list)
    header: Sequence[str] = ()
    cells: Sequence[Sequence[str]] = ()
    parts: tuple[tuple[int, str], ...] = ()

    @property
    def table(self) -> Table:
        return BY_KIND[self.kind]

    def __len__(self) -> int:
        return len(self.numbers)

    def rows(self) -> Iterator[tuple[Any, ...]]:
        """Stored values in the order of the fields; a column that the sheet has not is None throughout."""
        nothing = [None] * len(self)
        return zip(*(self.columns.get(spec.name, nothing) for spec in self.table.specs), strict=True)

    def records(self) -> list[Any]:
        """Only for a sheet without problems."""
        return [record_from(self.table, row) for row in self.rows()]

    def where(self, index: int, column: str = "") -> str:
        place = f"{self.name_at(index)} row {self.numbers[index]}"
        return f"{place}, column {column}" if column else place

    def name_at(self, index: int) -> str:
        """The sheet that a row came from."""
        return next((name for start, name in reversed(self.parts) if start <= index), self.name)

    def index_of(self, problem: Problem) -> int | None:
        """The row that a problem is about; None for one of the header or of the whole sheet. Undoes `where`."""
        found = AT_ROW.fullmatch(problem.where)
        return None if found is None else self.indexes().get((found["name"], int(found["row"])))

    def indexes(self) -> dict[tuple[str, int], int]:
        return {(self.name_at(index), number): index for index, number in enumerate(self.numbers)}

    def without(self, indexes: Container[int]) -> "Sheet":
        """The same sheet with some rows taken out, and their problems with them."""
        kept = [index for index in range(len(self)) if index not in indexes]
        parts = tuple((bisect_left(kept, start), name) for start, name in self.parts)
        return replace(
            self,
            columns={name: [values[index] for index in kept] for name, values in self.columns.items()},
            numbers=[self.numbers[index] for index in kept],
            problems=[problem for problem in self.problems if self.index_of(problem) not in indexes],
            cells=[self.cells[index] for index in kept] if self.cells else (),
            parts=parts,
        )


def quick_text(text: str) -> str | None:
    """A name or note with nothing in it to look at twice: no outer blank, no guard, nothing that cannot be seen."""
    plain = text.isascii() and text.isprintable() and len(text) <= LONGEST_TEXT
    return text if plain and text and text[0] not in " '" and text[-1] != " " else None


def quick_moment(text: str) -> str | None:
    """A moment that is written as the book writes it."""
    return text if is_whole_moment(text) else None


# Most different texts of a large sheet are of these two kinds; None sends a text the whole way round.
QUICK = {"text": quick_text, "moment": quick_moment}


class Texts(dict[str, Any]):
    """The values of one column's different texts, parsed as they are met."""

    def __init__(self, column: Column, *, guarded: bool, decimal_comma: bool, dates: str = "") -> None:
        super().__init__()
        self.column = column
        self.guarded = guarded
        self.decimal_comma = decimal_comma and column.spec.holds == "number"
        self.dates = dates
        self.bad: dict[str, tuple[Problem, ...]] = {}
        self.not_known: set[str] = set()
        self.day_number = ""

    def __missing__(self, text: str) -> Any:
        quick = QUICK.get(self.column.spec.holds)
        value = quick(text) if quick is not None else None
        if value is None:
            value = self.with_care(text)
        self[text] = value
        return value

    def with_care(self, text: str) -> Any:
        try:
            return self.parse(text)
        except BadInput as error:
            self.bad[text] = error.problems
            return UNREADABLE

    def parse(self, text: str) -> Any:
        spec = self.column.spec
        typed = unguarded(text) if self.guarded else text
        if spec.holds != "text" and not spec.required and typed.strip().casefold() in NOT_KNOWN:
            self.not_known.add(text)
            return None
        if spec.holds in ("moment", "day"):
            typed = self.day(typed)
        elif self.decimal_comma:
            if POINT_FOR_THOUSANDS.match(typed.strip()):
                found = f"{text!r} could be thousands, in a sheet that writes decimals with a comma"
                step = "write it without a sign for the thousands"
                raise BadInput(Problem("comma-unclear", "", found, "allowed: 1250 or 1,25", step))
            typed = typed.replace(",", ".")
        return stored_value(parse_cell(spec, typed, unit=self.column.unit))

    def day(self, typed: str) -> str:
        written = iso_of(typed, self.dates)
        if typed.strip().isdigit() and written != typed.strip():
            self.day_number = f"{typed.strip()} is read as {written}, the day number of a spreadsheet"
        # A day with a midnight that the spreadsheet added is a day.
        return written.removesuffix(" 00:00:00") if self.column.spec.holds == "day" else written


def read_sheet(
    name: str,
    kind: Any,
    lines: Sequence[Sequence[str]],
    *,
    guarded: bool,
    decimal_comma: bool,
    told: Told = NOTHING,
    tell: Tell = quietly,
) -> Sheet:
    """`lines` are all rows of the sheet as text. Problems are kept in the sheet, all of them."""
    if not any(any(map(str.strip, line)) for line in lines):
        found = "the sheet is empty: there is no header row"
        step = f"begin it with: {','.join(spec.name for spec in fields_of(kind)[:4])}"
        return Sheet(name, kind, {}, [], [Problem("sheet-empty", name, found, "the first row names the columns", step)])
    laid = laid_out(name, kind, lines, told)
    columns, problems, said = read_header(kind, laid.header, name, row=laid.header_row, told=told)
    if told.fill_down:
        fill_down(name, laid, columns, told)
    join_times(name, kind, laid, columns)
    filled = laid.lines
    problems += too_long(name, len(laid.header), laid.numbers, filled)
    sheet = Sheet(name, kind, {}, laid.numbers, problems, laid.said + said, laid.left_out)
    if told.keep_cells:
        sheet = replace(sheet, header=laid.header, cells=filled)
    widths = {len(line) for line in filled}
    for number, column in enumerate(columns):
        tell(f"reading {name}", number, len(columns))
        whole = not widths or min(widths) > column.place
        cells = [line[column.place] if whole or len(line) > column.place else "" for line in filled]
        comma = decimal_comma and column.spec.holds == "number" and any(map(DECIMAL_COMMA.fullmatch, cells))
        texts = Texts(column, guarded=guarded, decimal_comma=comma, dates=told.dates)
        sheet.columns[column.spec.name] = list(map(texts.__getitem__, cells))
        problems += placed(sheet, column, texts, cells)
        sheet.said.extend(taken_otherwise(name, column, texts, cells))
    return sheet


def taken_otherwise(name: str, column: Column, texts: Texts, cells: list[str]) -> Iterator[str]:
    """What is to be said about cells that were taken in another way than they are written."""
    for text in sorted(texts.not_known):
        yield f"{name}: {text.strip()!r} in {column.title!r} is taken as not on record ({cells.count(text)} rows)"
    if texts.day_number:
        yield f"{name}: in {column.title!r}, {texts.day_number}"


def placed(sheet: Sheet, column: Column, texts: Texts, cells: list[str]) -> list[Problem]:
    """The problems of a column's texts, one for every row they stand in."""
    if not texts.bad:
        return []
    return [
        replace(problem, where=sheet.where(index, column.title), next_step=problem.next_step or MEND)
        for index, cell in enumerate(cells)
        for problem in texts.bad.get(cell, ())
    ]


def too_long(name: str, width: int, numbers: Sequence[int], lines: Sequence[Sequence[str]]) -> list[Problem]:
    return [
        Problem(
            "row-too-long",
            f"{name} row {number}",
            f"{line[width:][0]!r} stands behind the last column",
            "allowed: as many cells as there are titles; a text with the separator in it stands in quotes",
            MEND,
        )
        for number, line in zip(numbers, lines, strict=True)
        if len(line) > width and any(map(str.strip, line[width:]))
    ]
