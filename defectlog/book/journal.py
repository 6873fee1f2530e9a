"""Reading the journal: the acts, and the life of one record."""

from dataclasses import dataclass
from typing import Any

from defectlog.book.near import not_found
from defectlog.book.open import Book
from defectlog.book.tables import BY_NAME, WORKED_OUT, Table, quoted, table_of
from defectlog.errors import NotFound, Problem


@dataclass(frozen=True, slots=True)
class ActLine:
    """One act: `at` is UTC, `command` as typed; `undoes` and `undone_by` are acts; `added` rows and `changed` cells."""

    id: int
    at: str
    who: str
    command: str
    why: str
    undoes: int | None
    undone_by: int | None
    added: int
    changed: int


@dataclass(frozen=True, slots=True)
class Entry:
    """One thing that befell a record. `what` is added, amended, followed (worked out anew from the pattern card),
    withdrawn or put back; `was` and `became` are what the cell held, names for links."""

    act: ActLine
    row: int
    what: str
    field: str = ""
    was: Any = None
    became: Any = None


def act_line(book: Book, act: int) -> ActLine:
    """Raises NotFound."""
    row = book.row("SELECT id, at, who, command, why, undoes FROM act WHERE id = ?", (act,))
    if row is None:
        said = f"there is no act {act}"
        last = book.value("SELECT max(id) FROM act")
        allowed = f"allowed: 1 to {last}" if last else "no act is in the book yet"
        raise NotFound(Problem("act-unknown", "undo", said, allowed, "to see the acts: defectlog history"))
    added = book.value("SELECT coalesce(sum(last_row - first_row + 1), 0) FROM added WHERE act = ?", (act,))
    changed = book.value("SELECT count(*) FROM change WHERE act = ?", (act,))
    number, at, who, command, why, undoes = row
    return ActLine(number, at, who or "", command, why or "", undoes, undone_by(book, act), added, changed)


def undone_by(book: Book, act: int) -> int | None:
    """The act that took `act` back and was not taken back itself."""
    for (later,) in book.rows("SELECT id FROM act WHERE undoes = ? ORDER BY id DESC", (act,)):
        if undone_by(book, later) is None:
            return int(later)
    return None


def names_added(book: Book, act: int, kind: type[Any] | str) -> tuple[str, ...]:
    """The names that the rows of a kind have now which an act added, withdrawn or not, in the order of the book."""
    table = table_of(kind)
    sql = (
        f"SELECT t.{quoted(table.key[0])} FROM added a JOIN {table.name} t ON t.id BETWEEN a.first_row AND a.last_row"
        " WHERE a.act = ? AND a.kind = ? ORDER BY t.id"
    )
    return tuple(name for (name,) in book.rows(sql, (act, table.name)))


def last_acts(book: Book, limit: int = 20) -> list[ActLine]:
    """The latest first."""
    return [act_line(book, row) for (row,) in book.rows("SELECT id FROM act ORDER BY id DESC LIMIT ?", (limit,))]


def last_standing(book: Book) -> int | None:
    """The last act that was not taken back and takes nothing back itself: what a bare `undo` means."""
    for (act,) in book.connection.execute("SELECT id FROM act WHERE undoes IS NULL ORDER BY id DESC"):
        if undone_by(book, act) is None:
            return int(act)
    return None


def history(book: Book, kind: type[Any] | str, key: str | int) -> list[Entry]:
    """Everything that befell the records that bear, or once bore, this key (a row id where there is none), in order.

    Raises NotFound.
    """
    table = table_of(kind)
    rows = [key] if isinstance(key, int) else rows_named(book, table, key)
    entries = [entry for row in rows for entry in entries_of(book, table, row)]
    if not entries:
        raise not_found(book, table, str(key))
    return sorted(entries, key=lambda entry: entry.act.id)


def rows_named(book: Book, table: Table, name: str) -> list[int]:
    column = table.key[0]
    sql = (
        f"SELECT id FROM {table.name} WHERE {quoted(column)} = ?"
        " UNION SELECT row FROM change WHERE kind = ? AND field = ? AND was = ?"
    )
    return [row for (row,) in book.rows(sql, (name, table.name, column, name))]


def entries_of(book: Book, table: Table, row: int) -> list[Entry]:
    added_by = book.value(f"SELECT added_by FROM {table.name} WHERE id = ?", (row,))
    if added_by is None:
        return []
    entries = [Entry(act_line(book, added_by), row, "added")]
    sql = "SELECT act, field, was, became FROM change WHERE kind = ? AND row = ? ORDER BY id"
    for act, column, was, became in book.rows(sql, (table.name, row)):
        if column == "withdrawn_by":
            what = "put back" if became is None else "withdrawn"
            entries.append(Entry(act_line(book, act), row, what))
            continue
        what = "followed" if column in WORKED_OUT.get(table.name, ()) else "amended"
        values = (stands_for(book, table, column, value) for value in (was, became))
        entries.append(Entry(act_line(book, act), row, what, table.field_of(column), *values))
    return entries


def stands_for(book: Book, table: Table, column: str, stored: Any) -> Any:
    """What a journalled cell stood for: the name behind a link, the revision behind a card, else the value itself."""
    if stored is None:
        return None
    if column == "pattern_id":
        return book.value("SELECT coalesce(revision, 'A') FROM pattern WHERE id = ?", (stored,))
    target = table.links.get(table.field_of(column))
    if target is None:
        return stored
    return book.value(f"SELECT {quoted(BY_NAME[target].key[0])} FROM {target} WHERE id = ?", (stored,))
