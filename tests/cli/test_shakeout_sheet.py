"""A day's paper tally typed in: all of it or nothing, every problem in one pass, and nothing twice."""

from pathlib import Path

import pytest

from defectlog.book.open import open_book
from defectlog.book.undo import undo
from tests.cli.conftest import Typing
from tests.cli.small_shop import acts_written, fill, findings, mould_of

TALLY = """mould,good,scrap,impression,defect,seen,place
M-225..M-228,yes,,,,,
M-231,,1,3,,round shiny holes,cope
M-232,,2,"3,4",misrun,,
"""


@pytest.fixture
def shop(book_path: Path) -> Path:
    fill(book_path)
    return book_path


@pytest.fixture
def sheet(tmp_path: Path) -> Path:
    return tmp_path / "tally.csv"


def test_a_tally_goes_in_as_one_act(typed: Typing, shop: Path, sheet: Path) -> None:
    sheet.write_text(TALLY)
    answer = typed("shakeout", "--sheet", str(sheet), "--found-at", "today", "--by", "Ann")
    assert answer.code == 0
    assert acts_written(shop) == 2
    assert [(item.mould, item.impression, item.defect, item.seen, item.place, item.by) for item in findings(shop)] == [
        ("M-231", 3, None, "round shiny holes", "cope-face", "Ann"),
        ("M-232", 3, "misrun", None, None, "Ann"),
        ("M-232", 4, "misrun", None, None, "Ann"),
    ]
    assert all(item.found_at is not None for item in findings(shop))
    assert mould_of(shop, "M-227").outcome == "poured"


def test_the_same_tally_again_changes_nothing_under_any_name(typed: Typing, shop: Path, sheet: Path) -> None:
    sheet.write_text(TALLY)
    typed("shakeout", "--sheet", str(sheet))
    other = sheet.with_name("again.csv")
    other.write_text(TALLY.replace('"3,4"', "3 4").replace("3 4", '"3,4"'))
    answer = typed("shakeout", "--sheet", str(other))
    assert answer.code == 0
    assert "already in: it was written by act 2; nothing was changed" in answer.out
    assert len(findings(shop)) == 3


def test_a_tally_that_was_taken_back_says_how_to_have_it_back(typed: Typing, shop: Path, sheet: Path) -> None:
    sheet.write_text(TALLY)
    typed("shakeout", "--sheet", str(sheet))
    with open_book(shop) as book:
        undo(book, 2)
    answer = typed("shakeout", "--sheet", str(sheet))
    assert "taken back by act 3" in answer.out
    assert "defectlog undo 3" in answer.out
    assert findings(shop) == []


def test_every_problem_of_every_row_is_said_and_nothing_is_written(typed: Typing, shop: Path, sheet: Path) -> None:
    sheet.write_text(
        TALLY
        + "M-233,,,,,,\n"
        + "M-999,yes,,,,,\n"
        + "M-231,,1,3,flash,,\n"
        + "M-232,,3,,flash,,\n"
        + "M-234,,x,,flash,,\n"
        + "M-235,yes,1,,,,\n"
        + "M-236,,1,,blows,,\n"
        + "M-237,,1,nine,flash,,\n"
    )
    answer = typed("shakeout", "--sheet", str(sheet))
    assert answer.code == 2
    assert answer.out == ""
    rows = [line.split(" row ")[1].split(",")[0].split(":")[0] for line in answer.err.splitlines() if " row " in line]
    assert rows == ["5", "6", "7", "8", "9", "10", "11", "12"]
    assert acts_written(shop) == 1


def test_disposition_and_castings_are_another_way_to_say_it(typed: Typing, shop: Path, sheet: Path) -> None:
    sheet.write_text(
        "Mould;Castings;Disposition;Impression;Seen;Use as is\nM-231;2;rework;;dents;\nM-232;;scrap;1 2;dents;\n"
        "M-233;;;;dents;1\n"
    )
    assert typed("shakeout", "--sheet", str(sheet)).code == 0
    assert [(item.mould, item.castings, item.disposition, item.impression) for item in findings(shop)] == [
        ("M-231", 2, "rework", None),
        ("M-232", 1, "scrap", 1),
        ("M-232", 1, "scrap", 2),
        ("M-233", 1, "use as is", None),
    ]


def test_a_dry_run_of_a_tally_writes_nothing(typed: Typing, shop: Path, sheet: Path) -> None:
    sheet.write_text(TALLY)
    assert "dry run" in typed("shakeout", "--dry-run", "--sheet", str(sheet)).out
    assert findings(shop) == []


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "there is no header row"),
        (b"mould,good\n", "there is no row in it"),
        (b"mauld,scrap\nM-231,1\n", "no column is called 'mauld'"),
        (b"scrap\n1\n", "there is no column 'mould'"),
        (b"mould,seen\nM-231,\xff\xfe\n", "not in UTF-8"),
        (b'mould,seen\nM-231,"torn\n', "the row cannot be read"),
        (b"\x00\x01\x02", "not a text file"),
        (b"mould,castings,scrap\nM-231,1,1\n", "the same as scrap"),
    ],
)
def test_what_is_no_tally_is_refused(typed: Typing, shop: Path, sheet: Path, content: bytes, said: str) -> None:
    sheet.write_bytes(content)
    answer = typed("shakeout", "--sheet", str(sheet))
    assert answer.code == 2
    assert said in answer.err
    assert acts_written(shop) == 1


def test_a_sheet_and_moulds_at_once(typed: Typing, shop: Path, sheet: Path) -> None:
    sheet.write_text(TALLY)
    answer = typed("shakeout", "M-225", "--good", "--sheet", str(sheet))
    assert answer.code == 2
    assert "stand in the sheet" in answer.err
    assert acts_written(shop) == 1


@pytest.mark.usefixtures("shop")
def test_a_sheet_that_is_not_there(typed: Typing, sheet: Path) -> None:
    answer = typed("shakeout", "--sheet", str(sheet))
    assert answer.code == 2
    assert "there is no such file" in answer.err
    assert typed("shakeout", "--sheet", str(sheet.parent)).code == 2
