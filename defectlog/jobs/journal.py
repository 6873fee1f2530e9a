"""What befell a record, what an act did, and the last acts: the journal made ready to be read."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import datetime
from typing import Any

from defectlog.book.journal import ActLine, Entry, act_line, history, last_acts, stands_for
from defectlog.book.open import Book
from defectlog.book.rows import row_label
from defectlog.book.tables import Table
from defectlog.book.undo import Undone, added_runs, changed_rows, undo
from defectlog.errors import Ambiguous, NotFound, Problem
from defectlog.jobs.which import NAMED, exactly, which
from defectlog.records.fields import FieldSpec, field_of
from defectlog.report.answers import Which
from defectlog.report.journal import Done, Life, changed_text
from defectlog.report.values import drawn_together

ACT = "act"
CELLS_READ = 2000  # of one act; a whole import is summed up by the book itself


def recent(book: Book, limit: int) -> tuple[Done, ...]:
    """The last acts, the latest first."""
    return tuple(done(line) for line in last_acts(book, limit))


def life_of(book: Book, words: Sequence[str]) -> Life:
    """ "M-231", "heat H-7", "act 12" or "12". Raises NotFound; Ambiguous when several things answer."""
    act = act_meant(book, words)
    if act is not None:
        line = act_line(book, act)
        return Life(Which(ACT, str(act)), (done(line, tuple(what_it_did(book, act))),))
    what = which(book, words, "history")
    entries = history(book, NAMED[what.kind], what.name)
    return Life(what, tuple(by_act(what.kind, entries)))


def take_back(
    book: Book, act: int | None, *, who: str | None, why: str | None, token: str | None = None, dry_run: bool = False
) -> Undone:
    """As book.undo.undo; what it did is said of all the records at once. Raises NotFound, BadInput."""
    undone = undo(book, act, who=who, why=why, token=token, dry_run=dry_run)
    if not undone.by or undone.act.added + undone.act.changed > CELLS_READ:
        return undone
    return replace(undone, lines=tuple(what_it_did(book, undone.by)))


def act_meant(book: Book, words: Sequence[str]) -> int | None:
    """The number of an act, when that is what was typed."""
    if len(words) == 2 and words[0].casefold() == ACT:
        if not words[1].isdigit():
            raise NotFound(
                Problem("act-unknown", "history", f"{words[1]!r} is not the number of an act", "allowed: act 12")
            )
        return int(words[1])
    if len(words) != 1 or not words[0].isdigit():
        return None
    others = exactly(book, words[0], tuple(NAMED))
    if others:
        listed = " or ".join([f"act {words[0]}", *(f"{item.kind} {item.name}" for item in others)])
        step = f"say which: defectlog history act {words[0]}"
        found = f"{words[0]!r} could be {listed}"
        raise Ambiguous(Problem("several-match", "history", found, "allowed: its kind and its name", step))
    try:
        return act_line(book, int(words[0])).id
    except NotFound:
        return None


def done(line: ActLine, what: tuple[str, ...] = ()) -> Done:
    """Times of the journal are UTC; people read the clock on the wall."""
    at = datetime.fromisoformat(line.at.replace("Z", "+00:00")).astimezone()
    return Done(line.id, f"{at:%Y-%m-%d %H:%M}", line.who, line.command, line.why, line.undone_by, line.added, what)


def by_act(kind: str, entries: Sequence[Entry]) -> Iterator[Done]:
    """What one act did to the record, all its entries together."""
    grouped: dict[int, list[Entry]] = {}
    for entry in entries:
        grouped.setdefault(entry.act.id, []).append(entry)
    for same in grouped.values():
        yield done(same[0].act, tuple(entry_text(kind, entry) for entry in same))


def entry_text(kind: str, entry: Entry) -> str:
    if entry.field == "":
        return entry.what
    return changed_text(entry.field, spec_of(NAMED[kind], entry.field), entry.was, entry.became)


def spec_of(kind: Any, name: str) -> FieldSpec | None:
    try:
        return field_of(kind, name)
    except KeyError:
        return None


def what_it_did(book: Book, act: int) -> Iterator[str]:
    """Rows an act added and cells it changed."""
    for table, first, last in added_runs(book, act):
        yield f"added {row_label(book, table, first)}" + (
            f" to {row_label(book, table, last)}, {last - first + 1} in all" if last > first else ""
        )
    told = [
        (row_label(book, row.table, row.row), cell_text(book, row.table, column, was, became))
        for row in changed_rows(book, act)
        for column, (became, was) in row.cells.items()
    ]
    yield from drawn_together(told)


def cell_text(book: Book, table: Table, column: str, was: Any, became: Any) -> str:
    if column == "withdrawn_by":
        return "put back" if became is None else "withdrawn"
    name = table.field_of(column)
    before, after = (stands_for(book, table, column, value) for value in (was, became))
    return changed_text(name, spec_of(table.kind, name), before, after)
