"""Questions about many rows at once, for imports: what is there already, and which row a name stands for."""

from collections.abc import Iterable, Iterator
from typing import Any

from defectlog.book.open import Book
from defectlog.book.tables import BY_KIND, BY_NAME, Table, quoted, select
from defectlog.records.kinds import BY_SHEET

AT_ONCE = 500  # values in one statement; SQLite before 3.32 takes 999


def chunks(values: Iterable[Any]) -> Iterator[list[Any]]:
    whole = list(values)
    return (whole[start : start + AT_ONCE] for start in range(0, len(whole), AT_ONCE))


def empty(book: Book, table: Table) -> bool:
    return book.value(f"SELECT 1 FROM {table.name} LIMIT 1") is None


def ids_of(book: Book, sheet: str, names: Iterable[str]) -> dict[str, int]:
    """Name → row id of the live rows of a kind (a pattern of several cards gives any of them)."""
    table = BY_KIND[BY_SHEET[sheet]]
    key = quoted(table.key[0])
    found: dict[str, int] = {}
    for some in chunks(names):
        marks = ", ".join("?" * len(some))
        sql = f"SELECT {key}, id FROM {table.name} WHERE {key} IN ({marks}) AND withdrawn_by IS NULL"
        found |= dict(book.rows(sql, some))
    return found


def card_revisions(book: Book) -> set[tuple[str, str]]:
    """(pattern, revision) of every live card."""
    sql = "SELECT pattern, coalesce(revision, 'A') FROM pattern WHERE withdrawn_by IS NULL"
    return {(pattern, revision) for pattern, revision in book.rows(sql)}


def keyed_rows(book: Book, table: Table, names: Iterable[str]) -> dict[tuple[Any, ...], tuple[Any, ...]]:
    """Key → (row id, stored values in the order of the fields) of the live rows with these names."""
    if empty(book, table):
        return {}
    column = quoted(table.key[0])
    found = {}
    for some in chunks(names):
        marks = ", ".join("?" * len(some))
        for row in book.rows(f"{select(table)} WHERE t.{column} IN ({marks}) AND t.withdrawn_by IS NULL", some):
            key = (row[1], row[2] or "A") if table.name == "pattern" else (row[1],)
            found[key] = row
    return found


def unkeyed_rows(book: Book, table: Table, owners: Iterable[str]) -> list[tuple[Any, ...]]:
    """(row id, stored values) of the live findings of these moulds, or verdicts or remedies of these patterns."""
    if empty(book, table):
        return []
    first = table.specs[0]
    found = []
    ids = ids_of(book, first.refers_to, owners) if first.name in table.links else {}
    for some in chunks(ids.values() if ids else owners):
        marks = ", ".join("?" * len(some))
        condition = f"t.{table.column(first.name)} IN ({marks}) AND t.withdrawn_by IS NULL"
        found += book.rows(f"{select(table)} WHERE {condition}", some)
    return found


def first_written(book: Book, table: Table, rows: Iterable[tuple[Any, ...]]) -> dict[int, tuple[Any, ...]]:
    """Of the given rows that were amended since: row id → (row id, values as they were first written)."""
    by_id = {row[0]: row for row in rows}
    if not by_id or book.value("SELECT 1 FROM change WHERE kind = ? LIMIT 1", (table.name,)) is None:
        return {}
    place = {table.column(spec.name): number for number, spec in enumerate(table.specs, 1)}
    found: dict[int, list[Any]] = {}
    for some in chunks(by_id):
        marks = ", ".join("?" * len(some))
        sql = f"SELECT row, field, was FROM change WHERE kind = ? AND row IN ({marks}) ORDER BY id DESC"
        for row, column, was in book.rows(sql, [table.name, *some]):
            if column in place:
                found.setdefault(row, list(by_id[row]))[place[column]] = named(book, table, column, was)
    return {row: tuple(values) for row, values in found.items()}


def named(book: Book, table: Table, column: str, stored: Any) -> Any:
    """What a journalled cell stood for: the name behind a link, else the value itself."""
    target = table.links.get(table.field_of(column))
    if target is None or stored is None:
        return stored
    key = quoted(BY_NAME[target].key[0])
    return book.value(f"SELECT {key} FROM {target} WHERE id = ?", (stored,))
