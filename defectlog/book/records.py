"""Reading records of any kind: one by its name, many by what they share."""

from collections.abc import Mapping, Sequence
from datetime import date, datetime, timedelta
from typing import Any, TypeVar

from defectlog.book import near
from defectlog.book.near import Resolved
from defectlog.book.open import Book
from defectlog.book.rows import Key, Stored, fetch
from defectlog.book.tables import Table, quoted, record_from, select, stored_value, table_of

R = TypeVar("R")


def get(book: Book, kind: type[R], key: Key) -> Stored[R]:
    """Raises NotFound with the nearest names; Ambiguous for a pattern of several cards named without revision."""
    row, record = fetch(book, table_of(kind), key)
    return Stored(row, record)


def find(
    book: Book, kind: type[R], *, limit: int | None = None, newest_first: bool = False, **equal: Any
) -> list[Stored[R]]:
    """Live records whose fields equal what is given (`pattern="P-104"`, `heat="H-7"`), in the order they were written.

    A field may be given a list: any of its values. Raises KeyError for a field the kind has not.
    """
    table = table_of(kind)
    conditions, values = matching(table, equal)
    order = f"t.id{' DESC' if newest_first else ''}"
    rows = book.rows(
        f"{select(table)} WHERE {conditions} ORDER BY {order} LIMIT ?", [*values, -1 if limit is None else limit]
    )
    return [Stored(row[0], record_from(table, row[1:])) for row in rows]


def find_between(
    book: Book, kind: type[R], field: str, since: date | None, until: date | None, **equal: Any
) -> list[Stored[R]]:
    """Live records whose day or moment `field` lies from `since` to `until`, both days included, in its order."""
    table = table_of(kind)
    conditions, values = matching(table, equal)
    column = f"t.{quoted(field)}"
    sql = f"{select(table)} WHERE {conditions} AND {column} >= ? AND {column} < ? ORDER BY {column}, t.id"
    rows = book.rows(sql, [*values, *window(since, until)])
    return [Stored(row[0], record_from(table, row[1:])) for row in rows]


def matching(table: Table, equal: Mapping[str, Any]) -> tuple[str, list[Any]]:
    """The SQL condition, and its values, of live rows whose fields equal what is given."""
    known = {spec.name for spec in table.specs}
    conditions = ["t.withdrawn_by IS NULL"]
    values: list[Any] = []
    for name, wanted in equal.items():
        if name not in known:
            raise KeyError(name)
        some = [stored_value(item) for item in (wanted if isinstance(wanted, list | tuple) else [wanted])]
        marks = ", ".join("?" * len(some))
        target = table.links.get(name)
        if target is None:
            conditions.append(f"t.{quoted(name)} IN ({marks})")
        else:
            key = quoted(table_of(target).key[0])
            live = f"SELECT id FROM {target} WHERE {key} IN ({marks}) AND withdrawn_by IS NULL"
            conditions.append(f"t.{table.column(name)} IN ({live})")
        values += some
    return " AND ".join(conditions), values


def window(since: date | None, until: date | None) -> tuple[str, str]:
    """The two ends as text that sorts with stored days and moments: from the first day to before the day after."""
    after = until + timedelta(days=1) if until is not None and until < date.max else date.max
    return (since or date.min).isoformat(), after.isoformat()


def count(book: Book, kind: type[Any]) -> int:
    """Live records of a kind."""
    return int(book.value(f"SELECT count(*) FROM {table_of(kind).name} WHERE withdrawn_by IS NULL"))


def resolve(book: Book, kind: type[Any], typed: str) -> Resolved:
    """What a typed name stands for; see near.resolve. Kinds with a name only: cards, sand, heats, moulds."""
    return near.resolve(book, table_of(kind), typed)


def first_and_last_day(book: Book) -> tuple[date, date] | None:
    """The first and the last day on which anything was cast, or None in an empty book."""
    # Each end by itself is one step in the index; both in one question would read all of it.
    ends = (f"(SELECT {end}(cast_at) FROM mould WHERE counted = 1)" for end in ("min", "max"))
    row = book.row(f"SELECT {', '.join(ends)}")
    if row is None or row[0] is None:
        return None
    return datetime.fromisoformat(row[0]).date(), datetime.fromisoformat(row[1]).date()


def castings_of(book: Book, moulds: Sequence[str]) -> dict[str, int]:
    """Mould → castings in it, the default filled in."""
    found: dict[str, int] = {}
    for start in range(0, len(moulds), 500):
        some = moulds[start : start + 500]
        marks = ", ".join("?" * len(some))
        sql = f"SELECT mould, castings_in_it FROM mould WHERE mould IN ({marks}) AND withdrawn_by IS NULL"
        found |= dict(book.rows(sql, some))
    return found
