"""Taking back an act by a further act: rows it added are withdrawn, cells it changed get their old values.

What later acts build on is not taken back: the refusal names them. An undo can be undone like any other act.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from defectlog.book.acts import Act, writing
from defectlog.book.journal import ActLine, act_line, last_standing, stands_for
from defectlog.book.open import Book
from defectlog.book.rows import key_in_use, label, pattern_unknown, rests_on, row_label
from defectlog.book.tables import BY_NAME, TABLES, WORKED_OUT, Table, quoted, record_from, select
from defectlog.errors import BadInput, Problem
from defectlog.records.cells import number_text

FOLLOWING = {column for columns in WORKED_OUT.values() for column in columns}
LINES_SAID = 20
STANDING = "allowed: an act that stands, not one that was taken back"


@dataclass(frozen=True, slots=True)
class Undone:
    """The act that was taken back, the act that did it (0 on a dry run), and what changed, said line by line."""

    act: ActLine
    by: int
    lines: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Row:
    """A row whose cells go back: column → (what it is now, what it was)."""

    table: Table
    row: int
    cells: dict[str, tuple[Any, Any]]


def undo(
    book: Book,
    act: int | None = None,
    *,
    who: str | None = None,
    why: str | None = None,
    token: str | None = None,
    dry_run: bool = False,
) -> Undone:
    """Take back `act`, or the last one that still stands; with a `token` that did so before, nothing more.

    Raises NotFound, or BadInput when there is nothing to undo, it is undone already, or later acts build on it.
    """
    earlier = book.row("SELECT id, undoes FROM act WHERE token = ? AND undoes IS NOT NULL", (token,))
    if earlier is not None:
        return Undone(act_line(book, earlier[1]), earlier[0], ())
    target = last_standing(book) if act is None else act
    if target is None:
        found, step = "nothing was written yet, or all of it is undone", "to see the acts: defectlog history"
        raise BadInput(Problem("nothing-to-undo", "undo", found, STANDING, step))
    act_line(book, target)
    with writing(book, f"undo {target}", who=who, why=why, token=token, undoes=target, dry_run=dry_run) as undoing:
        line = act_line(book, target)
        by = book.value("SELECT max(id) FROM act WHERE undoes = ? AND id < ?", (target, undoing.id))
        if by is not None and act_line(book, by).undone_by is None:
            found = f"act {target} is undone already, by act {by}"
            raise BadInput(Problem("undone-already", "undo", found, STANDING, f"to have it back: defectlog undo {by}"))
        lines = list(take_back(undoing, line))
    return Undone(line, undoing.id if undoing.wrote else 0, tuple(lines[:LINES_SAID]))


def take_back(undoing: Act, line: ActLine) -> Iterator[str]:
    book = undoing.book
    rows = changed_rows(book, line.id)
    refuse([problem for row in rows for problem in changed_since(book, row)])
    refuse([problem for run in added_runs(book, line.id) for problem in built_on(book, line.id, *run)])
    # What comes back to life comes first and from the top: a mould needs its card.
    for row in sorted(rows, key=lambda row: (not row.cells.get("withdrawn_by"), TABLES.index(row.table))):
        yield from put_back(undoing, row)
    for table, first, last in sorted(added_runs(book, line.id), key=lambda run: -TABLES.index(run[0])):
        yield withdraw_run(undoing, table, first, last)
    refuse([problem for row in rows for problem in dangling(book, row)])


def refuse(problems: list[Problem]) -> None:
    if problems:
        raise BadInput(dict.fromkeys(problems))


def changed_rows(book: Book, act: int) -> list[Row]:
    """The rows an act changed; what was only worked out is left to follow."""
    rows: dict[tuple[str, int], Row] = {}
    sql = "SELECT kind, row, field, was, became FROM change WHERE act = ? ORDER BY id"
    for kind, number, column, was, became in book.rows(sql, (act,)):
        if column in FOLLOWING:
            continue
        row = rows.setdefault((kind, number), Row(BY_NAME[kind], number, {}))
        first = row.cells.get(column, (became, was))
        row.cells[column] = (became, first[1])
    return list(rows.values())


def added_runs(book: Book, act: int) -> list[tuple[Table, int, int]]:
    sql = "SELECT kind, first_row, last_row FROM added WHERE act = ?"
    return [(BY_NAME[kind], first, last) for kind, first, last in book.rows(sql, (act,))]


def changed_since(book: Book, row: Row) -> list[Problem]:
    """A cell that holds something else now was changed by a later act."""
    columns = ", ".join(map(quoted, row.cells))
    now = book.row(f"SELECT {columns} FROM {row.table.name} WHERE id = ?", (row.row,)) or ()
    problems = []
    for (column, (became, _was)), value in zip(row.cells.items(), now, strict=True):
        if value != became:
            sql = "SELECT max(act) FROM change WHERE kind = ? AND row = ? AND field = ?"
            later = book.value(sql, (row.table.name, row.row, column))
            problems.append(depended(book, later, row_label(book, row.table, row.row), "changed it again"))
    return problems


def built_on(book: Book, act: int, table: Table, first: int, last: int) -> list[Problem]:
    """Later acts that changed rows of a run, or added rows that point to it."""
    problems = []
    sql = (
        "SELECT DISTINCT c.act, c.row FROM change c JOIN act a ON a.id = c.act"
        " WHERE c.kind = ? AND c.row BETWEEN ? AND ? AND c.act <> ? AND a.undoes IS NULL"
        " AND c.field NOT IN ('pattern_id', 'castings_in_it') ORDER BY 1, 2"
    )
    for later, row in book.rows(sql, (table.name, first, last, act)):
        if act_line(book, later).undone_by is None:
            problems.append(depended(book, later, row_label(book, table, row), "changed it"))
    for other in TABLES:
        for name, target in other.links.items():
            if target == table.name:
                sql = (
                    f"SELECT added_by, id FROM {other.name} WHERE {other.column(name)} BETWEEN ? AND ?"
                    " AND withdrawn_by IS NULL AND added_by <> ? LIMIT 5"
                )
                for later, row in book.rows(sql, (first, last, act)):
                    problems.append(depended(book, later, row_label(book, other, row), "rests on it"))
    return problems


def depended(book: Book, later: int, name: str, how: str) -> Problem:
    line = act_line(book, later)
    found = f"{name}: act {later} ({line.command}) {how}"
    rule = "an act is undone after those that build on it"
    return Problem("depended-on", "undo", found, rule, f"defectlog undo {later}")


def put_back(undoing: Act, row: Row) -> Iterator[str]:
    """Give a row's cells their old values."""
    book, table = undoing.book, row.table
    if table.name == "pattern":
        refuse(card_kept(book, row))
    clash = name_taken(book, row)
    refuse([clash] if clash else [])
    if row.cells.get("withdrawn_by", (None, None))[1] is not None:
        # The act had put the row back to life: it is withdrawn again, by this act.
        row.cells["withdrawn_by"] = (None, undoing.id)
        refuse(rests_on(book, table, row.row, record_of(book, table, row.row)))
    undoing.update(table, row.row, {column: was for column, (_, was) in row.cells.items()})
    name = row_label(book, table, row.row)
    for column, (now, was) in row.cells.items():
        if column == "withdrawn_by":
            yield f"{name}: {'back in the book' if was is None else 'withdrawn'}"
        else:
            old, new = (shown(stands_for(book, table, column, value)) for value in (now, was))
            yield f"{name}: {table.field_of(column)} was {old}, is {new} again"


def shown(value: Any) -> str:
    if value is None:
        return "nothing"
    return number_text(value) if isinstance(value, float) else str(value)


def record_of(book: Book, table: Table, row: int) -> Any:
    return record_from(table, (book.row(f"{select(table)} WHERE t.id = ?", (row,)) or ())[1:])


def card_kept(book: Book, row: Row) -> list[Problem]:
    """A card's number and revision cannot go back under the moulds that were made to it since."""
    before = record_of(book, row.table, row.row)
    old = {name: was for name, (_, was) in row.cells.items() if name in row.table.key}
    if not old:
        return []
    values = {spec.name: getattr(before, spec.name) for spec in row.table.specs} | old
    return key_in_use(book, row.table, before, row.table.kind(**values), label(row.table, before))


def name_taken(book: Book, row: Row) -> Problem | None:
    """Coming back to life, or to its old name, a row may find its name given to another."""
    table = row.table
    if not table.key:
        return None
    columns = ["withdrawn_by", *table.key]
    values = book.row(f"SELECT {', '.join(columns)} FROM {table.name} WHERE id = ?", (row.row,)) or ()
    now = dict(zip(columns, values, strict=True))
    after = now | {column: was for column, (_, was) in row.cells.items() if column in columns}
    if after["withdrawn_by"] is not None:
        return None
    names = [after[column] for column in table.key]
    revision = " AND coalesce(revision, 'A') = coalesce(?, 'A')" if table.name == "pattern" else ""
    same = f"{quoted(table.key[0])} = ?{revision} AND withdrawn_by IS NULL AND id <> ?"
    later = book.value(f"SELECT added_by FROM {table.name} WHERE {same}", [*names, row.row])
    if later is None:
        return None
    return depended(book, later, f"{table.name} {names[0]}", "has given the name to another row")


def withdraw_run(undoing: Act, table: Table, first: int, last: int) -> str:
    """Withdraw the rows an act added, in one statement."""
    book = undoing.book
    condition = "id BETWEEN ? AND ? AND withdrawn_by IS NULL"
    live = book.rows(f"SELECT id FROM {table.name} WHERE {condition}", (first, last))
    if table.name == "pattern":
        for (row,) in live:
            undoing.withdraw_row(table, row, record_of(book, table, row))
    else:
        counted = ", counted = 0" if table.name == "mould" else ""
        sql = f"UPDATE {table.name} SET withdrawn_by = ?{counted} WHERE {condition}"
        undoing.execute(sql, (undoing.id, first, last))
    ends = [row_label(book, table, row) for (row,) in (live if len(live) <= 2 else [live[0], live[-1]])]
    return f"withdrawn: {f'{len(live)}, ' + ' to '.join(ends) if len(live) > 2 else ', '.join(ends)}"


def dangling(book: Book, row: Row) -> list[Problem]:
    """A live row that would now point to one that was withdrawn since."""
    table = row.table
    problems = []
    for name, target in table.links.items():
        sql = (
            f"SELECT o.id, o.withdrawn_by FROM {table.name} t JOIN {target} o ON o.id = t.{table.column(name)}"
            " WHERE t.id = ? AND t.withdrawn_by IS NULL AND o.withdrawn_by IS NOT NULL"
        )
        for other, later in book.rows(sql, (row.row,)):
            problems.append(depended(book, later, row_label(book, BY_NAME[target], other), "withdrew it"))
    if book.value(f"SELECT withdrawn_by FROM {table.name} WHERE id = ?", (row.row,)) is None:
        record = record_of(book, table, row.row)
        problems += pattern_unknown(book, table, record, label(table, record))
    return problems
