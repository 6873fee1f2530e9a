"""What the reasoning needs, in a few statements that read indices: one pattern's window, and the shop's usual run.

The time axis is the moment of pouring, or of making where pouring is not on record. Both ends of a window are days
and are included. Trials, moulds lost before pouring and withdrawn rows are left out.
"""

from collections.abc import Callable, Collection, Iterable
from dataclasses import replace
from datetime import date
from typing import Any

from defectlog.book.days import DaysByDefect, bad_between, cast_between
from defectlog.book.near import not_found
from defectlog.book.open import Book
from defectlog.book.records import find, window
from defectlog.book.tables import CONVERTERS, quoted, record_from, select, table_of
from defectlog.records.fields import fields_of
from defectlog.records.histories import PatternHistory, Seen, ShopUsual
from defectlog.records.kinds import Heat, Mould, Pattern, Remedy, Sand, Verdict

# Readings beyond the latest few thousand of a kind change no estimate and cost time.
MOST_READ = 3000
# Counts and flags that say what was done with a mould, not how it was made.
NO_READING = {"castings", "trial"}
IN_FORCE = "coalesce(c.revision, 'A'), t.castings_in_it"
STOOD = "stood_h"
# Moments without a time of day are ten characters long; nothing can be told from those in hours.
STOOD_SQL = (
    "CASE WHEN length(made_at) > 10 AND length(poured_at) > 10 AND poured_at >= made_at"
    " THEN round((julianday(poured_at) - julianday(made_at)) * 24, 4) END"
)
IN_WINDOW = "counted = 1 AND cast_at >= ? AND cast_at < ?"
OF_PATTERN = f"pattern = ? AND {IN_WINDOW}"


def as_written(defect: str) -> str:
    return defect


def pattern_history(
    book: Book, pattern: str, since: date, until: date, defect_of: Callable[[str], str] = as_written
) -> PatternHistory:
    """Everything of one pattern from `since` to `until`. `defect_of` turns the shop's written defect into an id,
    "" when it is none. Raises NotFound."""
    cards = find(book, Pattern, pattern=pattern)
    if not cards:
        raise not_found(book, table_of(Pattern), pattern)
    span = (pattern, *window(since, until))
    trials, lost = left_out(book, span)
    return PatternHistory(
        pattern=pattern,
        since=since,
        until=until,
        revisions=tuple(replace(card.record, revision=card.record.revision or "A") for card in cards),
        moulds=poured_moulds(book, span),
        sands={sand.sand: sand for sand in shared(book, Sand, "sand_id", span)},
        heats={heat.heat: heat for heat in shared(book, Heat, "heat_id", span)},
        findings=tuple(findings(book, span, defect_of)),
        verdicts=tuple(item.record for item in find(book, Verdict, pattern=pattern)),
        remedies=tuple(item.record for item in find(book, Remedy, pattern=pattern)),
        trials=trials,
        lost_before_pouring=lost,
    )


def last_cast(book: Book, pattern: str) -> date | None:
    """The last day on which the pattern was poured; None when it never was."""
    found = book.value("SELECT max(cast_at) FROM mould WHERE pattern = ? AND counted = 1", (pattern,))
    return date.fromisoformat(found[:10]) if found else None


def poured_moulds(book: Book, span: tuple[str, str, str]) -> tuple[Mould, ...]:
    """In the order of pouring, revision and castings filled in."""
    table = table_of(Mould)
    rows = book.rows(
        f"{select(table, IN_FORCE, 'JOIN pattern c ON c.id = t.pattern_id')}"
        " WHERE t.pattern = ? AND t.counted = 1 AND t.cast_at >= ? AND t.cast_at < ?"
        " ORDER BY t.cast_at, t.pour_order, t.id",
        span,
    )
    names = [spec.name for spec in table.specs]
    revision, castings = names.index("revision"), names.index("castings")
    moulds = []
    for _row, *values, in_force, in_it in rows:
        values[revision], values[castings] = in_force, in_it
        moulds.append(record_from(table, values))
    return tuple(moulds)


def shared(book: Book, kind: type[Any], column: str, span: tuple[str, str, str]) -> list[Any]:
    """The sand batches or heats that a window's moulds name."""
    table = table_of(kind)
    rows = book.rows(
        f"{select(table)} WHERE t.id IN (SELECT {column} FROM mould WHERE {OF_PATTERN}) ORDER BY t.id", span
    )
    return [record_from(table, row[1:]) for row in rows]


def findings(book: Book, span: tuple[str, str, str], defect_of: Callable[[str], str]) -> Iterable[Seen]:
    moment = CONVERTERS["moment"]
    rows = book.rows(
        "SELECT f.id, m.mould, coalesce(f.castings, 1), f.defect, f.impression, f.seen, f.place,"
        ' f.disposition, f.found, f.found_at, coalesce(f."primary", 1)'
        " FROM mould m JOIN finding f ON f.mould_id = m.id"
        " WHERE m.pattern = ? AND m.counted = 1 AND m.cast_at >= ? AND m.cast_at < ? AND f.withdrawn_by IS NULL"
        " ORDER BY f.id",
        span,
    )
    for row, mould, castings, defect, impression, seen, place, disposition, found, found_at, primary in rows:
        yield Seen(
            finding=row,
            mould=mould,
            castings=castings,
            defect=defect_of(defect) if defect else "",
            impression=impression,
            seen=seen or "",
            place=place or "",
            disposition=disposition or "undecided",
            found=found or "",
            found_at=moment(found_at) if found_at else None,
            primary=bool(primary),
            defect_as_written=defect or "",
        )


def left_out(book: Book, span: tuple[str, str, str]) -> tuple[int, int]:
    """Trials, and moulds lost before pouring, in the window."""
    trials, lost = book.row(
        "SELECT coalesce(sum(trial IS 1), 0), coalesce(sum(trial IS NOT 1 AND outcome = 'lost before pouring'), 0)"
        " FROM mould WHERE pattern = ? AND counted = 0 AND cast_at >= ? AND cast_at < ? AND withdrawn_by IS NULL",
        span,
    ) or (0, 0)
    return trials, lost


def shop_usual(
    book: Book,
    since: date,
    until: date,
    defect_of: Callable[[str], str] = as_written,
    *,
    readings: Collection[str] | None = None,
) -> ShopUsual:
    """The shop's own run over all patterns, from the sums by day: as quick in a long book as in a short one.

    `readings` are the names wanted (None: all). The days of a defect are read when they are asked for.
    """
    span = window(since, until)
    moulds, castings = cast_between(book, span)
    bad = bad_between(book, span, defect_of)
    return ShopUsual(
        moulds=moulds,
        castings=castings,
        bad={name: sum(written.values()) for name, written in bad.items()},
        readings=all_readings(book, span, readings),
        days=DaysByDefect(book, span, bad),
        verdicts=tuple(item.record for item in find(book, Verdict)),
    )


def all_readings(book: Book, span: tuple[str, str], wanted: Collection[str] | None) -> dict[str, tuple[float, ...]]:
    """Reading → the values on record, the latest first: sand by mulling, heats by melting, moulds by pouring."""
    mixed = "withdrawn_by IS NULL AND mixed_at >= ? AND mixed_at < ? ORDER BY mixed_at DESC"
    melted = "withdrawn_by IS NULL AND melted_at >= ? AND melted_at < ? ORDER BY melted_at DESC"
    cast = f"{IN_WINDOW} ORDER BY cast_at DESC"
    found: dict[str, tuple[float, ...]] = {}
    for kind, condition, also in ((Sand, mixed, {}), (Heat, melted, {}), (Mould, cast, {STOOD: STOOD_SQL})):
        columns = {name: quoted(name) for name in reading_names(kind)} | also
        chosen = [name for name in columns if wanted is None or name in wanted]
        if not chosen:
            continue
        selected = ", ".join(columns[name] for name in chosen)
        rows = book.rows(f"SELECT {selected} FROM {table_of(kind).name} WHERE {condition} LIMIT {MOST_READ}", span)
        for name, values in zip(chosen, zip(*rows, strict=True) if rows else [()] * len(chosen), strict=True):
            found[name] = tuple(float(value) for value in values if value is not None)
    return found


def reading_names(kind: Any) -> tuple[str, ...]:
    """The fields of a kind that are readings: numbers, counts and yes-or-no."""
    holding = ("number", "count", "yes_no")
    return tuple(spec.name for spec in fields_of(kind) if spec.holds in holding and spec.name not in NO_READING)
