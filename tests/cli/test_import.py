"""Sheets in on the command line."""

import json
import signal
from contextlib import contextmanager
from io import StringIO

import pytest

from defectlog.cli import progress as module


def sheets(folder, **texts):
    folder.mkdir(exist_ok=True)
    for name, text in texts.items():
        (folder / f"{name}.csv").write_text(text, encoding="utf-8")
    return str(folder)


def test_a_dry_run_counts_and_writes_nothing(typed, tmp_path):
    path = sheets(tmp_path / "in", patterns="pattern,impressions\nP-1,4\n", notes="anything\n")
    answer = typed("import", path, "--dry-run")
    assert answer.code == 0
    assert "tried out, nothing written: 1 row would be new" in answer.out
    assert "left alone, not sheets of ours: notes.csv" in answer.out
    assert "undo" not in answer.out
    assert typed("pattern list --json").out == "[]\n"


def test_what_was_written_is_counted_by_sheet_and_can_be_undone(typed, tmp_path):
    path = sheets(tmp_path / "in", patterns="pattern,impressions\nP-1,4\n", heats="heat,melted_at\nH-1,2026-03-02\n")
    written = typed("import", path, "--json")
    assert json.loads(written.out)["added"] == {"patterns": 1, "heats": 1}
    again = typed("import", path)
    assert again.code == 0
    assert "nothing new" in again.out
    assert typed("undo").code == 0
    assert typed("heat list --json").out == "[]\n"


def test_all_problems_of_all_sheets_come_at_once_and_nothing_is_written(typed, tmp_path):
    path = sheets(
        tmp_path / "in",
        patterns="pattern,impressions\nP-1,four\nP-2,2\n",
        moulds="mould,pattern,pour_c\nM-1,P-9,hot\n",
    )
    answer = typed("import", path)
    assert answer.code == 2
    for said in ("'four' is not a whole number", "P-9 is neither in the book nor in patterns", "'hot' is not a number"):
        assert said in answer.err
    assert typed("pattern list --json").out == "[]\n"


def test_a_path_with_nothing_at_it_says_what_is_allowed(typed, tmp_path):
    answer = typed("import", str(tmp_path / "nothing"))
    assert answer.code == 2
    assert "there is nothing here" in answer.err


def messy(folder):
    return sheets(
        folder,
        patterns="Pattern #,Cavities\nP-1,4\n",
        moulds="Mould No,Pattern #,Date,Pour Temp F\nM-1,P-1,04/03/2026,1330\nM-2,P-1,05/03/2026,hot\n",
    )


def test_the_good_rows_alone_with_the_others_in_sheets_beside(typed, tmp_path):
    path = messy(tmp_path / "in")
    assert "say which: --dates day-first or --dates month-first" in typed("import", path).err
    tried = typed("import", path, "--dates", "day-first", "--take-good", "--dry-run")
    assert (tried.code, "would be new" in tried.out) == (1, True)
    assert not (tmp_path / "in-refused").exists()
    done = typed("import", path, "--dates", "day-first", "--take-good", "--report", str(tmp_path / "why.csv"))
    assert done.code == 1
    assert "written: 2 rows" in done.out
    assert "refused: 1 row" in done.out
    assert "'Pour Temp F' is taken as pour_c, in °F" in done.out
    assert f"defectlog import {tmp_path / 'in-refused'} --dates day-first" in done.out
    assert "moulds.csv,3,Pour Temp F,hot" in (tmp_path / "why.csv").read_text(encoding="utf-8-sig")
    again = typed("import", path, "--dates", "day-first", "--take-good")
    assert (again.code, "refused rows here already" in again.err) == (2, True)


def test_json_holds_everything_that_was_not_taken(typed, tmp_path):
    answer = typed("import", messy(tmp_path / "in"), "--dates", "day-first", "--take-good", "--json")
    told = json.loads(answer.out)
    assert told["added"] == {"patterns": 1, "moulds": 1}
    assert [(item["code"], item["where"]) for item in told["refused"]] == [
        ("not-a-number", "moulds.csv row 3, column Pour Temp F")
    ]
    assert told["refused_files"] == [str(tmp_path / "in-refused" / "moulds.csv")]
    assert any("is taken as pour_c" in line for line in told["said"])


SMALL = {"patterns": "pattern,impressions\nP-1,4\n", "moulds": "mould,pattern\nM-1,P-1\n"}


def test_ctrl_c_leaves_nothing_half_done(typed, tmp_path, monkeypatch):
    """A real signal, between the rows of the first sheet and those of the second."""

    @contextmanager
    def impatient(**_how):
        yield lambda what, _done, _of: signal.raise_signal(signal.SIGINT) if what == "writing moulds.csv" else None

    path = sheets(tmp_path / "in", **SMALL)
    with monkeypatch.context() as stopping:
        stopping.setattr(module, "progress", impatient)
        answer = typed("import", path)
    assert (answer.code, answer.out) == (130, "")
    assert "stopped; nothing half-done was kept" in answer.err
    assert typed("pattern list --json").out == "[]\n"
    assert typed("history --json").out == "[]\n"
    assert typed("import", path).code == 0
    assert "sound" in typed("check").err


class Terminal(StringIO):
    def isatty(self):
        return True


@pytest.mark.parametrize(("words", "shown"), [((), True), (("--json",), False)])
def test_a_long_import_is_told_of_on_a_terminal_and_not_to_a_program(typed, tmp_path, monkeypatch, words, shown):
    terminal = Terminal()
    monkeypatch.setattr(module, "QUIET_SECONDS", -1.0)
    monkeypatch.setattr(module, "BETWEEN_SECONDS", 0.0)
    with monkeypatch.context() as watching:
        watching.setattr("sys.stderr", terminal)
        assert typed("import", sheets(tmp_path / "in", **SMALL), *words).code == 0
    drawn = terminal.getvalue()
    assert ("reading moulds.csv … 50 %" in drawn, "\rwriting moulds.csv … 0 %" in drawn) == (shown, shown)
    assert (drawn.rstrip(" \r") != drawn) == shown
