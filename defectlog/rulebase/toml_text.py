"""Rows of a rule file written as TOML, and put into a file that a person keeps: everything else in it stays as it is.

The writing covers what a row needs: texts, numbers and small tables of texts. The file is edited as text, because
its comments are the shop's own; what comes out is read again, and refused unless it says what it should.
"""

import math
import re
import tomllib
from collections.abc import Mapping
from typing import Any

Value = str | float | Mapping[str, str]
BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")
SHORT_ESCAPES = {'"': '\\"', "\\": "\\\\", "\b": "\\b", "\t": "\\t", "\n": "\\n", "\f": "\\f", "\r": "\\r"}
LINE = re.compile("[^\n]*\n?")


class CannotEdit(ValueError):
    """The file is laid out in a way that a row cannot safely be put into."""


def quoted(text: str) -> str:
    """A basic string of TOML 1.0. Control and direction characters are escaped; raises ValueError for half a pair."""
    return '"' + "".join(escaped(character) for character in text) + '"'


def escaped(character: str) -> str:
    if character in SHORT_ESCAPES:
        return SHORT_ESCAPES[character]
    if "\ud800" <= character <= "\udfff":
        raise ValueError("a surrogate alone is no character")
    if character.isprintable():
        return character
    code = ord(character)
    return f"\\u{code:04X}" if code <= 0xFFFF else f"\\U{code:08X}"


def number_text(value: float) -> str:
    """The shortest decimal that reads back as the same float. Raises ValueError for what is not finite."""
    if not math.isfinite(value):
        raise ValueError("only finite numbers")
    return repr(float(value))


def key_text(key: str) -> str:
    return key if BARE_KEY.fullmatch(key) else quoted(key)


def value_text(value: Value) -> str:
    if isinstance(value, str):
        return quoted(value)
    if isinstance(value, Mapping):
        inner = ", ".join(f"{key_text(key)} = {quoted(text)}" for key, text in value.items())
        return f"{{ {inner} }}" if inner else "{}"
    return number_text(value)


def row_text(table: str, row: Mapping[str, Value]) -> str:
    """`[[table]]` and its keys, one a line, in the order given."""
    lines = [f"[[{key_text(table)}]]", *(f"{key_text(key)} = {value_text(value)}" for key, value in row.items())]
    return "\n".join(lines) + "\n"


def with_row(content: str, table: str, row: Mapping[str, Value], remark: str = "") -> str:
    """`content` with `row` in the place of the row of its id, or behind everything else.

    What a row replaces stays above it as a comment that begins with `remark`. Raises CannotEdit; the content must be
    readable TOML.
    """
    new = row_text(table, row)
    wanted = [dict(row) if old.get("id") == row["id"] else old for old in rows_of(content, table)]
    if not any(old.get("id") == row["id"] for old in rows_of(content, table)):
        wanted.append(dict(row))
        edited = joined(content, new)
    else:
        start, end = place_of(content, table, str(row["id"]))
        lines = lines_of(content)
        old_lines = as_comment("".join(lines[start:end]), remark)
        edited = "".join([*lines[:start], old_lines, new, *lines[end:]])
    return checked(content, edited, table, wanted)


def without_row(content: str, table: str, id: str, remark: str = "") -> str:
    """`content` with the row of this id turned into a comment. Raises CannotEdit."""
    start, end = place_of(content, table, id)
    lines = lines_of(content)
    edited = "".join([*lines[:start], as_comment("".join(lines[start:end]), remark), *lines[end:]])
    return checked(content, edited, table, [old for old in rows_of(content, table) if old.get("id") != id])


def lines_of(content: str) -> list[str]:
    """With their ends; a line ends at a line feed only, as TOML has it."""
    return [line for line in LINE.findall(content) if line]


def rows_of(content: str, table: str) -> list[dict[str, Any]]:
    rows = tomllib.loads(content).get(table, [])
    if not isinstance(rows, list):
        raise CannotEdit(f"{table} is no list of tables")
    return rows


def joined(content: str, row: str) -> str:
    if not content.strip():
        return content + row
    return content + ("" if content.endswith("\n") else "\n") + "\n" + row


def place_of(content: str, table: str, id: str) -> tuple[int, int]:
    """First line of the row's header, and the line after its last key; comments and blanks behind it stay out."""
    numbers = [number for number, row in enumerate(rows_of(content, table)) if row.get("id") == id]
    lines = lines_of(content)
    header = re.compile(rf"\s*\[\[\s*{re.escape(key_text(table))}\s*\]\]")
    headers = [number for number, line in enumerate(lines) if header.match(line)]
    if len(numbers) != 1 or numbers[0] >= len(headers):
        raise CannotEdit(f"the row {id!r} could not be found as [[{table}]]")
    start = headers[numbers[0]]
    end = next((number for number in headers if number > start), len(lines))
    while end > start + 1 and (not lines[end - 1].strip() or lines[end - 1].lstrip().startswith("#")):
        end -= 1
    return start, end


def as_comment(block: str, remark: str) -> str:
    said = [f"# {' '.join(line.split())}" for line in [remark] if line]
    return "\n".join([*said, *(f"# {line}".rstrip() for line in block.splitlines())]) + "\n"


def checked(before: str, after: str, table: str, wanted: list[dict[str, Any]]) -> str:
    """`after`, once it is certain that it says what was wanted and that nothing else in the file has changed."""
    try:
        read = tomllib.loads(after)
        rest = tomllib.loads(before)
    except tomllib.TOMLDecodeError as error:
        raise CannotEdit(str(error)) from None
    rest.pop(table, None)
    if read.pop(table, []) != wanted or read != rest:
        raise CannotEdit(f"its [[{table}]] rows are laid out in a way that cannot be changed safely")
    return after
