"""Rows written as TOML read back as they were, and a file edited by them keeps everything else."""

import tomllib

import pytest
from hypothesis import given
from hypothesis import strategies as some

from defectlog.rulebase.toml_text import CannotEdit, number_text, quoted, row_text, value_text, with_row, without_row

FILE = """\
# The shop's own limits, and why.

[[limit]]
id = "one"
value = 4.5   # measured twice
note = \"\"\"
Two lines
of a note.\"\"\"

# about the second
[[limit]]
id = "two"
value = 3
when = { alloy = "356" }
# at the end
"""


@given(some.text())
def test_any_text_reads_back_as_it_was(text: str) -> None:
    """Against the standard library's reader of TOML 1.0."""
    try:
        written = quoted(text)
    except ValueError:
        assert any("\ud800" <= character <= "\udfff" for character in text)
        return
    assert tomllib.loads(f"a = {written}")["a"] == text
    assert written.isprintable()


@given(some.floats(allow_nan=False, allow_infinity=False))
def test_any_finite_number_reads_back_as_it_was(value: float) -> None:
    assert tomllib.loads(f"a = {number_text(value)}")["a"] == value


@pytest.mark.parametrize("value", [float("nan"), float("inf"), -float("inf")])
def test_what_is_no_number_is_not_written(value: float) -> None:
    with pytest.raises(ValueError, match="finite"):
        number_text(value)


@given(some.dictionaries(some.text(some.characters(exclude_categories=["Cs"])), some.just("x")))
def test_a_small_table_reads_back_whatever_its_keys(table: dict[str, str]) -> None:
    assert tomllib.loads(f"a = {value_text(table)}")["a"] == table


def test_quotes_and_backslashes_cannot_leave_the_string() -> None:
    """Escapes as in the TOML 1.0 specification, section String."""
    assert quoted('a "b" \\ c\n[[limit]]\x1b') == '"a \\"b\\" \\\\ c\\n[[limit]]\\u001B"'


def test_a_row_is_put_behind_everything_else() -> None:
    after = with_row(FILE, "limit", {"id": "three", "value": 2.5})
    assert after.startswith(FILE)
    assert after.endswith('# at the end\n\n[[limit]]\nid = "three"\nvalue = 2.5\n')
    assert [row["id"] for row in tomllib.loads(after)["limit"]] == ["one", "two", "three"]


def test_a_row_of_the_same_id_is_replaced_and_stays_as_a_comment() -> None:
    after = with_row(FILE, "limit", {"id": "two", "value": 9.0}, "Until today:")
    assert [row["value"] for row in tomllib.loads(after)["limit"]] == [4.5, 9.0]
    assert '# about the second\n# Until today:\n# [[limit]]\n# id = "two"\n# value = 3\n' in after
    assert after.endswith('[[limit]]\nid = "two"\nvalue = 9.0\n# at the end\n')


def test_a_row_is_taken_out_and_stays_as_a_comment() -> None:
    after = without_row(FILE, "limit", "two", "Taken out:")
    assert [row["id"] for row in tomllib.loads(after)["limit"]] == ["one"]
    assert "# Taken out:\n# [[limit]]" in after


def test_a_text_that_looks_like_a_header_is_not_cut_through() -> None:
    """The header inside the note makes the place of the second row doubtful: refused, not torn."""
    tricky = FILE.replace("of a note.", "[[limit]]")
    for edit in (
        lambda: with_row(tricky, "limit", {"id": "two", "value": 1.0}),
        lambda: without_row(tricky, "limit", "two"),
    ):
        with pytest.raises(CannotEdit):
            edit()
    assert len(tomllib.loads(with_row(tricky, "limit", {"id": "three", "value": 1.0}))["limit"]) == 3


def test_a_row_that_is_not_there_is_not_taken_out() -> None:
    with pytest.raises(CannotEdit, match="could not be found"):
        without_row(FILE, "limit", "three")


def test_rows_in_a_list_on_one_line_are_refused_and_not_torn() -> None:
    line = 'limit = [{ id = "one", value = 4.5 }]\n'
    with pytest.raises(CannotEdit):
        with_row(line, "limit", {"id": "one", "value": 1.0})
    with pytest.raises(CannotEdit):
        with_row(line, "limit", {"id": "two", "value": 1.0})


def test_an_empty_file_gets_its_first_row() -> None:
    assert with_row("", "limit", {"id": "one", "value": 1.0}) == row_text("limit", {"id": "one", "value": 1.0})
    assert with_row("# only words", "limit", {"id": "one"}) == '# only words\n\n[[limit]]\nid = "one"\n'


def test_a_file_with_windows_line_ends_can_be_edited() -> None:
    after = with_row(FILE.replace("\n", "\r\n"), "limit", {"id": "three", "value": 2.5})
    assert [row["id"] for row in tomllib.loads(after)["limit"]] == ["one", "two", "three"]


def test_what_a_remark_says_cannot_leave_the_comment() -> None:
    after = with_row(FILE, "limit", {"id": "two", "value": 9.0}, 'x\n[[limit]]\nid = "four"')
    assert [row["id"] for row in tomllib.loads(after)["limit"]] == ["one", "two"]
