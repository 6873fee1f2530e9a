"""The review as pandas data frames, for people who go on reckoning in Python.

from datetime import date
from defectlog.book.open import open_book
from defectlog.jobs.review import review_of
from defectlog.jobs.rules import the_rules
from defectlog.report.frames import review_frames

with open_book("shop.db", read_only=True) as book:
    frames = review_frames(review_of(book, the_rules(book.path), date(2026, 3, 1), full=True))
frames["patterns"].set_index("pattern")["scrap_rate"]
"""

from collections.abc import Sequence
from datetime import date
from typing import TYPE_CHECKING, Any

from defectlog.report.review_answers import Reviewed
from defectlog.report.review_tables import Sheet, review_sheets

if TYPE_CHECKING:
    import pandas


def review_frames(reviewed: Reviewed) -> "dict[str, pandas.DataFrame]":
    """Name of the table → frame, also of empty ones. Whole numbers are Int64, rates Float64, days datetime64, text
    string; what is not known is NA."""
    return {sheet.name: frame_of(sheet) for sheet in review_sheets(reviewed)}


def frame_of(sheet: Sheet) -> "pandas.DataFrame":
    import pandas

    columns = {name: series_of([row[place] for row in sheet.rows]) for place, name in enumerate(sheet.columns)}
    return pandas.DataFrame(columns, columns=list(sheet.columns))


def series_of(cells: Sequence[Any]) -> Any:
    import pandas

    known = [cell for cell in cells if cell is not None]
    if known and all(isinstance(cell, date) for cell in known):
        return pandas.to_datetime(pandas.Series(cells, dtype="object"))
    if known and all(isinstance(cell, int) for cell in known):
        return pandas.Series(cells, dtype="Int64")
    if known and all(isinstance(cell, int | float) for cell in known):
        return pandas.Series(cells, dtype="Float64")
    return pandas.Series(cells, dtype="string" if known else "object")
