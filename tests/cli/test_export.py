"""Sheets out on the command line."""

import json

import pytest

from defectlog.book.open import open_book
from defectlog.cli.main import run
from defectlog.jobs.sheets import take_out


def test_the_sheets_read_back_give_the_same_sheets(typed, tmp_path):
    typed("pattern add P-1 --impressions 4 --casting-kg '5 lb'")
    typed("heat add H-1 --melted-at '2026-03-02 9:10'")
    typed("mould add M-1 --count 3 --pattern P-1 --heat H-1 --note '=1+1'")
    first, second = tmp_path / "first", tmp_path / "second"
    written = json.loads(typed("export", str(first), "--json").out)
    assert written["rows"] == {
        "patterns": 1, "sand": 0, "heats": 1, "moulds": 3, "findings": 0, "causes": 0, "remedies": 0,
    }  # fmt: skip
    other = str(tmp_path / "other.db")
    assert run(["--book", other, "import", str(first)]) == 0
    assert run(["--book", other, "export", str(second)]) == 0
    for sheet in first.iterdir():
        assert sheet.read_bytes() == (second / sheet.name).read_bytes()


def test_sheets_that_are_there_are_kept_unless_told_otherwise(typed, tmp_path):
    typed("pattern add P-1 --impressions 4")
    target = str(tmp_path / "out")
    assert "1 row, metric" in " ".join(typed("export", target).out.split())
    answer = typed("export", target)
    assert answer.code == 2
    assert "there are sheets here already" in answer.err
    assert typed("export", target, "--force").code == 0


def test_a_workbook_is_written_and_read_where_the_name_says_so(typed, tmp_path):
    typed("pattern add P-1 --impressions 4")
    book = tmp_path / "book.xlsx"
    assert "written to" in typed("export", str(book)).out
    answer = typed("import", str(book))
    assert answer.code == 0
    assert "nothing new" in answer.out


@pytest.mark.parametrize("name", ["out", "out.xlsx"])
def test_an_export_that_is_stopped_leaves_what_was_there(typed, book_path, tmp_path, name):
    """The sheets take their places when all are written; one half new and half old would be worse than none."""
    target = tmp_path / name
    typed("pattern add P-1 --impressions 4")
    typed("export", str(target))
    typed("pattern add P-2 --impressions 4")
    typed("mould add M-1 --pattern P-1")
    files = sorted(target.iterdir()) if target.is_dir() else [target]
    before = [file.read_bytes() for file in files]

    def stop(what, _done, _of):
        if what == "writing moulds":
            raise KeyboardInterrupt

    with open_book(book_path) as book, pytest.raises(KeyboardInterrupt):
        take_out(book, target, replace=True, tell=stop)
    assert [file.read_bytes() for file in files] == before
    assert not list(tmp_path.rglob("*.part*"))
