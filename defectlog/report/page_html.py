"""A page of blocks as HTML to print: the same blocks that a terminal shows."""

from collections.abc import Iterator

from defectlog.report.html import Html, bullets, data_table, element
from defectlog.report.page import Bullets, Heading, Page, Table, Text


def page_parts(page: Page) -> Iterator[Html]:
    """The first heading is the title of the page, the others its sections."""
    first = True
    for block in page:
        match block:
            case Heading(text):
                yield element("h1" if first else "h2", text)
                first = False
            case Text(text, tone, _, command):
                yield from text_parts(text, tone, command)
            case Bullets(items):
                yield bullets(items)
            case Table():
                yield data_table("", block.columns, block.rows, block.right)


def text_parts(text: str, tone: str, command: str) -> Iterator[Html]:
    """What to type next is for the terminal and is left out on paper."""
    if command or not text:
        return
    if tone == "caution":
        yield element("p", element("strong", "Caution: "), text)
    else:
        yield element("p", text, class_={"quiet": "quiet", "strong": "lead"}.get(tone))
