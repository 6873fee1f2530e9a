"""The line that says how far a long piece of work has come."""

from io import StringIO

import pytest

from defectlog.cli import progress as module
from defectlog.cli.progress import progress


class Terminal(StringIO):
    def isatty(self):
        return True


@pytest.fixture
def clock(monkeypatch):
    now = [0.0]
    monkeypatch.setattr(module.time, "monotonic", lambda: now[0])
    return now


def test_after_a_second_it_draws_over_itself_and_leaves_no_trace(clock, monkeypatch):
    terminal = Terminal()
    monkeypatch.setattr("sys.stderr", terminal)
    with progress() as tell:
        tell("moulds", 0, 10)
        assert terminal.getvalue() == ""
        clock[0] = 1.5
        tell("moulds", 1, 10)
        tell("moulds", 2, 10)
        clock[0] = 2.0
        tell("moulds", 5, 10)
    assert terminal.getvalue() == f"\rmoulds … 10 %\rmoulds … 50 %\r{' ' * 13}\r"


def test_where_there_is_no_terminal_it_says_nothing(monkeypatch, capsys):
    monkeypatch.setattr(module, "QUIET_SECONDS", -1.0)
    with progress() as tell:
        tell("moulds", 1, 10)
    assert capsys.readouterr().err == ""
