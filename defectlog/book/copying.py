"""One whole SQLite file into another, through SQLite and never byte by byte."""

import sqlite3
from pathlib import Path

from defectlog.book.progress import Tell, quietly

PAGES_AT_ONCE = 2000


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
