"""The shapes the book has had, in order. Never rename or edit a step that has been released: add the next one.

Each step is a plain SQL script in steps/, applied in one transaction together with the record that it was applied.
"""

import sqlite3
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

from sqlite_utils import Database, Migrations

from defectlog.book.chain import seal_older
from defectlog.book.copies import way_back
from defectlog.book.copying import copy_into, unfinished_gone
from defectlog.book.marks import APPLICATION_ID, SCHEMA_VERSION
from defectlog.book.progress import Tell, quietly, ticking
from defectlog.errors import BookUnusable, Problem

STEPS = Path(__file__).parent / "steps"
migrations = Migrations("defectlog")


class OldBook(Database):
    """A book under way to the next shape; its steps tell how far they are."""

    def __init__(self, connection: sqlite3.Connection, tell: Tell) -> None:
        super().__init__(connection)
        self.tell = tell


@migrations()
def m001_records(db: Database) -> None:
    run_script(db, "m001_records")


@migrations()
def m002_seals_and_days(db: Database) -> None:
    run_script(db, "m002_seals_and_days")
    seal_older(db.conn, db.tell if isinstance(db, OldBook) else quietly)


@migrations()
def m003_months(db: Database) -> None:
    run_script(db, "m003_months")


def run_script(db: Database, name: str) -> None:
    """Statement by statement: sqlite3's executescript would commit the transaction it stands in."""
    for statement in statements((STEPS / f"{name}.sql").read_text(encoding="utf-8")):
        db.conn.execute(statement)


def statements(script: str) -> list[str]:
    """A script cut where SQLite itself says that a statement is complete (a trigger holds several semicolons)."""
    found: list[str] = []
    pending = ""
    for line in script.splitlines(keepends=True):
        pending += line
        if sqlite3.complete_statement(pending):
            found.append(pending)
            pending = ""
    return found


def migrate(path: Path, connection: sqlite3.Connection, *, fresh: bool, tell: Tell = quietly) -> None:
    """Bring the book at `path` to SCHEMA_VERSION, all or nothing; an existing book is first copied beside itself.

    Two programs may open a book at once: the second finds it done. Raises BookUnusable.
    """
    if not fresh:
        copy_beside(path, connection, tell)
    connection.execute("PRAGMA foreign_keys = off")  # a step that rebuilds a table must not fire cascades
    connection.execute("BEGIN IMMEDIATE")
    try:
        if connection.execute("PRAGMA user_version").fetchone()[0] < SCHEMA_VERSION:
            with ticking(connection, "bringing the book up to date", tell):
                apply_steps(path, connection, tell)
        connection.execute("COMMIT")
    except BaseException:
        if connection.in_transaction:  # a statement that Ctrl-C stopped has taken all of it back by itself
            connection.execute("ROLLBACK")
        raise
    connection.execute("PRAGMA foreign_keys = on")


def apply_steps(path: Path, connection: sqlite3.Connection, tell: Tell) -> None:
    migrations.apply(OldBook(connection, tell))
    if connection.execute("PRAGMA foreign_key_check").fetchone() is not None:
        found = "bringing the book up to date would leave records that point nowhere"
        raise BookUnusable(Problem("book-torn", str(path), found, "nothing was changed", "restore a backup"))
    connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
    connection.execute(f"PRAGMA user_version = {SCHEMA_VERSION}")


def copy_beside(path: Path, connection: sqlite3.Connection, tell: Tell = quietly) -> Path:
    """A whole copy of the book as it was, looked over, named after its shape and the time. Raises BookUnusable."""
    version = connection.execute("PRAGMA user_version").fetchone()[0]
    stamp = datetime.now(UTC).strftime("%Y%m%dT%H%M%S%fZ")
    target = path.with_name(f"{path.name}.shape-{version}-{stamp}.bak")
    unfinished = target.with_name(f"{target.name}.part")
    try:
        copy_into(connection, unfinished, tell)
        with closing(sqlite3.connect(unfinished)) as copy, ticking(copy, "looking the copy over", tell):
            said = copy.execute("PRAGMA integrity_check").fetchone()[0]
    except BaseException:
        unfinished_gone(unfinished)
        raise
    if said != "ok":
        unfinished.unlink()
        raise BookUnusable(Problem("book-torn", str(path), f"the book is damaged ({said})", "", way_back(path)))
    unfinished.replace(target)
    return target
