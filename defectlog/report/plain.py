"""A page as plain text of a given width: for pipes, files, tests and small terminals."""

import textwrap
import unicodedata
from collections.abc import Iterator

from defectlog.report.page import Block, Bullets, Heading, Page, Table, Text, shown

WIDTH = 80


def plain_text(page: Page, width: int = WIDTH) -> str:
    """The whole page, blocks apart by an empty line where a heading or a table begins; ends with a line end."""
    lines: list[str] = []
    for block in page:
        if lines and lines[-1] and isinstance(block, Heading | Table):
            lines.append("")
        lines.extend(block_lines(block, width))
        if isinstance(block, Table):
            lines.append("")
    while lines and not lines[-1]:
        lines.pop()
    return "\n".join(lines) + "\n" if lines else ""


def block_lines(block: Block, width: int) -> Iterator[str]:
    match block:
        case Heading(text):
            yield shown(text)
        case Text(text, _, indent, command) if command:
            yield from command_lines(shown(text), shown(command), width, " " * indent)
        case Text(text, tone, indent):
            label = "CAUTION: " if tone == "caution" else ""
            yield from wrapped(label + shown(text), width, " " * indent, " " * indent)
        case Bullets(items, mark, indent):
            for item in items:
                lead = " " * (indent + 2) + mark + " "
                yield from wrapped(shown(item), width, lead, " " * len(lead))
        case Table():
            yield from table_lines(block)


def command_lines(text: str, command: str, width: int, lead: str) -> Iterator[str]:
    """On one line where it fits, else the command on a line of its own, however long."""
    whole = f"{lead}{text} {command}" if text else lead + command
    if columns_of(whole) <= width or not text:
        yield whole
    else:
        yield from wrapped(text, width, lead, lead)
        yield f"{lead}  {command}"


def wrapped(text: str, width: int, first: str, later: str) -> list[str]:
    return textwrap.wrap(
        text, width, initial_indent=first, subsequent_indent=later, break_long_words=False, break_on_hyphens=False
    ) or [first.rstrip()]


def table_lines(table: Table) -> Iterator[str]:
    rows = [tuple(shown(cell, 60) for cell in row) for row in (table.columns, *table.rows)]
    widths = [max(columns_of(row[number]) for row in rows) for number in range(len(table.columns))]
    for index, row in enumerate(rows):
        yield "  ".join(padded(cell, widths[n], right=n in table.right) for n, cell in enumerate(row)).rstrip()
        if index == 0:
            yield "  ".join("-" * each for each in widths)


def padded(cell: str, width: int, *, right: bool) -> str:
    space = " " * (width - columns_of(cell))
    return space + cell if right else cell + space


def columns_of(text: str) -> int:
    """Terminal columns: wide East Asian characters take two, combining marks none."""
    return sum(
        0 if unicodedata.combining(character) else 2 if unicodedata.east_asian_width(character) in "WF" else 1
        for character in text
    )
