"""The review as CSV, as a workbook read back by another program, and as pandas frames: typed, tied, never a formula."""

import csv
import io
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pandas as pd
import pytest
import python_calamine

from defectlog.book.acts import writing
from defectlog.book.open import open_book
from defectlog.cli.main import run
from defectlog.jobs.invented_shop import write_sheets
from defectlog.jobs.review import review_of
from defectlog.jobs.rules import the_rules
from defectlog.records.kinds import Finding, Mould, Pattern
from defectlog.report.frames import review_frames
from defectlog.report.review_answers import Reviewed
from defectlog.report.review_csv import review_csv
from defectlog.report.review_tables import review_sheets
from defectlog.report.review_workbook import review_workbook
from tests.cli.small_shop import days_ago

MARCH, JANUARY = date(2026, 3, 1), date(2026, 1, 1)
Workbook = dict[str, list[list[object]]]


@pytest.fixture(scope="module")
def reviewed(tmp_path_factory: pytest.TempPathFactory) -> Callable[..., Reviewed]:
    folder = tmp_path_factory.mktemp("sheets")
    write_sheets(folder / "sheets")
    place = folder / "shop.db"
    assert run(["--book", str(place), "import", str(folder / "sheets")]) == 0

    def review(first: date = MARCH, last: date | None = None, **more: str) -> Reviewed:
        with open_book(place, read_only=True) as book:
            return review_of(book, the_rules(place), first, last, full=True, **more)  # type: ignore[arg-type]  # by name

    return review


def read_back(content: bytes) -> Workbook:
    workbook = python_calamine.CalamineWorkbook.from_filelike(io.BytesIO(content))
    return {name: workbook.get_sheet_by_name(name).to_python() for name in workbook.sheet_names}


def test_the_workbook_holds_every_table_with_numbers_as_numbers_and_days_as_days(
    reviewed: Callable[..., Reviewed],
) -> None:
    sheets = review_sheets(reviewed())
    found = read_back(review_workbook(sheets))
    assert list(found) == [sheet.name for sheet in sheets]
    for sheet in sheets:
        head, *rows = found[sheet.name] or [[]]
        assert head == [column.replace("_", " ") for column in sheet.columns]
        assert len(rows) == len(sheet.rows)
        for told, expected in zip(rows, sheet.rows, strict=True):
            for cell, value in zip(told, expected, strict=False):
                if isinstance(value, int | float):
                    assert cell == pytest.approx(value)
                elif isinstance(value, date):
                    assert cell == value
                else:
                    assert cell == (value or "")


def test_text_in_a_workbook_stays_text(tmp_path: Path) -> None:
    """=1+1, an address and a number in letters: none becomes a formula, a link or a number."""
    when, place = days_ago(40), tmp_path / "shop.db"
    with open_book(place) as book, writing(book, "test") as act:
        for number, name in enumerate(("=1+1", "https://example.org", "007", "+A1")):
            act.add(Pattern(pattern=name, impressions=1))
            act.add(Mould(mould=f"M-{number}", pattern=name, poured_at=when))
            act.add(Finding(mould=f"M-{number}", defect="@SUM(A1)", disposition="scrap"))
    month = when.date().replace(day=1)
    with open_book(place, read_only=True) as book:
        answer = review_of(book, the_rules(place), month)
    found = read_back(review_workbook(review_sheets(answer)))
    assert {row[1] for row in found["patterns"][1:]} == {"=1+1", "https://example.org", "007", "+A1"}
    assert found["defects"][1][0] == "@sum(a1)"
    names = [row["name"] for row in csv.DictReader(io.StringIO(review_csv(answer))) if row["kind"] == "pattern"]
    assert sorted(names) == ["'+A1", "'=1+1", "007", "https://example.org"]


def test_the_csv_sheet_adds_up(reviewed: Callable[..., Reviewed]) -> None:
    rows = list(csv.DictReader(io.StringIO(review_csv(reviewed(JANUARY, MARCH)))))
    total = sum(int(row["scrapped"]) for row in rows if row["kind"] == "month")
    assert total == sum(int(row["scrapped"]) for row in rows if row["kind"] == "pattern")
    assert total == sum(int(row["scrapped"]) for row in rows if row["kind"] == "defect")
    assert total == sum(int(row["scrapped"]) for row in rows if row["kind"] == "sum")
    assert {row["month"] for row in rows if row["kind"] == "sum"} == {"2026-01..2026-03"}
    assert {row["expected_scrap"] for row in rows if row["month"] == "2026-01"} == {""}


def test_frames_are_typed_and_what_is_unknown_is_missing(reviewed: Callable[..., Reviewed]) -> None:
    frames = review_frames(reviewed())
    patterns = frames["patterns"].set_index("pattern")
    assert patterns["scrapped"].dtype == "Int64" and patterns["scrap_rate"].dtype == "Float64"
    assert pd.api.types.is_datetime64_any_dtype(patterns["month"])
    assert patterns["cost"].isna().all()
    assert patterns["scrap_rate"]["P-104"] == pytest.approx(74 / 352)
    readings = frames["readings"]
    moisture = readings[readings["reading"] == "moisture_pct"]
    assert (moisture["low"].dropna() <= moisture["high"].dropna()).all()
    assert frames["out of balance"].empty and "charged" in frames["out of balance"]


def test_tables_tie_to_each_other(reviewed: Callable[..., Reviewed]) -> None:
    frames = review_frames(reviewed(JANUARY, MARCH))
    scrapped = frames["months"]["scrapped"].sum()
    assert scrapped == frames["patterns"]["scrapped"].sum() == frames["defects"]["castings_scrapped"].sum()
    assert scrapped == frames["patterns and defects"]["castings_scrapped"].sum()
    assert scrapped == frames["found at"]["castings_scrapped"].sum()
    months = frames["months"]
    charged = months["scrapped"] + months["reworked"] + months["used_as_is"] + months["undecided"]
    assert ((months["good_first_time"] + charged - months["charged_too_many"]) == months["castings"]).all()


def test_the_days_of_the_strip_add_up_to_the_month(reviewed: Callable[..., Reviewed]) -> None:
    frames = review_frames(reviewed())
    assert frames["days"]["scrapped"].sum() == frames["months"]["scrapped"].sum()
    assert frames["days"]["castings"].sum() == frames["months"]["castings"].sum()
