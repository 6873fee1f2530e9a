"""A page drawn on a terminal with rich. Text is never read as markup."""

from rich.console import Console
from rich.padding import Padding
from rich.table import Table as RichTable
from rich.text import Text as RichText

from defectlog.report.page import Bullets, Heading, Page, Table, Text, shown

STYLES = {"plain": "", "strong": "bold", "quiet": "dim", "caution": "bold yellow"}


def draw(page: Page, console: Console) -> None:
    for block in page:
        match block:
            case Heading(text):
                console.print()
                console.print(RichText(shown(text), style="bold underline"))
            case Text(text, tone, indent, command) if command:
                line = RichText(f"{shown(text)} " if text else "", style=STYLES[tone])
                line.append(shown(command), style="bold cyan")
                console.print(Padding(line, (0, 0, 0, indent)), soft_wrap=True)
            case Text(text, tone, indent):
                label = "CAUTION: " if tone == "caution" else ""
                console.print(Padding(RichText(label + shown(text), style=STYLES[tone]), (0, 0, 0, indent)))
            case Bullets(items, mark, indent):
                for item in items:
                    row = RichTable.grid(padding=(0, 1, 0, 0))
                    row.add_row(RichText(" " * (indent + 2) + mark), RichText(shown(item)))
                    console.print(row)
            case Table():
                console.print(drawn_table(block))


def drawn_table(table: Table) -> RichTable:
    drawn = RichTable(box=None, pad_edge=False, header_style="bold")
    for number, name in enumerate(table.columns):
        drawn.add_column(RichText(shown(name)), justify="right" if number in table.right else "left", overflow="fold")
    for row in table.rows:
        drawn.add_row(*(RichText(shown(cell)) for cell in row))
    return drawn
