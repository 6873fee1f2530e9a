"""The review as an Excel workbook: numbers as numbers, days as days, and text that never becomes a formula or a link.

Needs the extra `xlsx` (xlsxwriter).
"""

import io
from datetime import date
from pathlib import Path
from typing import Any

from defectlog.report.review_tables import Cell, Sheet
from defectlog.sheets.workbook import extra
from defectlog.sheets.workbook_text import write_text

OPTIONS = {
    "strings_to_formulas": False,
    "strings_to_urls": False,
    "strings_to_numbers": False,
    "in_memory": True,
    "default_date_format": "yyyy-mm-dd",
}
SHARES = ("_rate", "_share", "rate_low", "rate_high", "odds_of_luck")
MONEY_AND_WEIGHT = ("kg", "cost", "expected_scrap")
WIDEST = 44


def review_workbook(sheets: tuple[Sheet, ...]) -> bytes:
    """One worksheet a table, a header row that stays in sight, columns as wide as they need. Raises BadInput."""
    xlsxwriter = extra("xlsxwriter", Path("review"))
    file = io.BytesIO()
    with xlsxwriter.Workbook(file, OPTIONS) as workbook:
        formats = {
            "head": workbook.add_format({"bold": True, "bottom": 1, "text_wrap": True, "valign": "top"}),
            "share": workbook.add_format({"num_format": "0.0%"}),
            "amount": workbook.add_format({"num_format": "0.00"}),
            "day": workbook.add_format({"num_format": "yyyy-mm-dd", "align": "left"}),
        }
        for sheet in sheets:
            write_sheet(workbook.add_worksheet(sheet.name), sheet, formats)
    return file.getvalue()


def write_sheet(worksheet: Any, sheet: Sheet, formats: dict[str, Any]) -> None:
    worksheet.freeze_panes(1, 0)
    worksheet.set_landscape()
    worksheet.fit_to_pages(1, 0)
    worksheet.repeat_rows(0)
    for place, name in enumerate(sheet.columns):
        worksheet.write_string(0, place, name.replace("_", " "), formats["head"])
        worksheet.set_column(place, place, width_of(sheet, place))
    for number, row in enumerate(sheet.rows, 1):
        for place, value in enumerate(row):
            write_cell(worksheet, number, place, value, sheet.columns[place], formats)


def write_cell(worksheet: Any, row: int, place: int, value: Cell, column: str, formats: dict[str, Any]) -> None:
    if value is None:
        return
    if isinstance(value, date):
        worksheet.write_datetime(row, place, value, formats["day"])
    elif isinstance(value, str):
        write_text(worksheet, row, place, value)
    else:
        worksheet.write_number(row, place, value, number_format(column, formats))


def number_format(column: str, formats: dict[str, Any]) -> Any:
    if column.endswith(SHARES):
        return formats["share"]
    return formats["amount"] if column in MONEY_AND_WEIGHT else None


def width_of(sheet: Sheet, place: int) -> int:
    longest = max((len(shown(row[place])) for row in sheet.rows), default=0)
    head = max(len(word) for word in sheet.columns[place].split("_"))
    return min(max(longest, head, 6) + 2, WIDEST)


def shown(value: Cell) -> str:
    return "" if value is None else f"{value:.4g}" if isinstance(value, float) else str(value)
