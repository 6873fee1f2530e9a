"""Rows of the book: found by what names them, and looked after before they are changed."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any, Generic, TypeVar

from defectlog.book.near import not_found
from defectlog.book.open import Book
from defectlog.book.tables import BY_NAME, Table, quoted, record_from, select, table_of
from defectlog.errors import Ambiguous, Problem

R = TypeVar("R")
# What names a record: "M-231"; ("P-104", "B") or "P-104" for a card; the row's id for findings, verdicts, remedies.
Key = str | int | tuple[str, str]
SHOWN = 3


@dataclass(frozen=True, slots=True)
class Stored(Generic[R]):
    """A record of the book with its row id, which names it where nothing else does (a finding)."""

    row: int
    record: R


def key_condition(table: Table) -> str:
    """SQL that is true for the live row of a key; a card without a revision is revision A."""
    if table.name == "pattern":
        return "t.pattern = ? AND coalesce(t.revision, 'A') = ? AND t.withdrawn_by IS NULL"
    return f"t.{quoted(table.key[0])} = ? AND t.withdrawn_by IS NULL"


def key_values(table: Table, record: Any) -> tuple[str, ...]:
    if table.name == "pattern":
        return record.pattern, record.revision or "A"
    return tuple(getattr(record, name) for name in table.key)


def label(table: Table, record: Any) -> str:
    """How a record is called in messages: "mould M-231", "pattern P-104 B", "finding on M-231"."""
    if table.key:
        return " ".join([table.name, *key_values(table, record)])
    return f"{table.name} on {record.mould if table.name == 'finding' else record.pattern}"


def row_label(book: Book, table: Table, row: int) -> str:
    """The label of a row, withdrawn or not."""
    values = book.row(f"{select(table)} WHERE t.id = ?", (row,))
    if values is None:
        return f"{table.name} {row}"
    name = label(table, record_from(table, values[1:]))
    return name if table.key else f"{name} (no. {row})"


def fetch(book: Book, table: Table, key: Key) -> tuple[int, Any]:
    """The live row that `key` names and its record. Raises NotFound, or Ambiguous for a pattern of several cards."""
    if isinstance(key, int):
        found = book.rows(f"{select(table)} WHERE t.id = ? AND t.withdrawn_by IS NULL", (key,))
    elif table.name == "pattern" and isinstance(key, str):
        found = book.rows(f"{select(table)} WHERE t.pattern = ? AND t.withdrawn_by IS NULL", (key,))
    else:
        values = key if isinstance(key, tuple) else (key,)
        found = book.rows(f"{select(table)} WHERE {key_condition(table)}", values)
    if not found:
        raise not_found(book, table, " ".join(key) if isinstance(key, tuple) else str(key))
    if len(found) > 1:
        has = ", ".join(str(row[2] or "A") for row in found)
        said = f"pattern {key} has several revisions"
        raise Ambiguous(
            Problem("several-revisions", f"pattern {key}", said, f"on record: {has}", "name the revision too")
        )
    return found[0][0], record_from(table, found[0][1:])


def row_of(book: Book, table: Table, key: Sequence[str]) -> int | None:
    """The id of the live row of a whole key, or None."""
    row: int | None = book.value(f"SELECT t.id FROM {table.name} t WHERE {key_condition(table)}", key)
    return row


def key_taken(book: Book, table: Table, record: Any, where: str, own: int | None = None) -> list[Problem]:
    if not table.key:
        return []
    row = row_of(book, table, key_values(table, record))
    if row is None or row == own:
        return []
    name = " ".join(key_values(table, record))
    amend = f"to correct it: defectlog {table.name} amend {name}"
    return [Problem("already-there", where, f"{name} is already in the book", "each name stands once", amend)]


def linked(book: Book, table: Table, values: list[Any], where: str) -> tuple[list[Any], list[Problem]]:
    """Stored values with the names that point to other tables turned into row ids; and the names that are not there."""
    values = list(values)
    problems: list[Problem] = []
    for place, spec in enumerate(table.specs):
        target = table.links.get(spec.name)
        if target is None or values[place] is None:
            continue
        row = row_of(book, BY_NAME[target], (values[place],))
        if row is None:
            problems += not_found(book, BY_NAME[target], values[place], where).problems
        values[place] = row
    return values, problems


def pattern_unknown(book: Book, table: Table, record: Any, where: str) -> list[Problem]:
    if table.name not in ("mould", "verdict", "remedy"):
        return []
    sql = "SELECT coalesce(revision, 'A') FROM pattern WHERE pattern = ? AND withdrawn_by IS NULL"
    revisions = [row[0] for row in book.rows(sql, (record.pattern,))]
    if not revisions:
        return list(not_found(book, table_of("pattern"), record.pattern, where).problems)
    if table.name == "mould" and record.revision is not None and record.revision not in revisions:
        found = f"there is no revision {record.revision!r} of pattern {record.pattern}"
        add = f"defectlog pattern add {record.pattern} --revision {record.revision}"
        return [Problem("revision-unknown", where, found, "on record: " + ", ".join(revisions), add)]
    return []


def key_in_use(book: Book, table: Table, record: Any, amended: Any, where: str) -> list[Problem]:
    """A card's number and revision are written in moulds, verdicts and remedies: they cannot change under them."""
    if table.name != "pattern" or key_values(table, record) == key_values(table, amended):
        return []
    users = list(card_users(book, record))
    if not users:
        return []
    found = f"{label(table, record)} is used by {listed(users)}"
    return [Problem("in-use", where, found, "its number and revision can no longer change", "add a new card instead")]


def rests_on(book: Book, table: Table, row: int, record: Any) -> list[Problem]:
    """Why a row cannot be withdrawn: the live rows that point to it."""
    users = list(card_users(book, record)) if table.name == "pattern" else list(link_users(book, table, row))
    if not users:
        return []
    name = label(table, record)
    found = f"{name} is used by {listed(users)}"
    return [Problem("in-use", name, found, "allowed: what nothing rests on", "withdraw or undo those first")]


def link_users(book: Book, table: Table, row: int) -> Iterator[str]:
    for other in BY_NAME.values():
        for name, target in other.links.items():
            if target == table.name:
                column = other.column(name)
                sql = f"SELECT id FROM {other.name} WHERE {column} = ? AND withdrawn_by IS NULL LIMIT {SHOWN + 1}"
                for (user,) in book.rows(sql, (row,)):
                    yield row_label(book, other, user)


def card_users(book: Book, card: Any) -> Iterator[str]:
    """Moulds that name this very revision; or, when it is the pattern's only card, everything on the pattern."""
    revision = card.revision or "A"
    sql = "SELECT count(*) FROM pattern WHERE pattern = ? AND withdrawn_by IS NULL"
    if book.value(sql, (card.pattern,)) > 1:
        sql = f"SELECT mould FROM mould WHERE pattern = ? AND revision = ? AND withdrawn_by IS NULL LIMIT {SHOWN + 1}"
        yield from (f"mould {name}" for (name,) in book.rows(sql, (card.pattern, revision)))
        return
    for name in ("mould", "verdict", "remedy"):
        sql = f"SELECT id FROM {name} WHERE pattern = ? AND withdrawn_by IS NULL LIMIT {SHOWN + 1}"
        for (user,) in book.rows(sql, (card.pattern,)):
            yield row_label(book, BY_NAME[name], user)


def listed(names: Sequence[str]) -> str:
    more = " and more" if len(names) > SHOWN else ""
    return ", ".join(names[:SHOWN]) + more
