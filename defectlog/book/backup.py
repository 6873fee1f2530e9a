"""A verified copy of the book with its photos. It is taken through SQLite, never file by file."""

import sqlite3
from dataclasses import dataclass
from pathlib import Path

from defectlog.book.copies import as_word, note_backup
from defectlog.book.copying import copy_into, unfinished_gone
from defectlog.book.open import Book, open_book, troubles
from defectlog.book.photos import copy_photos
from defectlog.book.progress import Tell, quietly, ticking
from defectlog.book.tables import TABLES
from defectlog.errors import BadInput, BookUnusable, Problem

NEW = "allowed: a new file in a folder that is there, best on another disc"


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
        raise BadInput(Problem("backup-there", where, "this is a folder", NEW, f"name a file: {target / 'copy.db'}"))
    if target.exists() and target.samefile(book_path):
        step = "name another file: defectlog backup FILE"
        raise BadInput(Problem("backup-onto-itself", where, "this is the book itself", NEW, step))
    if target.exists() and not replace:
        raise BadInput(
            Problem("backup-there", where, "there is a file here already", NEW, "give another name, or say --force")
        )
    if not target.parent.is_dir():
        step = f"make the folder first: mkdir {as_word(target.parent)}"
        raise BadInput(Problem("folder-missing", where, f"there is no folder {target.parent}", NEW, step))


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


def looked_over(path: Path, name: Path, tell: Tell = quietly) -> tuple[dict[str, int], int, int, str]:
    """(live rows by table, acts, bytes, last seal) of a whole book of any shape; messages call it `name`.

    Raises BookUnusable.
    """
    with open_book(path, create=False, read_only=True, older=True) as book:
        with ticking(book.connection, "looking the copy over", tell):
            said = book.value("PRAGMA integrity_check")
            dangling = book.row("PRAGMA foreign_key_check")
        if said != "ok" or dangling is not None:
            raise BookUnusable(
                Problem(
                    "book-torn",
                    str(name),
                    f"the copy is not whole ({said})",
                    "allowed: a whole copy",
                    "use another one",
                )
            )
        sealed = book.value("SELECT 1 FROM sqlite_master WHERE name = 'chain'")
        seal = book.value("SELECT digest FROM chain ORDER BY act DESC LIMIT 1") if sealed else ""
        return live_rows(book), book.value("SELECT count(*) FROM act"), path.stat().st_size, seal or ""


def live_rows(book: Book) -> dict[str, int]:
    return {table.name: book.value(f"SELECT count(*) FROM {table.name} WHERE withdrawn_by IS NULL") for table in TABLES}
