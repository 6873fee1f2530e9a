"""What every command does before its own work: find the book, bring it up to date, warn of where it lies."""

import shutil
from io import StringIO
from pathlib import Path

import pytest

from defectlog.cli import progress
from defectlog.cli.session import Session

OLD = Path(__file__).parents[1] / "history" / "m001.db"


class Terminal(StringIO):
    def isatty(self):
        return True


@pytest.fixture
def on_a_share(monkeypatch, tmp_path):
    """The folder of the book is mounted from another machine."""
    (tmp_path / "mounts").write_text(f"/dev/sda1 / ext4 rw 0 0\nnas:/books {tmp_path} nfs4 rw 0 0\n")
    monkeypatch.setattr("defectlog.book.shares.MOUNTS", tmp_path / "mounts")


@pytest.mark.usefixtures("on_a_share")
@pytest.mark.parametrize(
    "line", ["pattern add P-9 --impressions 4", "pattern list", "undo", "backup copy.db", "history"]
)
def test_a_book_on_a_share_is_warned_of_once_by_whatever_opens_it(typed, tmp_path, monkeypatch, line):
    monkeypatch.chdir(tmp_path)
    typed("pattern add P-1 --impressions 4")
    answer = typed(line)
    assert answer.code == 0
    assert answer.err.count("the book is on a network share (nfs4)") == 1
    assert "network share" not in answer.out


@pytest.mark.usefixtures("on_a_share")
def test_a_restore_onto_a_share_is_warned_of_too(typed, tmp_path):
    typed("pattern add P-1 --impressions 4")
    typed("backup", str(tmp_path / "copy.db"))
    answer = typed("restore", str(tmp_path / "copy.db"), "--force")
    assert (answer.code, answer.err.count("network share")) == (0, 1)


@pytest.mark.usefixtures("on_a_share")
def test_the_warning_leaves_json_alone(typed):
    typed("pattern add P-1 --impressions 4")
    answer = typed("pattern list --json")
    assert "network share" in answer.err
    assert answer.out.startswith("[")


def test_a_book_on_its_own_disc_is_not_spoken_of(typed):
    assert "share" not in typed("pattern add P-1 --impressions 4").err


@pytest.mark.parametrize("read_only", [True, False])
def test_bringing_an_old_book_up_to_date_is_told_of_on_a_terminal(book_path, monkeypatch, read_only):
    shutil.copy(OLD, book_path)
    terminal = Terminal()
    monkeypatch.setattr(progress, "QUIET_SECONDS", -1.0)
    monkeypatch.setattr(progress, "BETWEEN_SECONDS", 0.0)
    monkeypatch.setattr("sys.stderr", terminal)
    Session(book_path=book_path).open(create=False, read_only=read_only).close()
    assert "\rseals, mould …" in terminal.getvalue()
    assert "\rcopying … 100 %" in terminal.getvalue()
