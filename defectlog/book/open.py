"""Opening the record book: the file is ours, whole, of this version and writable, or one message says what is wrong.

Standard library only: this runs before every command. The migrations are imported only when the book is behind.
"""

import errno
import os
import sqlite3
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from types import TracebackType
from typing import Any, Self

from defectlog.book.marks import APPLICATION_ID, SCHEMA_VERSION
from defectlog.book.progress import Tell, quietly
from defectlog.errors import BookUnusable, Problem

MAGIC = b"SQLite format 3\x00"
APPLICATION_ID_AT = slice(68, 72)  # https://www.sqlite.org/fileformat.html, section 1.3
WAIT_SECONDS = 30.0
MAY_READ, MAY_WRITE = "allowed: a file that you may read", "allowed: a file, and a folder, that you may write"
CACHE_KB = 64_000  # at most; taken as it is needed


class Book:
    """An open record book. Reading goes through `rows`, `row` and `value`; writing through acts.writing."""

    def __init__(
        self, path: Path, connection: sqlite3.Connection, *, read_only: bool, wait_seconds: float = WAIT_SECONDS
    ) -> None:
        self.path = path
        self.connection = connection
        self.read_only = read_only
        self.wait_seconds = wait_seconds

    def rows(self, sql: str, values: Sequence[Any] = ()) -> list[tuple[Any, ...]]:
        """Raises BookUnusable."""
        with troubles(self.path):
            return self.connection.execute(sql, values).fetchall()

    def row(self, sql: str, values: Sequence[Any] = ()) -> tuple[Any, ...] | None:
        """The first row, or None. Raises BookUnusable."""
        with troubles(self.path):
            found: tuple[Any, ...] | None = self.connection.execute(sql, values).fetchone()
            return found

    def value(self, sql: str, values: Sequence[Any] = ()) -> Any:
        """The first cell of the first row, or None. Raises BookUnusable."""
        row = self.row(sql, values)
        return row[0] if row else None

    def close(self) -> None:
        self.connection.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, at: TracebackType | None) -> None:
        self.close()


def open_book(
    path: Path | str,
    *,
    create: bool = True,
    read_only: bool = False,
    older: bool = False,
    wait_seconds: float = WAIT_SECONDS,
    tell: Tell = quietly,
) -> Book:
    """Open the book at `path`; make it when it is not there and `create` is set; bring an older one up to date, or with
    `older` only read it in the shape it has (its acts can be read, its records not by the other rooms).

    Raises BookUnusable: the folder or file is missing, the file is foreign (it is then never touched), newer than
    this program, locked for longer than `wait_seconds`, torn, or cannot be written.
    """
    path = Path(path)
    fresh = look_at_file(path, create=create and not read_only)
    read_only = read_only or (not fresh and not os.access(path, os.W_OK))
    with troubles(path):
        connection, version = first_look(path, read_only, wait_seconds)
        try:
            if version > SCHEMA_VERSION:
                raise BookUnusable(newer(path, version))
            if version < SCHEMA_VERSION and not (older and read_only):
                bring_up_to_date(path, connection, fresh=fresh, read_only=read_only, tell=tell)
            if not read_only:
                connection.execute("PRAGMA journal_mode = wal")
        except BaseException:
            connection.close()
            raise
    return Book(path, connection, read_only=read_only, wait_seconds=wait_seconds)


def look_at_file(path: Path, *, create: bool) -> bool:
    """True when the book is still to be made. Only reads the header: a foreign file is never opened as a database."""
    if path.is_dir():
        raise BookUnusable(foreign(path, "it is a folder"))
    if not path.parent.is_dir():
        make = f"make the folder first: mkdir {path.parent}"
        allowed = "allowed: a file in a folder that is there"
        raise BookUnusable(Problem("book-folder", str(path), f"there is no folder {path.parent}", allowed, make))
    if not path.exists():
        if create:
            return True
        allowed = "allowed: the path of a record book that exists"
        raise BookUnusable(
            Problem("book-missing", str(path), "there is no book here", allowed, "give its path: --book FILE")
        )
    try:
        with path.open("rb") as file:
            header = file.read(100)
    except OSError as error:
        found = f"the file cannot be read ({error.strerror})"
        raise BookUnusable(
            Problem("book-unreadable", str(path), found, MAY_READ, "check who may read the file")
        ) from None
    if not header and create:
        return True
    if not header.startswith(MAGIC):
        raise BookUnusable(foreign(path, "it is not a database"))
    if int.from_bytes(header[APPLICATION_ID_AT], "big") != APPLICATION_ID:
        raise BookUnusable(foreign(path, "it is another program's database"))
    return False


def first_look(path: Path, read_only: bool, wait_seconds: float) -> tuple[sqlite3.Connection, int]:
    """The file opened, and the shape it has.

    Beside a book that is read SQLite keeps its log and its index. In a folder that may not be written (a disc that is
    read only) it cannot; there a book that nobody has open, so without a log, is read as a file that does not change.
    """
    mode = "ro" if read_only else "rwc"
    try:
        return connect(address_of(path, mode), wait_seconds)
    except sqlite3.OperationalError as error:
        refused = error.sqlite_errorname.startswith(("SQLITE_READONLY", "SQLITE_CANTOPEN"))
        if not (read_only and refused and path.exists()) or has_log(path):
            raise
    return connect(f"{address_of(path, mode)}&immutable=1", wait_seconds)


def has_log(path: Path) -> bool:
    """Whether there is something in the log beside the book that is not in the book yet."""
    log = path.with_name(f"{path.name}-wal")
    return log.exists() and log.stat().st_size > 0


def connect(address: str, wait_seconds: float) -> tuple[sqlite3.Connection, int]:
    connection = sqlite3.connect(address, timeout=wait_seconds, isolation_level=None, uri=True)
    try:
        connection.execute("PRAGMA synchronous = full")
        connection.execute("PRAGMA foreign_keys = on")
        # Every insert fires a trigger and so keeps a small undo log of its own: in memory it costs half as much.
        connection.execute("PRAGMA temp_store = memory")
        connection.execute(f"PRAGMA cache_size = -{CACHE_KB}")
        return connection, int(connection.execute("PRAGMA user_version").fetchone()[0])
    except BaseException:
        connection.close()
        raise


def address_of(path: Path, mode: str) -> str:
    """The file as a URI, which alone can say that it is only to be read (sqlite.org/uri.html)."""
    plain = path.absolute().as_posix()
    for sign in "%?#":
        plain = plain.replace(sign, f"%{ord(sign):02x}")
    return f"file://{'' if plain.startswith('/') else '/'}{plain}?mode={mode}"


def bring_up_to_date(path: Path, connection: sqlite3.Connection, *, fresh: bool, read_only: bool, tell: Tell) -> None:
    if read_only:
        found = "this book was written by an older version and is opened for reading only"
        raise BookUnusable(
            Problem("book-older", str(path), found, "allowed: a book of this version", "open it once for writing")
        )
    from defectlog.book.migrations import migrate  # sqlite_utils takes half a second to import

    migrate(path, connection, fresh=fresh, tell=tell)


@contextmanager
def troubles(path: Path) -> Iterator[None]:
    """Turns what SQLite or the disc says about the file into BookUnusable; other errors pass."""
    try:
        yield
    except sqlite3.IntegrityError:
        raise
    except sqlite3.DatabaseError as error:
        problem = trouble(path, error)
        if problem is None:
            raise
        raise BookUnusable(problem) from error
    except OSError as error:
        raise BookUnusable(disc_trouble(path, error)) from error


def disc_trouble(path: Path, error: OSError) -> Problem:
    if error.errno == errno.ENOSPC:
        return Problem("book-full", str(path), "the disk is full", "", "free some space; nothing was written")
    found = f"the file cannot be read or written ({error.strerror})"
    return Problem("book-unreadable", str(path), found, MAY_WRITE, "check the disk, and who may write in the folder")


def trouble(path: Path, error: sqlite3.DatabaseError) -> Problem | None:
    name = str(getattr(error, "sqlite_errorname", ""))
    where = str(path)
    if name.startswith(("SQLITE_BUSY", "SQLITE_LOCKED")):
        found = "the book is being written by another program and did not become free"
        return Problem(
            "book-locked",
            where,
            found,
            "allowed: one writer at a time",
            "close that program and do it again; nothing was written",
        )
    if name.startswith(("SQLITE_CORRUPT", "SQLITE_NOTADB")):
        from defectlog.book.copies import way_back

        return Problem("book-torn", where, f"the book is damaged ({error})", "", way_back(path))
    if name.startswith("SQLITE_READONLY"):
        found = "the book can be read but not written"
        return Problem("book-read-only", where, found, MAY_WRITE, "check who may write the file and its folder")
    if name.startswith("SQLITE_FULL"):
        return Problem("book-full", where, "the disk is full", "", "free some space; nothing was written")
    if name.startswith(("SQLITE_CANTOPEN", "SQLITE_IOERR", "SQLITE_PERM", "SQLITE_AUTH")):
        found = f"the book cannot be opened or written ({error})"
        return Problem("book-unreadable", where, found, MAY_WRITE, "check the disk, and who may write in the folder")
    return None


def foreign(path: Path, why: str) -> Problem:
    from defectlog.book.copies import last_copy, way_back

    found = f"this is not a record book: {why}"
    step = way_back(path) if last_copy(path) else "give another file with --book"
    return Problem("book-foreign", str(path), found, "the file was not touched", step)


def newer(path: Path, version: int) -> Problem:
    found = f"the book has shape {version}; this program knows shapes up to {SCHEMA_VERSION}"
    return Problem("book-newer", str(path), found, "the file was not touched", "install a newer defectlog")
