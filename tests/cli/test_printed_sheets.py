"""The corrective-action sheet and the blank sheets as they are asked for: said, written, typed wrong."""

import json
from pathlib import Path

import pytest
import typer
from typer.testing import CliRunner

from defectlog.cli.export_blank import export_blank
from defectlog.cli.remedy_sheet import sheet
from defectlog.cli.session import Session
from defectlog.errors import BadInput, NotFound
from tests.cli.small_shop import fill

App = typer.Typer


@pytest.fixture
def session(tmp_path: Path) -> Session:
    fill(tmp_path / "shop.db")
    return Session(book_path=tmp_path / "shop.db", plain=True)


def typed(session: Session, *words: str) -> tuple[str, str]:
    """stdout and stderr of `remedy sheet` with these words; errors are raised as the command line's entry gets them."""
    app = App(add_completion=False)
    app.command()(sheet)
    result = CliRunner().invoke(app, words, obj=session)
    if result.exception is not None and not isinstance(result.exception, SystemExit):
        raise result.exception
    return result.stdout, result.stderr


def test_a_sheet_with_nothing_found_shows_its_gaps(session: Session) -> None:
    out, _ = typed(session, "P-104", "gas holes")
    assert "Corrective action: P-104 bracket, Gas holes" in out
    assert "GAP – not on record: a confirmed cause, and what showed it" in " ".join(out.split())


def test_a_sheet_goes_to_a_page_once(session: Session, tmp_path: Path) -> None:
    page = tmp_path / "sheet.html"
    out, err = typed(session, "P-104", "gas-holes", "--html", str(page))
    assert (out, f"written: {page}" in err) == ("", True)
    assert page.read_text(encoding="utf-8").startswith("<!DOCTYPE html>")
    with pytest.raises(BadInput, match="is there already"):
        typed(session, "P-104", "gas-holes", "--html", str(page))
    typed(session, "P-104", "gas-holes", "--html", str(page), "--force")


def test_a_sheet_as_json_is_one_document(session: Session) -> None:
    session.as_json = True
    out, _ = typed(session, "P-104", "gas-holes")
    told = json.loads(out)
    assert (told["pattern"], told["defect"], told["verdicts"]) == ("P-104", "gas-holes", [])


def test_a_pattern_that_is_not_there_is_said(session: Session) -> None:
    with pytest.raises(NotFound, match="P-9999"):
        typed(session, "P-9999", "gas-holes")


def test_a_defect_that_nobody_logged_is_a_sheet_of_gaps_and_markup_stays_text(session: Session, tmp_path: Path) -> None:
    out, _ = typed(session, "P-104", "<b>[x]=1+1")
    assert "No casting of it is on record" in out
    page = tmp_path / "sheet.html"
    typed(session, "P-104", "<b>[x]=1+1", "--html", str(page))
    assert "<b>" not in page.read_text(encoding="utf-8")


def test_blank_sheets_say_where_they_are_and_what_to_do_with_them(
    session: Session, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    export_blank(session, tmp_path / "paper")
    out = " ".join(capsys.readouterr().out.split())
    assert out.startswith("6 blank sheets to print, one page each:")
    assert "to type a filled tally in: defectlog shakeout --sheet tally.csv" in out
    assert (tmp_path / "paper" / "shakeout-tally-P-104.html").exists()
