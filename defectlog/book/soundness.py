"""Is the file itself sound: whole, its journal unbroken and untouched, its sums right?"""

from collections.abc import Iterator
from typing import Any

from defectlog.book.chain import digest_of, sealed_columns
from defectlog.book.days import count_anew, sums_that_differ
from defectlog.book.open import Book
from defectlog.book.progress import Tell, quietly, ticking
from defectlog.book.rows import row_label
from defectlog.book.tables import TABLES, Table, quoted
from defectlog.errors import Problem

AT_ONCE = 2000
KEEP = "keep the file as it is, and compare it with the last backup"
ONLY_READ = "they are counted anew as soon as the book may be written"
BY_HAND = "records change by acts of this program alone"


def file_problems(book: Book, tell: Tell = quietly) -> list[Problem]:
    """Everything about the file that its records do not show. Sums that were wrong are counted anew, and said."""
    with ticking(book.connection, "looking the file over", tell):
        problems = damage(book)
    if problems:
        return problems
    problems += seals(book, tell)
    with ticking(book.connection, "looking the journal over", tell):
        problems += strangers(book)
    problems += trails(book, tell)
    with ticking(book.connection, "counting the days anew", tell):
        return problems + sums(book)


def damage(book: Book) -> list[Problem]:
    """Pages, indices, CHECKs and references, as SQLite itself sees them."""
    said = [text for (text,) in book.rows("PRAGMA integrity_check(20)") if text != "ok"]
    dangling = book.rows("PRAGMA foreign_key_check")
    found = [f"{table} row {row} points to a row of {target} that is not there" for table, row, target, _ in dangling]
    where = str(book.path)
    step = "restore a backup: defectlog restore FILE"
    return [Problem("book-torn", where, f"the book is damaged: {text}", "", step) for text in [*said, *found[:20]]]


def seals(book: Book, tell: Tell) -> Iterator[Problem]:
    """Acts that do not agree with their seals, and acts that are missing. Each is told once: the next act is held
    against the seal that stands in the book, right or wrong."""
    acts = book.rows("SELECT a.id, a.command, c.digest FROM act a LEFT JOIN chain c ON c.act = a.id ORDER BY a.id")
    before, expected = "", 1
    for act, command, digest in acts:
        tell("journal", act, acts[-1][0])
        if act != expected:
            yield journal_problem(act, f"the acts from {expected} to {act - 1} are not in the journal any more")
        if digest is None:
            yield journal_problem(act, f"act {act} ({command}) has no seal")
        elif digest_of(book.connection, act, before, tell) != digest:
            found = f"act {act} ({command}) is not as it was sealed: the journal or rows it wrote were changed by hand"
            yield journal_problem(act, found)
        before, expected = digest or "", act + 1


def journal_problem(act: int, found: str) -> Problem:
    return Problem("journal-broken", f"act {act}", found, BY_HAND, KEEP)


def strangers(book: Book) -> Iterator[Problem]:
    """Rows that no act added: each run of an act is sealed, so counting them all is enough."""
    told = dict(book.rows("SELECT kind, sum(last_row - first_row + 1) FROM added GROUP BY kind"))
    for table in TABLES:
        there = book.value(f"SELECT count(*) FROM {table.name}")
        if there != told.get(table.name, 0):
            found = f"{there} rows, and the journal tells of {told.get(table.name, 0)}"
            yield Problem("journal-broken", f"table {table.name}", found, BY_HAND, KEEP)


def trails(book: Book, tell: Tell) -> Iterator[Problem]:
    """Cells that hold something else than the last change says, or changes that do not follow one on the other."""
    for table in TABLES:
        last = book.value("SELECT max(row) FROM change WHERE kind = ?", (table.name,)) or 0
        for first in range(1, last + 1, AT_ONCE):
            tell(f"changes of every {table.name}", first, last)
            yield from trails_of(book, table, first, first + AT_ONCE - 1)


def trails_of(book: Book, table: Table, first: int, last: int) -> Iterator[Problem]:
    held: dict[tuple[int, str], Any] = {}
    torn: set[tuple[int, str]] = set()
    sql = "SELECT row, field, was, became FROM change WHERE kind = ? AND row BETWEEN ? AND ? ORDER BY id"
    for row, column, was, became in book.rows(sql, (table.name, first, last)):
        if held.get((row, column), was) != was:
            torn.add((row, column))
        held[row, column] = became
    if not held:
        return
    columns = sealed_columns(table)
    sql = f"SELECT {', '.join(map(quoted, columns))} FROM {table.name} WHERE id BETWEEN ? AND ?"
    for values in book.rows(sql, (first, last)):
        now = dict(zip(columns, values, strict=True))
        torn |= {(now["id"], name) for name in columns if held.get((now["id"], name), now[name]) != now[name]}
    for row, column in sorted(torn):
        found = f"{table.field_of(column)} is not what the journal says it became"
        yield Problem("journal-broken", row_label(book, table, row), found, BY_HAND, KEEP)


def sums(book: Book) -> list[Problem]:
    wrong = sums_that_differ(book)
    if not wrong:
        return []
    mended = ONLY_READ if book.read_only else "they were counted anew from the records just now"
    if not book.read_only:
        count_anew(book, wrong)
    return [
        Problem(
            "sums-differ",
            str(book.path),
            "the sums did not agree with the records",
            mended,
            "to be sure: defectlog check",
        )
    ]


def sealed_from(book: Book) -> tuple[int, int, str]:
    """How many acts there are, how many of them were sealed late (older than the seals), and the last seal."""
    acts, late = book.row("SELECT count(*), coalesce(sum(late), 0) FROM chain") or (0, 0)
    return acts, late, book.value("SELECT digest FROM chain ORDER BY act DESC LIMIT 1") or ""
