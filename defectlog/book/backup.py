"""A verified copy of the book, and the way back. The copy is taken through SQLite, never file by file."""

import sqlite3
from dataclasses import dataclass
from pathlib import Path

from defectlog.book.open import Book, open_book, troubles
from defectlog.book.tables import TABLES
from defectlog.errors import BadInput, BookUnusable, Problem


@dataclass(frozen=True, slots=True)
class Copied:
    """The copy that was made: live rows by table, acts in its journal, and its size in bytes."""

    path: Path
    rows: dict[str, int]
    acts: int
    size: int


def backup(book: Book, target: Path | str, *, replace: bool = False) -> Copied:
    """Copy the book to `target` and look the copy over: whole, and the same number of rows and acts.

    Raises BadInput when there is a file already and `replace` is not set, or no folder; BookUnusable when the copy
    is not whole (it is then taken away).
    """
    target = Path(target)
    if target.exists() and not replace:
        found = "there is a file here already"
        raise BadInput(Problem("backup-there", str(target), found, "", "give another name"))
    if not target.parent.is_dir():
        raise BadInput(Problem("folder-missing", str(target), f"there is no folder {target.parent}", ""))
    unfinished = target.with_name(f"{target.name}.part")
    unfinished.unlink(missing_ok=True)
    try:
        copy_into(book.connection, unfinished)
        copied = looked_over(unfinished)
    except BaseException:
        unfinished.unlink(missing_ok=True)
        raise
    unfinished.replace(target)
    return Copied(target, *copied)


def copy_into(source: sqlite3.Connection, path: Path) -> None:
    """A copy that is one file: without a write-ahead log, so that it can be read from a stick or a disc."""
    with troubles(path):
        copy = sqlite3.connect(path, isolation_level=None)
        try:
            source.backup(copy)
            copy.execute("PRAGMA journal_mode = delete")
        finally:
            copy.close()


def looked_over(path: Path) -> tuple[dict[str, int], int, int]:
    """(live rows by table, acts, bytes) of a whole book. Raises BookUnusable."""
    with open_book(path, create=False, read_only=True) as book:
        said = book.value("PRAGMA integrity_check")
        if said != "ok" or book.row("PRAGMA foreign_key_check") is not None:
            raise BookUnusable(Problem("book-torn", str(path), f"the copy is not whole ({said})", "", "do it again"))
        return live_rows(book), book.value("SELECT count(*) FROM act"), path.stat().st_size


def live_rows(book: Book) -> dict[str, int]:
    return {table.name: book.value(f"SELECT count(*) FROM {table.name} WHERE withdrawn_by IS NULL") for table in TABLES}


def restore(source: Path | str, target: Path | str, *, force: bool = False) -> Copied:
    """Put the backup `source` in the place of the book `target`.

    A book that is there has its acts compared: when some are not in the backup they would be lost, and that is
    refused unless `force` is set; then the book is first copied beside itself. Raises BadInput, BookUnusable.
    """
    source, target = Path(source), Path(target)
    looked_over(source)
    if target.exists():
        lost = acts_lost(source, target)
        if lost and not force:
            raise BadInput(would_lose(target, lost))
        with open_book(target) as book:
            backup(book, target.with_name(f"{target.name}.before-restore"), replace=True)
    with open_book(source, read_only=True, create=False) as book, troubles(target):
        into = sqlite3.connect(target, timeout=30, isolation_level=None)
        try:
            book.connection.backup(into)
            into.execute("PRAGMA journal_mode = wal")
            into.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        finally:
            into.close()
    return Copied(target, *looked_over(target))


def acts_lost(source: Path, target: Path) -> list[str]:
    """What was done in the book at `target` and is not in the backup, the latest first."""
    with open_book(source, read_only=True, create=False) as kept:
        there = {token for (token,) in kept.rows("SELECT token FROM act")}
    with open_book(target, create=False) as book:
        rows = book.rows("SELECT token, at, command FROM act ORDER BY id DESC")
    return [f"{at} {command}" for token, at, command in rows if token not in there]


def would_lose(target: Path, lost: list[str]) -> Problem:
    found = f"{len(lost)} acts of this book are not in the backup and would be gone, the last: {lost[0]}"
    step = "keep a backup of this book, then say --force"
    return Problem("restore-would-lose", str(target), found, "", step)
