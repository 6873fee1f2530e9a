"""Typing at the program: `typed("why P-104")` runs one command against a fresh book and gives back what came out."""

import shlex
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest

from defectlog.cli.main import run


@dataclass(frozen=True)
class Typed:
    """Exit code, stdout and stderr of one command."""

    code: int
    out: str
    err: str


Typing = Callable[..., Typed]


@pytest.fixture
def book_path(tmp_path: Path) -> Path:
    return tmp_path / "shop.db"


@pytest.fixture
def typed(book_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Typing:
    """Arguments as one line as it would be typed, or several words; environment cleared of our own settings."""
    for name in ("DEFECTLOG_BOOK", "DEFECTLOG_UNITS", "DEFECTLOG_WHO", "DEFECTLOG_RULES", "DEFECTLOG_DEBUG"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("COLUMNS", "80")

    def type_it(*words: str) -> Typed:
        arguments = shlex.split(words[0]) if len(words) == 1 else list(words)
        capsys.readouterr()
        code = run(["--book", str(book_path), *arguments])
        captured = capsys.readouterr()
        return Typed(code, captured.out, captured.err)

    return type_it
