"""A month day by day: the scrap of each day, and the readings of the sand, the melt and the moulds.

For one pattern the sand and the heats are those that its moulds name, on the day those moulds were cast. For the whole
shop they stand on the day they were mixed or melted, whether or not a mould names them: in a small shop many do not.
"""

from datetime import date
from typing import Any

from defectlog.book.open import Book
from defectlog.book.tables import quoted, table_of
from defectlog.dates import month_after
from defectlog.records.fields import fields_of
from defectlog.records.kinds import Heat, Mould, Sand
from defectlog.records.ledgers import ReadingDay, ScrapDay, StripLedger

OF_MONTH = "counted = 1 AND cast_at >= ? AND cast_at < ?"
SCRAP_DAYS = """
WITH bad AS (
    SELECT m.id, sum(coalesce(f.castings, 1)) AS scrapped FROM mould m JOIN finding f ON f.mould_id = m.id
    WHERE m.counted = 1 AND m.cast_at >= ?1 AND m.cast_at < ?2 AND (?3 = '' OR m.pattern = ?3)
        AND f.withdrawn_by IS NULL AND coalesce(f."primary", 1) = 1 AND f.disposition = 'scrap' GROUP BY m.id
)
SELECT substr(m.cast_at, 1, 10) AS day, count(*), sum(bad.scrapped > 0), sum(m.castings_in_it), sum(bad.scrapped)
FROM mould m LEFT JOIN bad ON bad.id = m.id
WHERE m.counted = 1 AND m.cast_at >= ?1 AND m.cast_at < ?2 AND (?3 = '' OR m.pattern = ?3) GROUP BY day ORDER BY day
"""
UNITS = ((Sand, "sand", "mixed_at"), (Heat, "heat", "melted_at"), (Mould, "mould", "cast_at"))


def strip_ledger(book: Book, month: date, pattern: str = "") -> StripLedger:
    """`month` by its first day; `pattern` "" for the whole shop. Raises BookUnusable."""
    span = (month.isoformat(), month_after(month).isoformat())
    scrap = tuple(
        ScrapDay(date.fromisoformat(day), moulds, with_scrap or 0, castings, scrapped or 0)
        for day, moulds, with_scrap, castings, scrapped in book.rows(SCRAP_DAYS, (*span, pattern))
    )
    readings: list[ReadingDay] = []
    unit_of: dict[str, str] = {}
    for kind, unit, at in UNITS:
        names = reading_names(kind)
        unit_of |= dict.fromkeys(names, unit)
        readings += reading_days(names, unit_rows(book, kind, at, names, span, pattern))
    return StripLedger(scrap, tuple(readings), unit_of)


def reading_names(kind: Any) -> tuple[str, ...]:
    return tuple(spec.name for spec in fields_of(kind) if spec.holds == "number")


def unit_rows(
    book: Book, kind: Any, at: str, names: tuple[str, ...], span: tuple[str, str], pattern: str
) -> list[tuple[Any, ...]]:
    """Day and readings of every batch, heat or mould of the month, in the order of the days."""
    columns = ", ".join(f"u.{quoted(name)}" for name in names)
    table = table_of(kind).name
    if kind is Mould:
        narrowed, values = ("", span) if not pattern else (" AND pattern = ?", (*span, pattern))
        sql = f"SELECT substr(u.cast_at, 1, 10) AS day, {columns} FROM mould u WHERE {OF_MONTH}{narrowed} ORDER BY day"
        return book.rows(sql, values)
    if pattern:
        link = f"SELECT DISTINCT {table}_id AS unit, substr(cast_at, 1, 10) AS day FROM mould WHERE {OF_MONTH}"
        sql = f"SELECT n.day, {columns} FROM ({link} AND pattern = ?) n JOIN {table} u ON u.id = n.unit ORDER BY n.day"
        return book.rows(sql, (*span, pattern))
    sql = (
        f"SELECT substr(u.{at}, 1, 10) AS day, {columns} FROM {table} u"
        f" WHERE u.withdrawn_by IS NULL AND u.{at} >= ? AND u.{at} < ? ORDER BY day"
    )
    return book.rows(sql, span)


def reading_days(names: tuple[str, ...], rows: list[tuple[Any, ...]]) -> list[ReadingDay]:
    by_day: dict[str, list[tuple[Any, ...]]] = {}
    for day, *values in rows:
        by_day.setdefault(day, []).append(tuple(values))
    return [
        ReadingDay(
            name, date.fromisoformat(day), len(units), tuple(unit[place] for unit in units if unit[place] is not None)
        )
        for place, name in enumerate(names)
        for day, units in by_day.items()
    ]
