"""One sheet, read: columns of values as the book keeps them, and every cell that cannot be taken.

Columns are read whole, and each different text of a column is parsed once: a day's date, a pattern's number and
"scrap" stand in thousands of rows.
"""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from defectlog.book.tables import BY_KIND, Table, record_from, stored_value
from defectlog.errors import BadInput, Problem
from defectlog.records.cells import is_whole_moment, parse_cell
from defectlog.sheets.columns import Column, read_header
from defectlog.sheets.guard import unguarded

UNREADABLE = object()
DECIMAL_COMMA = re.compile(r"\s*[-+]?\d+,\d+\s*\S*")
POINT_FOR_THOUSANDS = re.compile(r"[-+]?[1-9]\d{0,2}(\.\d{3})+(?!\d)")


@dataclass(frozen=True, slots=True)
class Sheet:
    """`name` as the reader knows it ("moulds.csv"); `columns` field → stored values, links still as names;
    `numbers` the row number of each value as a spreadsheet shows it (the header is row 1)."""

    name: str
    kind: type[Any]
    columns: dict[str, list[Any]]
    numbers: list[int]
    problems: list[Problem] = field(default_factory=list)

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
        place = f"{self.name} row {self.numbers[index]}"
        return f"{place}, column {column}" if column else place


def quick_text(text: str) -> str | None:
    """A name or note with nothing in it to look at twice."""
    return text if text.isalnum() and text.isascii() else None


def quick_moment(text: str) -> str | None:
    """A moment that is written as the book writes it."""
    return text if is_whole_moment(text) else None


# Most different texts of a large sheet are of these two kinds; None sends a text the whole way round.
QUICK = {"text": quick_text, "moment": quick_moment}


class Texts(dict[str, Any]):
    """The values of one column's different texts, parsed as they are met."""

    def __init__(self, column: Column, *, guarded: bool, decimal_comma: bool) -> None:
        super().__init__()
        self.column = column
        self.guarded = guarded
        self.decimal_comma = decimal_comma and column.spec.holds == "number"
        self.bad: dict[str, tuple[Problem, ...]] = {}

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
        typed = unguarded(text) if self.guarded else text
        if self.decimal_comma:
            if POINT_FOR_THOUSANDS.match(typed.strip()):
                found = f"{text!r} could be thousands, in a sheet that writes decimals with a comma"
                raise BadInput(Problem("comma-unclear", "", found, "allowed: 1250 or 1,25"))
            typed = typed.replace(",", ".")
        return stored_value(parse_cell(self.column.spec, typed, unit=self.column.unit))


def read_sheet(name: str, kind: Any, lines: Sequence[Sequence[str]], *, guarded: bool, decimal_comma: bool) -> Sheet:
    """`lines` are all rows of the sheet as text, the header first. Problems are kept in the sheet, all of them."""
    if not lines:
        empty = Problem(
            "sheet-empty", name, "the sheet is empty: there is no header row", "the first row names the columns"
        )
        return Sheet(name, kind, {}, [], [empty])
    columns, problems = read_header(kind, lines[0], name)
    numbers = [number for number, line in enumerate(lines[1:], 2) if any(map(str.strip, line))]
    filled = [lines[number - 1] for number in numbers]
    problems += too_long(name, len(lines[0]), numbers, filled)
    sheet = Sheet(name, kind, {}, numbers, problems)
    widths = {len(line) for line in filled}
    for column in columns:
        whole = not widths or min(widths) > column.place
        cells = [line[column.place] if whole or len(line) > column.place else "" for line in filled]
        comma = decimal_comma and column.spec.holds == "number" and any(map(DECIMAL_COMMA.fullmatch, cells))
        texts = Texts(column, guarded=guarded, decimal_comma=comma)
        sheet.columns[column.spec.name] = list(map(texts.__getitem__, cells))
        problems += placed(sheet, column, texts, cells)
    return sheet


def placed(sheet: Sheet, column: Column, texts: Texts, cells: list[str]) -> list[Problem]:
    """The problems of a column's texts, one for every row they stand in."""
    if not texts.bad:
        return []
    return [
        replace(problem, where=sheet.where(index, column.title))
        for index, cell in enumerate(cells)
        for problem in texts.bad.get(cell, ())
    ]


def too_long(name: str, width: int, numbers: Sequence[int], lines: Sequence[Sequence[str]]) -> list[Problem]:
    return [
        Problem(
            "row-too-long",
            f"{name} row {number}",
            f"{line[width:][0]!r} stands behind the last column",
            "a text with the separator in it stands in quotes",
        )
        for number, line in zip(numbers, lines, strict=True)
        if len(line) > width and any(map(str.strip, line[width:]))
    ]
