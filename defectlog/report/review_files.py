"""The files that a review is written to: the page to print, the workbook, the CSV sheet."""

from collections.abc import Collection
from datetime import date

from defectlog.report.review_answers import Reviewed
from defectlog.rulebase.shapes import RuleBase


def review_files(
    reviewed: Reviewed, rules: RuleBase, kinds: Collection[str], units: str, today: date
) -> dict[str, bytes]:
    """Kind ("html", "xlsx", "csv") → what stands in the file. All are made before any is written. Raises BadInput."""
    made: dict[str, bytes] = {}
    if "html" in kinds:
        from defectlog.report.review_html import review_html

        made["html"] = review_html(reviewed, rules, units, today).encode("utf-8")
    if "xlsx" in kinds:
        from defectlog.report.review_tables import review_sheets
        from defectlog.report.review_workbook import review_workbook

        made["xlsx"] = review_workbook(review_sheets(reviewed))
    if "csv" in kinds:
        from defectlog.report.review_csv import review_csv

        made["csv"] = review_csv(reviewed).encode("utf-8-sig")
    return made
