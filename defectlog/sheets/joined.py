"""Several sheets of one kind become one: a workbook with a tab a month, a folder with a file a line."""

from collections.abc import Sequence
from dataclasses import replace
from itertools import accumulate

from defectlog.sheets.sheet import Sheet


def joined(sheets: Sequence[Sheet]) -> Sheet:
    """The rows of all, in their order; every row still knows the sheet that it came from.

    A column that one of them has not is empty there. The cells as they were written are brought under one header.
    """
    if len(sheets) == 1:
        return sheets[0]
    names = dict.fromkeys(name for sheet in sheets for name in sheet.columns)
    starts = accumulate((len(sheet) for sheet in sheets[:-1]), initial=0)
    header = list(dict.fromkeys(title for sheet in sheets for title in sheet.header))
    return replace(
        sheets[0],
        columns={name: [value for sheet in sheets for value in column_of(sheet, name)] for name in names},
        numbers=[number for sheet in sheets for number in sheet.numbers],
        problems=[problem for sheet in sheets for problem in sheet.problems],
        said=[line for sheet in sheets for line in sheet.said],
        left_out=[row for sheet in sheets for row in sheet.left_out],
        header=header,
        cells=[under(header, sheet.header, line) for sheet in sheets for line in sheet.cells],
        parts=tuple((start, sheet.name) for start, sheet in zip(starts, sheets, strict=True)),
    )


def column_of(sheet: Sheet, name: str) -> Sequence[object]:
    return sheet.columns.get(name) or [None] * len(sheet)


def under(header: Sequence[str], own: Sequence[str], line: Sequence[str]) -> list[str]:
    cells = dict(zip(own, line, strict=False))
    return [cells.get(title, "") for title in header]
