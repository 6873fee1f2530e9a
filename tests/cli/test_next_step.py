"""What to type next, where a problem does not say it itself."""

import pytest
import typer

from defectlog.cli.main import app
from defectlog.cli.next_step import LONGEST_LINE, next_step
from defectlog.errors import Problem

ROOT = typer.main.get_command(app)


def step(where, line, code="x", **more):
    return next_step(Problem(code, where, "wrong"), line.split(), ROOT, **more)


@pytest.mark.parametrize(
    ("where", "line", "told"),
    [
        ("--pour-c", "mould amend M-1 --pour-c hot --note x", "mould amend M-1 --pour-c … --note x"),
        ("--pour-c", "mould amend M-1 --pour-c=hot", "mould amend M-1 --pour-c=…"),
        ("--rate gold", "review --rate gold=3", "review --rate …"),
        ("--when", "rules limits set x above 4 --when a=1 --when a=2", "rules limits set x above 4 --when … --when …"),
    ],
)
def test_an_option_is_typed_again_with_its_value_left_open(where, line, told):
    assert step(where, line) == f"type again: defectlog {told}"


@pytest.mark.parametrize(
    ("line", "page"),
    [
        ("shakeout M-1 --good", "shakeout"),
        ("mould amend M-1", "mould amend"),
        ("mould zorp", "mould"),
        ("rules limits set x", "rules limits set"),
        ("why rules", "why"),
    ],
)
def test_else_the_help_page_of_just_that_part_is_named(line, page):
    assert step("mould", line) == f"to see what it takes: defectlog {page} -h"


def test_an_option_that_was_not_typed_or_a_long_line_is_not_typed_again():
    assert step("--mould", "mould amend M-1").endswith("mould amend -h")
    assert step("--note", f"mould amend M-1 --pour-c hot {'x' * LONGEST_LINE} --note y").endswith("mould amend -h")


def test_words_are_quoted_as_the_shell_wants_them():
    words = ["shakeout", "M-1", "--seen", "round holes", "--scrap", "many"]
    assert next_step(Problem("x", "--scrap", "wrong"), words, ROOT) == (
        "type again: defectlog shakeout M-1 --seen 'round holes' --scrap …"
    )


def test_files_are_put_right_where_they_lie():
    assert step("tally.csv row 3, column good", "shakeout --sheet tally.csv").startswith("put it right in the sheet")
    assert step("causes/x.toml", "why P-1", of_rules=True).endswith("defectlog rules check")
    assert "DEFECTLOG_RULES" in step("rules", "why P-1", code="rules-missing", of_rules=True)
