"""A backup in the place of the book. What stood there is never lost: it is copied, or put aside, first."""

import shutil
import sqlite3
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

from defectlog.book.backup import Copied, fresh_copy, looked_over
from defectlog.book.copying import PAGES_AT_ONCE
from defectlog.book.open import open_book, troubles
from defectlog.book.photos import copy_photos
from defectlog.book.progress import Tell, quietly
from defectlog.errors import BadInput, BookUnusable, Problem

LATEST_SHOWN = 5
# What a book is not opened for, and what a backup may stand in the place of once that is asked for.
PUT_ASIDE = ("book-foreign", "book-torn")


def restore(source: Path | str, target: Path | str, *, force: bool = False, tell: Tell = quietly) -> Copied:
    """Put the backup `source` in the place of the book `target`, and its photos beside it.

    A book that is there has its acts compared: when some are not in the backup they would be gone, and that is refused
    unless `force` is set; it is copied beside itself first. A damaged book, or a file that is none, is put aside when
    `force` is set. Photos that are there stay. Raises BadInput, BookUnusable.
    """
    source, target = Path(source), Path(target)
    looked_over(source, source, tell)
    if target.exists() and target.samefile(source):
        found = "the backup and the book are the same file"
        raise BadInput(
            Problem(
                "backup-onto-itself",
                str(target),
                found,
                "allowed: another file",
                "name the backup: defectlog restore FILE",
            )
        )
    if not target.parent.is_dir():
        make = f"make the folder first: mkdir {target.parent}"
        raise BadInput(
            Problem(
                "folder-missing",
                str(target),
                f"there is no folder {target.parent}",
                "allowed: a folder that is there",
                make,
            )
        )
    kept: Path | None = None
    try:
        lost = acts_lost(source, target, tell) if target.exists() else []
    except BookUnusable as error:
        if error.problems[0].code not in PUT_ASIDE:
            raise
        if not force:
            raise BadInput(would_put_aside(target, source, error.problems[0])) from None
        copy_photos(source, target)
        with open_book(source, read_only=True, create=False, older=True) as book:
            kept = put_aside_and_replace(book.connection, target, tell)
    else:
        if lost and not force:
            raise BadInput(would_lose(target, lost))
        if target.exists() and target.stat().st_size:
            with open_book(target, read_only=True, create=False, older=True) as book:
                kept = stamped(target, "before-restore")
                fresh_copy(book.connection, kept, tell)
        copy_photos(source, target)
        copy_over(source, target, tell)
    open_book(target, create=False, tell=tell).close()  # brings a backup of an older shape up to date
    photos, damaged = copy_photos(source, target)
    return replace(Copied(target, *looked_over(target, target, tell)), kept=kept, photos=photos, damaged=damaged)


def copy_over(source: Path, target: Path, tell: Tell) -> None:
    """In one transaction of the target: whoever has it open sees the old book or the new one, and so does a crash."""

    def said(_status: int, remaining: int, total: int) -> None:
        tell("putting the backup in its place", total - remaining, total)

    with open_book(source, read_only=True, create=False, older=True) as book, troubles(target):
        if not target.exists():
            fresh_copy(book.connection, target, tell)
            return
        into = sqlite3.connect(target, timeout=30, isolation_level=None)
        try:
            book.connection.backup(into, pages=PAGES_AT_ONCE, progress=said)
            into.execute("PRAGMA journal_mode = wal")
            into.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        finally:
            into.close()


def put_aside_and_replace(source: sqlite3.Connection, target: Path, tell: Tell) -> Path:
    """The file that cannot be used stays under another name, with what belongs to it."""
    aside = stamped(target, "damaged")
    shutil.copy2(target, aside)
    for ending in ("-wal", "-shm", "-journal"):
        part = target.with_name(target.name + ending)
        if part.exists():
            # A log of the old file must never be read into the new one.
            part.replace(aside.with_name(aside.name + ending))
    fresh_copy(source, target, tell)
    return aside


def stamped(target: Path, what: str) -> Path:
    stamp = datetime.now(UTC).strftime("%Y%m%dT%H%M%S%fZ")
    return target.with_name(f"{target.name}.{what}-{stamp}.bak")


def acts_lost(source: Path, target: Path, tell: Tell = quietly) -> list[str]:
    """What was done in the book at `target` and is not in the backup, the latest first. Raises BookUnusable."""
    if not target.stat().st_size:
        return []
    with open_book(source, read_only=True, create=False, older=True) as kept:
        there = {token for (token,) in kept.rows("SELECT token FROM act")}
    with open_book(target, read_only=True, create=False, older=True) as book:
        rows = book.rows("SELECT token, at, who, command FROM act ORDER BY id DESC")
        looked_over(target, target, tell)
    return [f"{at} {who or ''} {command}".replace("  ", " ") for token, at, who, command in rows if token not in there]


def would_lose(target: Path, lost: list[str]) -> Problem:
    acts = f"{len(lost)} act{'s' if len(lost) > 1 else ''}"
    found = f"{acts} of this book {'are' if len(lost) > 1 else 'is'} not in the backup and would be gone"
    more = f"\n  and {len(lost) - LATEST_SHOWN} before that" if len(lost) > LATEST_SHOWN else ""
    listed = "the last: " + "\n  ".join(lost[:LATEST_SHOWN]) + more
    step = "to do it all the same, say --force: the book is first copied beside itself"
    return Problem("restore-would-lose", str(target), found, listed, step)


def would_put_aside(target: Path, source: Path, why: Problem) -> Problem:
    with open_book(source, read_only=True, create=False, older=True) as book:
        last = book.row("SELECT count(*), max(at) FROM act")
    acts, at = last or (0, None)
    found = f"{why.found}; what it holds cannot be compared with the backup"
    holds = f"the backup has {acts} acts, the last of {at or 'no day'}; whatever was written later would be gone"
    step = "to put it in place, say --force: the file that is here is put aside and kept"
    return Problem("restore-would-lose", str(target), found, holds, step)
