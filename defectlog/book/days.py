"""The sums by day and month: what the shop poured and what was bad, kept by triggers, so that a long book is read as
fast as a short one.

day_cast: day, pattern → moulds, castings. day_bad: day, pattern, defect as written → castings, whether it is the
primary defect or not. month_became: month, pattern → moulds with findings of a primary defect and what became of
their castings. Counted are the moulds that the rates count, by the day they were cast on.
"""

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from datetime import date
from typing import Any

from defectlog.book.open import Book, troubles
from defectlog.records.histories import DefectDay

# The latest so many days of patterns, of one defect: more of them change no estimate and cost time.
MOST_DAYS = 3000
SUMS = {
    "day_cast": (
        "SELECT substr(cast_at, 1, 10), pattern, count(*), sum(castings_in_it), sum(castings_in_it * castings_in_it)"
        " FROM mould WHERE counted = 1 AND cast_at IS NOT NULL GROUP BY 1, 2"
    ),
    "day_bad": (
        "SELECT substr(m.cast_at, 1, 10), m.pattern, coalesce(f.defect, ''), sum(coalesce(f.castings, 1))"
        " FROM finding f CROSS JOIN mould m ON m.id = f.mould_id"
        " WHERE f.withdrawn_by IS NULL AND m.counted = 1 AND m.cast_at IS NOT NULL GROUP BY 1, 2, 3"
    ),
    "month_became": (
        "SELECT month, pattern, count(*), sum(scrapped > 0), sum(scrapped), sum(reworked), sum(used_as_is),"
        " sum(undecided), sum(scrapped * scrapped), sum(scrapped * castings_in_it) FROM mould_became GROUP BY 1, 2"
    ),
}


def cast_between(book: Book, span: tuple[str, str]) -> tuple[int, int]:
    """Moulds and castings of the days from the first until before the second."""
    sql = "SELECT coalesce(sum(moulds), 0), coalesce(sum(castings), 0) FROM day_cast WHERE day >= ? AND day < ?"
    moulds, castings = book.row(sql, span) or (0, 0)
    return moulds, castings


def bad_between(book: Book, span: tuple[str, str], defect_of: Callable[[str], str]) -> dict[str, dict[str, int]]:
    """Defect → the names it is written under (all of the book's whose days lie in the span) → castings."""
    found: dict[str, dict[str, int]] = {}
    sql = "SELECT defect, sum(castings) FROM day_bad WHERE day >= ? AND day < ? GROUP BY defect"
    for written, castings in book.rows(sql, span):
        found.setdefault(defect_of(written), {})[written] = castings
    return found


def defect_days(book: Book, span: tuple[str, str], written: Collection[str]) -> tuple[DefectDay, ...]:
    """The days of the patterns that had the defect at all in the span, bad or not, the earliest first.

    `written` are the names it has in the book. Of a long span the latest MOST_DAYS.
    """
    marks = ", ".join("?" * len(written))
    sql = (
        "SELECT c.pattern, c.day, c.moulds, c.castings,"
        f" (SELECT sum(b.castings) FROM day_bad b WHERE b.day = c.day AND b.pattern = c.pattern"
        f"  AND b.defect IN ({marks}))"
        " FROM day_cast c WHERE c.day >= ? AND c.day < ? AND c.pattern IN"
        f" (SELECT pattern FROM day_bad WHERE defect IN ({marks}) AND day >= ? AND day < ?)"
        " ORDER BY c.day DESC, c.pattern DESC LIMIT ?"
    )
    rows = book.rows(sql, [*written, *span, *written, *span, MOST_DAYS])
    return tuple(
        # Two findings of one defect on one casting are one bad casting at most.
        DefectDay(pattern, date.fromisoformat(day), moulds, castings, min(bad or 0, castings))
        for pattern, day, moulds, castings, bad in reversed(rows)
    )


class DaysByDefect(Mapping[str, tuple[DefectDay, ...]]):
    """Defect → its days, read when they are asked for: most answers go into one defect of many.

    The book must still be open then.
    """

    def __init__(self, book: Book, span: tuple[str, str], names: Mapping[str, Collection[str]]) -> None:
        self.book = book
        self.span = span
        self.names = names
        self.read: dict[str, tuple[DefectDay, ...]] = {}

    def __getitem__(self, defect: str) -> tuple[DefectDay, ...]:
        if defect not in self.read:
            self.read[defect] = defect_days(self.book, self.span, self.names[defect])
        return self.read[defect]

    def __iter__(self) -> Iterator[str]:
        return iter(self.names)

    def __len__(self) -> int:
        return len(self.names)


def sums_that_differ(book: Book) -> list[str]:
    """The tables of sums that do not say what the records say."""
    return [name for name in SUMS if differs(book, name)]


def differs(book: Book, name: str) -> bool:
    def first(one: str, other: str) -> Any:
        return book.row(f"SELECT * FROM ({one} EXCEPT {other}) LIMIT 1")

    kept, counted = f"SELECT * FROM {name}", SUMS[name]
    return first(kept, counted) is not None or first(counted, kept) is not None


def count_anew(book: Book, names: Iterable[str] = tuple(SUMS)) -> None:
    """Throw the sums away and make them again from the records. Raises BookUnusable."""
    with troubles(book.path):
        book.connection.execute("BEGIN IMMEDIATE")
        try:
            for name in names:
                book.connection.execute(f"DELETE FROM {name}")
                book.connection.execute(f"INSERT INTO {name} {SUMS[name]}")
            book.connection.execute("COMMIT")
        except BaseException:
            book.connection.execute("ROLLBACK")
            raise
