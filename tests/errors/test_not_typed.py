"""Errors that no command brings about by itself: rights, disks, extras, files too large to keep, other programs."""

import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest

from defectlog.book.marks import SCHEMA_VERSION
from defectlog.book.open import open_book
from defectlog.book.photos import read_photo
from defectlog.cli.main import run
from defectlog.errors import DefectlogError, Problem
from defectlog.jobs.shop_rules import edit_shop_file, make_shop_file
from defectlog.rulebase.cases import load_cases
from defectlog.rulebase.load import load_rules, our_folder
from defectlog.sheets.read import read_path
from defectlog.sheets.workbook import extra, workbook_rows


def told(act: Callable[[], object]) -> Problem:
    with pytest.raises(DefectlogError) as caught:
        act()
    problem = caught.value.problems[0]
    assert problem.where
    assert problem.found
    assert problem.allowed
    return problem


def refused(*_: object, **__: object) -> bytes:
    raise PermissionError(13, "Permission denied")


def test_a_file_that_may_not_be_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    sheet = tmp_path / "moulds.csv"
    sheet.write_text("mould,pattern\nM-1,P-1\n")
    photo = tmp_path / "hole.jpg"
    photo.write_bytes(b"x")
    monkeypatch.setattr(Path, "read_bytes", refused)
    monkeypatch.setattr(Path, "open", refused)
    assert read_path(sheet).problems[0].code == "path-unreadable"
    assert told(lambda: read_photo(photo)).code == "photo-unreadable"


def test_a_rule_file_that_cannot_be_read_or_is_too_large(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "limits.toml").write_text("#" * 1_000_001)
    assert told(lambda: load_rules(shop_folder=tmp_path)).code == "rule-file-large"
    (tmp_path / "limits.toml").write_text("")
    monkeypatch.setattr(Path, "read_bytes", refused)
    assert told(lambda: load_rules(shop_folder=tmp_path)).code == "rule-file-unreadable"


def test_a_shops_rule_file_that_is_there_or_cannot_be_written(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    there = tmp_path / "causes" / "sand" / "x.toml"
    make_shop_file(there, "")
    assert told(lambda: make_shop_file(there, "")).code == "rule-file-there"
    monkeypatch.setattr(Path, "mkdir", refused)
    assert told(lambda: edit_shop_file(tmp_path / "away" / "x.toml", "", str)).code == "rules-unwritable"


def test_a_case_of_a_rule_that_is_none(tmp_path: Path) -> None:
    folder = tmp_path / "cases"
    folder.mkdir()
    (folder / "zorp.toml").write_text("x = 1\n")
    rules = load_rules(our_folder())
    assert told(lambda: load_cases(folder, rules)).code == "case-stray"


def test_a_link_that_leads_out_of_its_folder(tmp_path: Path) -> None:
    (tmp_path / "private.csv").write_text("pattern,impressions\n")
    (tmp_path / "in").mkdir()
    (tmp_path / "in" / "patterns.csv").symlink_to(tmp_path / "private.csv")
    assert told(lambda: read_path(tmp_path / "in")).code == "link-outside"


def test_workbooks_without_the_extra_or_too_large(tmp_path: Path) -> None:
    assert told(lambda: extra("a_library_that_is_not_here", tmp_path)).code == "no-workbooks"
    bomb = tmp_path / "bomb.xlsx"
    with zipfile.ZipFile(bomb, "w", zipfile.ZIP_DEFLATED) as packed:
        with packed.open("xl/sharedStrings.xml", "w", force_zip64=True) as inner:
            inner.write(b"x")
        packed.infolist()[0].file_size = 2_500_000_000
    assert told(lambda: workbook_rows(bomb)).code == "workbook-large"


def test_a_tally_of_more_than_a_day(tmp_path: Path) -> None:
    from defectlog.jobs.tally import read_sheet

    sheet = tmp_path / "tally.csv"
    sheet.write_bytes(b"mould,good\n" + b"M-1,yes\n" * 700_000)
    assert told(lambda: read_sheet(sheet)).code == "tally-large"


def test_an_older_book_that_may_only_be_read(tmp_path: Path) -> None:
    with open_book(tmp_path / "shop.db") as book:
        book.connection.execute(f"PRAGMA user_version = {SCHEMA_VERSION - 1}")
    assert told(lambda: open_book(tmp_path / "shop.db", read_only=True)).code == "book-older"


def test_what_nobody_foresaw_is_one_message(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """The code of it is "unforeseen"."""

    def broken(*_: object, **__: object) -> None:
        raise RuntimeError("a fault of ours\x1b[31m")

    monkeypatch.delenv("DEFECTLOG_DEBUG", raising=False)
    monkeypatch.setattr("defectlog.cli.session.Session.open", broken)
    assert run(["--book", str(tmp_path / "shop.db"), "mould", "list"]) == 1
    said = capsys.readouterr().err
    assert "something went wrong that nobody foresaw: RuntimeError: a fault of ours" in said
    assert "DEFECTLOG_DEBUG=1" in said
    assert "\x1b" not in said
