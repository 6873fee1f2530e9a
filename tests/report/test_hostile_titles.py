"""A place of the shop's own stands above a column: no title acts on a terminal, in plain text or in colour."""

import io

import pytest
from rich.console import Console

from defectlog.report.coloured import draw
from defectlog.report.page import table
from defectlog.report.plain import plain_text
from tests.hostile.trying import terminal_leak

PAGE = (table(["impression", "cope\u202eface", "🏭\u200d🏭", "\x1b[2J"], [["1", "2", "3", "4"]]),)


def plain() -> str:
    return plain_text(PAGE)


def coloured() -> str:
    out = io.StringIO()
    draw(PAGE, Console(file=out, force_terminal=True, markup=False, highlight=False, emoji=False))
    return out.getvalue()


@pytest.mark.parametrize("way", [plain, coloured], ids=lambda way: way.__name__)
def test_a_title_is_shown_and_not_obeyed(way) -> None:
    assert "impression" in way()
    assert terminal_leak(way(), ours=way is coloured) == ""
