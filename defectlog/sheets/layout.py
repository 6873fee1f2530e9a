"""Where the table stands in a sheet: under which title rows, above which totals, with which cells left to be filled."""

import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from defectlog.records.fields import fields_of
from defectlog.sheets.columns import Column, meaning_of
from defectlog.sheets.told import LeftOut, Told

# A title, a shop's name, a date and an empty row or two; a table that begins lower is not looked for.
TITLE_ROWS = 20
TOTAL = re.compile(r"(?:grand |sub[- ]?)?totals?:?|sum:?|averages?:?|avg\.?:?|mean:?|count:?", re.IGNORECASE)


@dataclass(slots=True)
class Laid:
    """`lines` are the rows under the header as text, `numbers` their numbers as a spreadsheet shows them."""

    header_row: int
    header: Sequence[str]
    numbers: list[int]
    lines: list[Sequence[str]]
    left_out: list[LeftOut] = field(default_factory=list)
    said: list[str] = field(default_factory=list)


def laid_out(name: str, kind: Any, lines: Sequence[Sequence[str]], told: Told) -> Laid:
    """The header is the row of the first twenty in which most titles are known, the first of these."""
    place = header_place(kind, lines, told)
    numbers = [number for number, line in enumerate(lines[place + 1 :], place + 2) if any(map(str.strip, line))]
    laid = Laid(place + 1, lines[place], numbers, [lines[number - 1] for number in numbers])
    above = [line for line in lines[:place] if any(map(str.strip, line))]
    if above:
        first = " ".join(" ".join(above[0]).split())[:60]
        laid.said.append(f"{name}: the titles stand in row {place + 1}; above them, not read: {first!r}")
    leave_out_totals(name, laid)
    return laid


def header_place(kind: Any, lines: Sequence[Sequence[str]], told: Told) -> int:
    known = [sum(meaning_of(kind, cell, told) is not None for cell in line) for line in lines[:TITLE_ROWS]]
    return known.index(max(known))


def leave_out_totals(name: str, laid: Laid) -> None:
    """Rows at the end that begin with "Total": said, not taken. Anywhere else they are rows like any other."""
    while laid.lines:
        first = next(cell.strip() for cell in laid.lines[-1] if cell.strip())
        if not TOTAL.fullmatch(first):
            return
        laid.left_out.insert(0, LeftOut(name, laid.numbers.pop(), f"{first!r}: a row of totals at the end"))
        laid.lines.pop()


def fill_down(name: str, laid: Laid, columns: Sequence[Column], told: Told) -> None:
    """Empty cells of the named fields take the value above, as merged cells mean it."""
    for column in columns:
        if column.spec.name not in told.fill_down:
            continue
        above, filled = "", 0
        for place, line in enumerate(laid.lines):
            cell = line[column.place] if len(line) > column.place else ""
            if cell.strip():
                above = cell
            elif above:
                laid.lines[place] = replaced(line, column.place, above)
                filled += 1
        if filled:
            laid.said.append(f"{name}: {filled} empty cells of {column.title!r} filled with the value above")


def join_times(name: str, kind: Any, laid: Laid, columns: Sequence[Column]) -> None:
    """A column "time" beside a column that holds days: 14:20 joins 2026-03-09."""
    if any(spec.name == "time" for spec in fields_of(kind)):
        return
    clock = clock_place(laid.header)
    day = next((column for column in columns if column.spec.holds == "moment"), None)
    if clock is None or day is None:
        return
    for place, line in enumerate(laid.lines):
        hour = line[clock].strip() if len(line) > clock else ""
        date = line[day.place].strip() if len(line) > day.place else ""
        if hour and date and ":" not in date:
            laid.lines[place] = replaced(line, day.place, f"{date} {hour}")
    laid.said.append(f"{name}: the column {laid.header[clock]!r} is the time of day of {day.title!r}")


def clock_place(header: Sequence[str]) -> int | None:
    return next((place for place, title in enumerate(header) if title.strip().casefold() == "time"), None)


def replaced(line: Sequence[str], place: int, cell: str) -> list[str]:
    longer = [*line, *[""] * (place + 1 - len(line))]
    longer[place] = cell
    return longer
