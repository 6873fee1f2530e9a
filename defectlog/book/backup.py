"""A verified copy of the book with its photos. It is taken through SQLite, never file by file."""

import sqlite3
from dataclasses import dataclass
from pathlib import Path

from defectlog.book.copies import note_backup
from defectlog.book.open import Book, open_book, troubles
from defectlog.book.photos import copy_photos
from defectlog.book.progress import Tell, quietly
from defectlog.book.tables import TABLES
from defectlog.errors import BadInput, BookUnusable, Problem

PAGES_AT_ONCE = 2000


@dataclass(frozen=True, slots=True)
class Copied:
    """The copy that was made: live rows by table, acts in its journal, its size in bytes, the last seal of its journal
    (book/chain.py), photos beside it, photos that are damaged and were left; `kept` is where the file that stood there
    before was put."""

    path: Path
    rows: dict[str, int]
    acts: int
    size: int
    seal: str = ""
    photos: int = 0
    damaged: tuple[str, ...] = ()
    kept: Path | None = None


def backup(book: Book, target: Path | str, *, replace: bool = False, tell: Tell = quietly) -> Copied:
    """Copy the book to `target` and its photos beside it, and look the copy over: whole, with all its acts.

    Raises BadInput when there is a file already and `replace` is not set, or no folder, or it is the book itself;
    BookUnusable when the copy is not whole (it is then taken away) or the disc is full.
    """
    target = Path(target)
    refuse_target(book.path, target, replace)
    copied = fresh_copy(book.connection, target, tell)
    photos, damaged = copy_photos(book.path, target)
    note_backup(book.path, target)
    return Copied(target, *copied, photos, damaged)


def refuse_target(book_path: Path, target: Path, replace: bool) -> None:
    where = str(target)
    if target.is_dir():
        raise BadInput(Problem("backup-there", where, "this is a folder", "", f"name a file: {target / 'copy.db'}"))
    if target.exists() and target.samefile(book_path):
        step = "name another file, on another disc"
        raise BadInput(Problem("backup-onto-itself", where, "this is the book itself", "", step))
    if target.exists() and not replace:
        raise BadInput(Problem("backup-there", where, "there is a file here already", "", "give another name"))
    if not target.parent.is_dir():
        raise BadInput(Problem("folder-missing", where, f"there is no folder {target.parent}", ""))


def fresh_copy(source: sqlite3.Connection, target: Path, tell: Tell = quietly) -> tuple[dict[str, int], int, int, str]:
    """Copy beside `target`, look over, and only then put in its place. Raises BookUnusable."""
    unfinished = target.with_name(f"{target.name}.part")
    with troubles(target):
        unfinished_gone(unfinished)
        try:
            copy_into(source, unfinished, tell)
            copied = looked_over(unfinished, target, tell)
            unfinished.replace(target)
        except BaseException:
            unfinished_gone(unfinished)
            raise
    return copied


def unfinished_gone(path: Path) -> None:
    for ending in ("", "-journal"):
        path.with_name(path.name + ending).unlink(missing_ok=True)


def copy_into(source: sqlite3.Connection, path: Path, tell: Tell = quietly) -> None:
    """A copy that is one file: without a write-ahead log, so that it can be read from a stick or a disc."""

    def said(_status: int, remaining: int, total: int) -> None:
        tell("copying", total - remaining, total)

    # One snapshot for all of it: otherwise every act of another program would make the copying begin again.
    source.execute("BEGIN")
    try:
        source.execute("SELECT 1 FROM sqlite_master LIMIT 1").fetchall()
        copy = sqlite3.connect(path, isolation_level=None)
        try:
            source.backup(copy, pages=PAGES_AT_ONCE, progress=said)
            copy.execute("PRAGMA journal_mode = delete")
        finally:
            copy.close()
    finally:
        source.execute("ROLLBACK")


def looked_over(path: Path, name: Path, tell: Tell = quietly) -> tuple[dict[str, int], int, int, str]:
    """(live rows by table, acts, bytes, last seal) of a whole book of any shape; messages call it `name`.

    Raises BookUnusable.
    """
    with open_book(path, create=False, read_only=True, older=True) as book:
        tell("looking the copy over", 0, 0)
        said = book.value("PRAGMA integrity_check")
        if said != "ok" or book.row("PRAGMA foreign_key_check") is not None:
            raise BookUnusable(
                Problem("book-torn", str(name), f"the copy is not whole ({said})", "", "use another one")
            )
        sealed = book.value("SELECT 1 FROM sqlite_master WHERE name = 'chain'")
        seal = book.value("SELECT digest FROM chain ORDER BY act DESC LIMIT 1") if sealed else ""
        return live_rows(book), book.value("SELECT count(*) FROM act"), path.stat().st_size, seal or ""


def live_rows(book: Book) -> dict[str, int]:
    return {table.name: book.value(f"SELECT count(*) FROM {table.name} WHERE withdrawn_by IS NULL") for table in TABLES}
