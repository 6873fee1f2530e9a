"""The review as one CSV sheet: a row a pattern, then a row a defect. Text never becomes a formula."""

import csv
import io
from collections.abc import Iterator

from defectlog.review.month import MonthReview
from defectlog.sheets.guard import guarded

COLUMNS = (
    "kind", "month", "by", "name", "moulds", "moulds_with_scrap", "castings", "scrapped", "reworked", "used_as_is",
    "undecided", "scrap_rate", "interval_low", "interval_high", "expected", "signal", "main_defect", "kg", "cost",
)  # fmt: skip
Cell = str | int | float | None


def review_csv(review: MonthReview) -> str:
    """UTF-8 text with a header row; an unknown is an empty cell."""
    file = io.StringIO(newline="")
    writer = csv.writer(file, lineterminator="\n")
    writer.writerow(COLUMNS)
    for row in rows_of(review):
        writer.writerow([cell(row.get(column)) for column in COLUMNS])
    return file.getvalue()


def cell(value: Cell) -> str:
    if value is None:
        return ""
    if isinstance(value, float):
        return f"{value:.6g}"
    return guarded(value) if isinstance(value, str) else str(value)


def rows_of(review: MonthReview) -> Iterator[dict[str, Cell]]:
    month = review.month.strftime("%Y-%m")
    for row in review.patterns:
        counts = row.counts
        yield {
            "kind": "pattern",
            "month": month,
            "by": review.by,
            "name": row.pattern,
            "moulds": counts.moulds,
            "moulds_with_scrap": counts.moulds_with_scrap,
            "castings": counts.castings,
            "scrapped": counts.scrapped,
            "reworked": counts.reworked,
            "used_as_is": counts.used_as_is,
            "undecided": counts.undecided,
            "scrap_rate": row.scrap_rate,
            "interval_low": row.interval.low if row.interval else None,
            "interval_high": row.interval.high if row.interval else None,
            "expected": row.expected,
            "signal": row.signal,
            "main_defect": row.main_defect,
            "kg": row.kg.whole,
            "cost": row.cost.whole,
        }
    for defect in review.defects:
        yield {
            "kind": "defect",
            "month": month,
            "by": review.by,
            "name": defect.defect or "not named",
            "moulds": defect.moulds,
            "scrapped": defect.castings,
            "kg": defect.kg.whole,
            "cost": defect.cost.whole,
        }
