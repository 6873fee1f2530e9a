"""The seals of the journal: each act has a digest over what it wrote and over the seal before it.

The digest is SHA-256 (FIPS 180-4), in hexadecimal, over these lines, each ended by a line feed and in JSON (RFC 8259,
no blanks, ASCII):

    the seal of the act before, or "" for the first
    the act:       [id, token, who, at, command, why, undoes]
    each run:      [kind, first row, last row], then its rows as they were added, each as an object of the columns
                   that were filled, by name; rows parted by commas
    the changes:   [kind, row, field, was, became], parted by commas

Rows as they were added are worked out from what they are now and the changes since, so a cell that was changed without
a line in the journal is found. Whoever knows this can make new seals for a whole forged book: the last seal, written
down elsewhere (`backup` prints it), tells that too.
"""

import hashlib
import json
import sqlite3
from collections.abc import Iterator, Sequence
from itertools import islice
from typing import Any

from defectlog.book.progress import Tell, quietly
from defectlog.book.tables import BY_NAME, WORKED_OUT, Table, quoted

# Columns that follow from others by a rule the file itself holds (a CHECK), and the act, which stands in the run.
NOT_SEALED = ("cast_at", "counted")
AT_ONCE = 500
in_json = json.JSONEncoder(ensure_ascii=True, separators=(",", ":"), default=repr).encode


def seal(connection: sqlite3.Connection, act: int, *, late: bool = False, tell: Tell = quietly) -> None:
    """Write the seal of an act, in its transaction, when all of it is written."""
    before = connection.execute("SELECT digest FROM chain WHERE act < ? ORDER BY act DESC LIMIT 1", (act,)).fetchone()
    digest = digest_of(connection, act, before[0] if before else "", tell)
    connection.execute("INSERT INTO chain (act, digest, late) VALUES (?, ?, ?)", (act, digest, int(late)))


def seal_older(connection: sqlite3.Connection, tell: Tell = quietly) -> None:
    """Seal every act of a book that had no seals."""
    for (act,) in connection.execute("SELECT id FROM act ORDER BY id").fetchall():
        seal(connection, act, late=True, tell=tell)


def digest_of(connection: sqlite3.Connection, act: int, before: str, tell: Tell = quietly) -> str:
    """The seal that an act must have when the one before it is `before`."""
    digest = hashlib.sha256()
    for line in lines_of(connection, act, before, tell):
        digest.update(line.encode("ascii"))
    return digest.hexdigest()


def lines_of(connection: sqlite3.Connection, act: int, before: str, tell: Tell) -> Iterator[str]:
    yield f"{before}\n"
    told = connection.execute(
        "SELECT id, token, who, at, command, why, undoes FROM act WHERE id = ?", (act,)
    ).fetchone()
    yield f"{in_json(told)}\n"
    runs = "SELECT kind, first_row, last_row FROM added WHERE act = ? ORDER BY kind, first_row"
    for kind, first, last in connection.execute(runs, (act,)).fetchall():
        yield f"{in_json([kind, first, last])}\n"
        yield from parted(rows_as_added(connection, BY_NAME[kind], first, last, tell))
    changes = "SELECT kind, row, field, was, became FROM change WHERE act = ? ORDER BY id"
    yield from parted(connection.execute(changes, (act,)))


def parted(values: Iterator[Any]) -> Iterator[str]:
    """JSON values with commas between, and a line feed after the last, a few hundred at a time."""
    comma = ""
    while some := list(islice(values, AT_ONCE)):
        yield comma + in_json(some)[1:-1]
        comma = ","
    yield "\n"


def rows_as_added(
    connection: sqlite3.Connection, table: Table, first: int, last: int, tell: Tell = quietly
) -> Iterator[dict[str, Any]]:
    """The rows from id `first` to `last`, with what was changed since turned back."""
    columns = sealed_columns(table)
    sql = f"SELECT {', '.join(map(quoted, columns))} FROM {table.name} WHERE id BETWEEN ? AND ? ORDER BY id"
    place = columns.index("id")
    for start in range(first, last + 1, AT_ONCE):
        end = min(start + AT_ONCE - 1, last)
        tell(f"seals, {table.name}", start - first, last - first + 1)
        was = first_values(connection, table, start, end)
        for values in connection.execute(sql, (start, end)).fetchall():
            row = {name: value for name, value in zip(columns, values, strict=True) if value is not None}
            yield turned_back(row, was[row["id"]]) if values[place] in was else row


def turned_back(row: dict[str, Any], was: dict[str, Any]) -> dict[str, Any]:
    whole = row | was
    return {name: whole[name] for name in sorted(whole) if whole[name] is not None}


def first_values(connection: sqlite3.Connection, table: Table, first: int, last: int) -> dict[int, dict[str, Any]]:
    """Row → column → what it held before its first change."""
    sql = "SELECT row, field, was FROM change WHERE kind = ? AND row BETWEEN ? AND ? ORDER BY id DESC"
    found: dict[int, dict[str, Any]] = {}
    for row, column, was in connection.execute(sql, (table.name, first, last)):
        found.setdefault(row, {})[column] = was
    return found


def sealed_columns(table: Table) -> Sequence[str]:
    """By name, so that a column that is put in later changes nothing where it is empty."""
    columns = {"id", "added_by", "withdrawn_by", *(table.column(spec.name) for spec in table.specs)}
    return sorted(columns | (set(WORKED_OUT.get(table.name, ())) - set(NOT_SEALED)))
