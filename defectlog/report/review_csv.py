"""The review as one CSV sheet: the months, their patterns, then the defects. Text never becomes a formula."""

import csv
import io
from collections.abc import Iterator
from datetime import date

from defectlog.report.review_answers import Reviewed
from defectlog.report.review_tables import COUNTS, Cell, count_cells, defect_rows
from defectlog.sheets.guard import guarded

COLUMNS = ("kind", "month", "by", "name", *COUNTS, "signal", "main_defect")
TOTAL = "all"


def review_csv(reviewed: Reviewed) -> str:
    """A header row and one row a month, a pattern or a defect; an unknown is an empty cell."""
    file = io.StringIO(newline="")
    writer = csv.writer(file, lineterminator="\n")
    writer.writerow(COLUMNS)
    for row in rows_of(reviewed):
        writer.writerow([cell_text(row.get(column)) for column in COLUMNS])
    return file.getvalue()


def cell_text(value: Cell) -> str:
    if value is None:
        return ""
    if isinstance(value, float):
        return f"{value:.6g}"
    return guarded(value) if isinstance(value, str) else str(value)


def rows_of(reviewed: Reviewed) -> Iterator[dict[str, Cell]]:
    months = reviewed.span.months if reviewed.span is not None else (reviewed.review,)
    for month in months:
        said = {"month": month_text(month.month), "by": month.by}
        yield {"kind": "month", "name": TOTAL, **said, **named(count_cells(month))}
        for row in month.patterns:
            verdict = {"signal": row.signal, "main_defect": row.main_defect}
            yield {"kind": "pattern", "name": row.pattern, **said, **named(count_cells(row)), **verdict}
    whole = reviewed.whole
    period = month_text(reviewed.review.month)
    if reviewed.span is not None:
        period = f"{month_text(reviewed.span.first)}..{period}"
        yield {"kind": "sum", "name": TOTAL, "month": period, "by": whole.by, **named(count_cells(whole))}
    for defect, castings, moulds, kg, cost, _, _ in defect_rows(whole):
        yield {
            "kind": "defect",
            "month": period,
            "by": whole.by,
            "name": defect or "not named",
            "moulds": moulds,
            "scrapped": castings,
            "kg": kg,
            "cost": cost,
        }


def named(cells: tuple[Cell, ...]) -> dict[str, Cell]:
    return dict(zip(COUNTS, cells, strict=True))


def month_text(month: date) -> str:
    return month.strftime("%Y-%m")
