"""The one way to write: an act is one transaction, all or nothing, with its line in the journal.

    with writing(book, "shakeout M-231 --scrap 1", who="Ann") as act:
        act.add(finding)

Nothing is deleted and nothing overwritten: `amend` leaves the old value in the journal, `withdraw` only marks the row.
"""

import os
import sqlite3
import time
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import UTC, datetime
from types import TracebackType
from typing import Any, Self

from defectlog.book import rows as stored
from defectlog.book.chain import seal
from defectlog.book.moulds import Cards, mould_extras
from defectlog.book.open import MAY_WRITE, Book, troubles
from defectlog.book.progress import Tell, quietly
from defectlog.book.rows import Key
from defectlog.book.tables import Table, insert, quoted, stored_values, table_of
from defectlog.errors import BadInput, BookUnusable, Problem
from defectlog.records.checks import faults


def writing(
    book: Book,
    command: str,
    *,
    who: str | None = None,
    why: str | None = None,
    token: str | None = None,
    undoes: int | None = None,
    dry_run: bool = False,
    tell: Tell = quietly,
) -> "Act":
    """Begin an act. `token` is a client-made id: an act with the same token is not done a second time."""
    return Act(book, command, who=who, why=why, token=token, undoes=undoes, dry_run=dry_run, tell=tell)


def begin_writing(connection: sqlite3.Connection, wait_seconds: float) -> None:
    """Take the book for writing; wait for whoever has it. Raises sqlite3.OperationalError when that takes too long.

    SQLite's own waiting looks more and more seldom, so that of many writers the newest goes first and the oldest waits
    for seconds; looking every few milliseconds, all have the same chance.
    """
    until = time.monotonic() + wait_seconds
    connection.execute("PRAGMA busy_timeout = 0")
    try:
        while True:
            try:
                connection.execute("BEGIN IMMEDIATE")
                return
            except sqlite3.OperationalError as error:
                if not error.sqlite_errorname.startswith("SQLITE_BUSY") or time.monotonic() > until:
                    raise
            time.sleep(0.001 + time.monotonic_ns() % 4_000_000 / 1e9)  # 1 to 5 ms, so that no two keep step
    finally:
        connection.execute(f"PRAGMA busy_timeout = {int(1000 * wait_seconds)}")


class Act:
    """An act under way; a context manager. Leaving it by an error, or with `dry_run`, takes everything back.

    `id` is its line in the journal. `again` is true when an act with this token is already in the book: then adding
    gives the rows of the first time and nothing is written. `wrote` is true afterwards when something was kept.
    """

    def __init__(
        self,
        book: Book,
        command: str,
        *,
        who: str | None,
        why: str | None,
        token: str | None,
        undoes: int | None,
        dry_run: bool,
        tell: Tell = quietly,
    ) -> None:
        self.book = book
        self.tell = tell
        self.line = (token or os.urandom(16).hex(), who or None, command, why or None, undoes)
        self.dry_run = dry_run
        self.id = 0
        self.again = False
        self.wrote = False
        self.cards = Cards(book)
        self.added: dict[str, list[int]] = {}
        self.next_row: dict[str, int] = {}

    def __enter__(self) -> Self:
        if self.book.read_only:
            found = "the book can be read but not written"
            step = "check who may write the file and its folder"
            raise BookUnusable(Problem("book-read-only", str(self.book.path), found, MAY_WRITE, step))
        with troubles(self.book.path):
            begin_writing(self.book.connection, self.book.wait_seconds)
            try:
                self.begin()
            except BaseException:
                self.execute("ROLLBACK")
                raise
        return self

    def begin(self) -> None:
        token, who, command, why, undoes = self.line
        earlier = self.book.value("SELECT id FROM act WHERE token = ?", (token,))
        if earlier is not None:
            self.id, self.again = earlier, True
            return
        now = datetime.now(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
        sql = "INSERT INTO act (token, who, at, command, why, undoes) VALUES (?, ?, ?, ?, ?, ?)"
        self.id = int(self.book.connection.execute(sql, (token, who, now, command, why, undoes)).lastrowid or 0)
        self.execute("INSERT INTO acting (only, act) VALUES (1, ?)", (self.id,))

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, at: TracebackType | None) -> None:
        with troubles(self.book.path):
            if kind is not None or self.again or self.dry_run or not self.did_something():
                if self.book.connection.in_transaction:
                    self.execute("ROLLBACK")
                return
            try:
                self.write_added()
                seal(self.book.connection, self.id, tell=self.tell)
                self.execute("DELETE FROM acting")
                self.execute("COMMIT")
            except BaseException:
                if self.book.connection.in_transaction:
                    self.execute("ROLLBACK")
                raise
            self.wrote = True

    def execute(self, sql: str, values: Sequence[Any] = ()) -> None:
        self.book.connection.execute(sql, values)

    def did_something(self) -> bool:
        return bool(self.added) or self.book.value("SELECT 1 FROM change WHERE act = ? LIMIT 1", (self.id,)) is not None

    def write_added(self) -> None:
        runs = [(self.id, name, rows[0], rows[-1]) for name, rows in self.added.items()]
        self.book.connection.executemany("INSERT INTO added (act, kind, first_row, last_row) VALUES (?, ?, ?, ?)", runs)

    def add(self, record: Any) -> int:
        """The new row's id. Raises BadInput with every fault: impossible values, unknown references, a key taken."""
        table = table_of(type(record))
        if self.again:
            return self.row_of_first_time(table)
        where = stored.label(table, record)
        problems = faults(record, where) + stored.key_taken(self.book, table, record, where)
        values, unknown = stored.linked(self.book, table, stored_values(table, record), where)
        problems += unknown + stored.pattern_unknown(self.book, table, record, where)
        if problems:
            raise BadInput(problems)
        return self.add_rows(table, [values])[0]

    def add_rows(self, table: Table, rows: Sequence[Sequence[Any]]) -> range:
        """Rows of stored values in the order of the fields, links as ids, already found right. Their new ids."""
        first = self.new_row(table)
        after = first + len(rows)
        with troubles(self.book.path):
            self.book.connection.executemany(insert(table), self.full_rows(table, rows, first))
        if rows:
            self.added.setdefault(table.name, [first, first])[1] = after - 1
            self.next_row[table.name] = after
        if table.name == "pattern":
            self.cards.follow({values[0] for values in rows})
        return range(first, after)

    def new_row(self, table: Table) -> int:
        if table.name not in self.next_row:
            self.next_row[table.name] = (self.book.value(f"SELECT max(id) FROM {table.name}") or 0) + 1
        return self.next_row[table.name]

    def full_rows(self, table: Table, rows: Iterable[Sequence[Any]], first: int) -> Iterator[tuple[Any, ...]]:
        """Rows with their ids before them, and behind them what is worked out and the act."""
        if table.name == "mould":
            return (
                (row, *values, *mould_extras(self.cards, values), self.id) for row, values in enumerate(rows, first)
            )
        return ((row, *values, self.id) for row, values in enumerate(rows, first))

    def row_of_first_time(self, table: Table) -> int:
        sql = "SELECT first_row, last_row FROM added WHERE act = ? AND kind = ?"
        runs = self.book.row(sql, (self.id, table.name)) or (0, 0)
        first, last = int(runs[0]), int(runs[1])
        row = self.next_row.get(table.name, first)
        self.next_row[table.name] = min(row + 1, last)
        return row

    def amend(self, kind: type[Any] | str, key: Key, values: Mapping[str, Any]) -> dict[str, tuple[Any, Any]]:
        """Change fields of one record; None clears one. The fields that changed, each with what it was and is.

        Raises NotFound, or BadInput with every fault of the amended record.
        """
        table = table_of(kind)
        if self.again:
            return {}
        row, record = stored.fetch(self.book, table, key)
        amended = replace(record, **values)
        where = stored.label(table, record)
        problems = faults(amended, where) + stored.key_taken(self.book, table, amended, where, own=row)
        cells, unknown = stored.linked(self.book, table, stored_values(table, amended), where)
        problems += unknown + stored.pattern_unknown(self.book, table, amended, where)
        problems += stored.key_in_use(self.book, table, record, amended, where)
        if problems:
            raise BadInput(problems)
        self.update(table, row, dict(zip((table.column(spec.name) for spec in table.specs), cells, strict=True)))
        changed = (name for name in values if getattr(record, name) != getattr(amended, name))
        return {name: (getattr(record, name), getattr(amended, name)) for name in changed}

    def withdraw(self, kind: type[Any] | str, key: Key) -> int:
        """Mark a record as withdrawn: it stays in its history and is gone from every count. Its row id.

        Raises NotFound, or BadInput naming the records that still rest on it.
        """
        table = table_of(kind)
        if self.again:
            return 0
        row, record = stored.fetch(self.book, table, key)
        self.withdraw_row(table, row, record)
        return row

    def withdraw_row(self, table: Table, row: int, record: Any) -> None:
        problems = stored.rests_on(self.book, table, row, record)
        if problems:
            raise BadInput(problems)
        self.update(table, row, {"withdrawn_by": self.id})

    def update(self, table: Table, row: int, cells: Mapping[str, Any]) -> None:
        """Set columns of a row; the triggers write the journal. What is worked out from them follows."""
        if table.name == "mould":
            cells = {**cells, **self.cards.extras_of(row, cells)}
        places = ", ".join(f"{quoted(column)} = ?" for column in cells)
        with troubles(self.book.path):
            self.execute(f"UPDATE {table.name} SET {places} WHERE id = ?", [*cells.values(), row])
        if table.name == "pattern":
            self.cards.follow({self.book.value("SELECT pattern FROM pattern WHERE id = ?", (row,))})
