"""Blank sheets to print: the shop's own words, the plate's impressions, and columns that can be typed in again."""

import re
from datetime import timedelta
from pathlib import Path

import pytest

from defectlog.book.acts import writing
from defectlog.book.learned import learn
from defectlog.book.open import open_book
from defectlog.errors import BadInput, NotFound
from defectlog.jobs.blank_sheets import write_blank_sheets
from defectlog.jobs.rules import the_rules
from defectlog.jobs.tally import TallyRow
from defectlog.records.fields import OTHER_ENDINGS, UNIT_ENDINGS, fields_of
from defectlog.records.kinds import Heat, Mould, Sand
from defectlog.report.blank_sheets import TALLY_COLUMNS, BlankTally, blank_sheets, circles
from tests.cli.small_shop import TODAY, fill, findings
from tests.report.printed import checked

ANY = BlankTally("", "", None, ("gas holes", "misrun"), ("cope face",))


def columns_on(text: str) -> list[str]:
    return re.findall(r"<code>([^<]*)</code>", text)


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    place = tmp_path / "shop.db"
    fill(place)
    return place


def written(place: Path, folder: Path, *patterns: str, units: str = "metric") -> dict[str, str]:
    with open_book(place, read_only=True) as book:
        paths = write_blank_sheets(book, the_rules(place), folder, today=TODAY, patterns=patterns, units=units)
    return {path.name: path.read_text(encoding="utf-8") for path in paths}


def test_there_is_a_sheet_for_each_paper_of_the_day_and_a_tally_for_each_plate_in_use(
    shop: Path, tmp_path: Path
) -> None:
    pages = written(shop, tmp_path / "paper")
    assert list(pages) == [
        "mould-card.html", "sand-sheet.html", "heat-log.html", "shakeout-tally.html", "shakeout-tally-P-104.html",
        "shakeout-tally-P-7.html",
    ]  # fmt: skip
    for text in pages.values():
        checked(text)
        assert "size: landscape" in text


def test_every_column_on_paper_is_a_column_that_can_be_typed_in() -> None:
    pages = blank_sheets([ANY])
    for name, kind in (("mould-card", Mould), ("sand-sheet", Sand), ("heat-log", Heat)):
        known = {spec.name for spec in fields_of(kind)}
        assert set(columns_on(pages[f"{name}.html"])) <= known
        assert {spec.name for spec in fields_of(kind) if spec.required} <= set(columns_on(pages[f"{name}.html"]))
    assert {column for column, _ in TALLY_COLUMNS} <= {spec.name for spec in fields_of(TallyRow)}


def test_a_shop_that_reads_fahrenheit_gets_columns_in_fahrenheit() -> None:
    heads = columns_on(blank_sheets([ANY], "us")["mould-card.html"])
    assert "pour_f" in heads and "pour_c" not in heads
    endings = {ending for quantity in UNIT_ENDINGS for ending in OTHER_ENDINGS.get(quantity, ())}
    assert any(head.endswith(tuple(endings)) for head in columns_on(blank_sheets([ANY], "us")["sand-sheet.html"]))


def test_the_tally_has_the_shops_own_words_and_the_plates_impressions(shop: Path, tmp_path: Path) -> None:
    with open_book(shop) as book, writing(book, "test") as act:
        learn(act, "fisheyes", "gas-holes")
    pages = written(shop, tmp_path / "paper", "p104")
    page = checked(pages["shakeout-tally-P-104.html"])
    assert page.texts("h1") == ["Shakeout tally P-104 bracket"]
    assert "fisheyes (gas holes)" in page.texts("p")[1]
    assert page.texts("td").count("1 2 3 4") >= 12
    assert "cause" not in " ".join(columns_on(pages["shakeout-tally-P-104.html"]))


def test_large_plates_get_room_to_write_instead_of_rings() -> None:
    assert (circles(1), circles(3), circles(13), circles(None)) == ("1", "1 2 3", "", "")


def test_a_filled_tally_typed_in_logs_what_it_says(shop: Path, tmp_path: Path) -> None:
    """The columns of the paper as the head of a sheet, two lines of pencil, and the program takes it."""
    from defectlog.cli.main import run

    heads = [column for column, _ in TALLY_COLUMNS]
    good = ["M-225..M-228", "yes", *[""] * (len(heads) - 2)]
    bad = {"mould": "M-229", "scrap": "1", "impression": "3", "defect": "gas holes", "place": "cope face"}
    lines = [heads, good, [bad.get(column, "") for column in heads]]
    tally = tmp_path / "tally.csv"
    tally.write_text("\n".join(",".join(line) for line in lines) + "\n", encoding="utf-8")
    assert run(["--book", str(shop), "shakeout", "--sheet", str(tally)]) == 0
    (found,) = findings(shop, "M-229")
    assert (found.impression, found.defect, found.disposition) == (3, "gas-holes", "scrap")


def test_sheets_that_are_there_are_left_alone_all_of_them(shop: Path, tmp_path: Path) -> None:
    folder = tmp_path / "paper"
    folder.mkdir()
    (folder / "heat-log.html").write_text("mine", encoding="utf-8")
    with pytest.raises(BadInput, match=r"heat-log.html is there already"):
        written(shop, folder)
    assert [path.name for path in folder.iterdir()] == ["heat-log.html"]


def test_a_pattern_that_is_not_there_writes_nothing(shop: Path, tmp_path: Path) -> None:
    with pytest.raises(NotFound):
        written(shop, tmp_path / "paper", "P-99999")
    assert not (tmp_path / "paper").exists()


def test_a_folder_that_cannot_be_made_is_said(shop: Path, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("", encoding="utf-8")
    with pytest.raises(BadInput, match="cannot be made"):
        written(shop, tmp_path / "file" / "paper")


def test_odd_pattern_names_make_safe_file_names() -> None:
    names = list(blank_sheets([BlankTally(name, "", 1, (), ()) for name in ("../../P 1", "P/1", "P 1", "…")]))
    assert names[3:] == [
        "shakeout-tally-P-1.html", "shakeout-tally-P-1-2.html", "shakeout-tally-P-1-3.html", "shakeout-tally-.html",
    ]  # fmt: skip


def test_names_that_look_like_markup_are_text() -> None:
    pages = blank_sheets([BlankTally("<b>", "<i>", 2, ("<u>",), ("&",))])
    text = list(pages.values())[-1]
    checked(text)
    assert "&lt;b&gt;" in text and "<b>" not in text


def test_plates_not_used_for_a_quarter_of_a_year_get_no_tally(shop: Path, tmp_path: Path) -> None:
    with open_book(shop, read_only=True) as book:
        paths = write_blank_sheets(book, the_rules(shop), tmp_path / "paper", today=TODAY + timedelta(days=120))
    assert [path.name for path in paths if path.name.startswith("shakeout-tally")] == ["shakeout-tally.html"]
