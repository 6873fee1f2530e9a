"""What else was made of one pattern's batches of sand and poured from its heats: did the other patterns fail too?

Read by the indices of sand and heat, so that it costs as much as the pattern has company and not as the book is long.
"""

from collections import Counter, defaultdict
from collections.abc import Callable
from datetime import date

from defectlog.book.open import Book
from defectlog.book.records import window
from defectlog.records.histories import Alongside

OURS = "SELECT {column} FROM mould WHERE pattern = ? AND counted = 1 AND cast_at >= ? AND cast_at < ?"
# Each of the two by its own index: both in one question would read every mould of the book.
SHARED = " UNION ".join(
    f"SELECT id FROM mould WHERE {column} IN ({OURS.format(column=column)})" for column in ("sand_id", "heat_id")
)
# CROSS JOIN holds SQLite to that order.
COMPANY = f"FROM ({SHARED}) o CROSS JOIN mould m ON m.id = o.id"
OTHERS = "m.counted = 1 AND m.pattern <> ?"
MOULDS = f"SELECT m.pattern, count(*) {COMPANY} WHERE {OTHERS} GROUP BY m.pattern"
# One row a mould and defect: two findings of one defect on a mould are one bad mould.
BAD = (
    f"SELECT DISTINCT m.pattern, m.id, f.defect {COMPANY} CROSS JOIN finding f ON f.mould_id = m.id"
    f" WHERE {OTHERS} AND f.withdrawn_by IS NULL AND f.defect IS NOT NULL"
)


def made_alongside(book: Book, pattern: str, since: date, until: date, defect_of: Callable[[str], str]) -> Alongside:
    """The window is that of the pattern's own moulds. `defect_of` turns the shop's written defect into an id."""
    span = (pattern, *window(since, until))
    asked = (*span, *span, pattern)
    found: dict[str, dict[int, str]] = defaultdict(dict)
    for other, mould, written in book.rows(BAD, asked):
        found[defect_of(written)][mould] = other
    return Alongside(
        moulds=dict(book.rows(MOULDS, asked)),
        bad={defect: Counter(moulds.values()) for defect, moulds in found.items()},
    )
