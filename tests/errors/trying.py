"""One error: a folder with what provokes it, and the message and exit code that come of it.

    case.toml     when       in which case a person meets the message, in a few words
                  type       the command as typed; it must end with `exit`
                  stderr     the whole message; `stdout` instead for what a question answers
                  setup      commands typed before, each ending with 0 or 1
                  book       "shop" (the invented shop of _shop, the default), "empty", or "none"
                  sql        statements by which somebody has changed the book by hand
                  env        settings of the environment
    files/        what lies in the folder in which the command is typed

`why_not` instead of a command says why an error cannot be provoked by typing, and which test shows its message.
"""

import io
import os
import shlex
import shutil
import sqlite3
import tomllib
from collections.abc import Iterator
from contextlib import contextmanager, redirect_stderr, redirect_stdout
from dataclasses import dataclass, field
from datetime import date, datetime
from functools import cache
from pathlib import Path
from typing import Any
from unittest.mock import patch

from defectlog.book.open import open_book
from defectlog.cli.main import run
from defectlog.sheets.load import import_folder

HERE = Path(__file__).parent
TODAY = date(2026, 3, 20)
NOW = datetime(2026, 3, 20, 12)
CLEARED = ("DEFECTLOG_BOOK", "DEFECTLOG_UNITS", "DEFECTLOG_WHO", "DEFECTLOG_RULES", "DEFECTLOG_SHOP_RULES")


@dataclass(frozen=True)
class Case:
    code: str
    when: str
    type: str = ""
    exit: int = 2
    stderr: str = ""
    stdout: str = ""
    setup: tuple[str, ...] = ()
    book: str = "shop"
    sql: tuple[str, ...] = ()
    env: dict[str, str] = field(default_factory=dict)
    why_not: str = ""


def read_case(folder: Path) -> Case:
    told: dict[str, Any] = tomllib.loads((folder / "case.toml").read_text(encoding="utf-8"))
    for name in ("setup", "sql"):
        told[name] = tuple(told.get(name, ()))
    return Case(folder.name, **told)


@cache
def all_cases() -> tuple[Case, ...]:
    return tuple(read_case(path.parent) for path in sorted(HERE.glob("*/case.toml")))


@contextmanager
def standing_in(folder: Path, env: dict[str, str]) -> Iterator[None]:
    """The day, the folder and the environment in which a command is typed."""
    before = Path.cwd()
    kept = {name: value for name, value in os.environ.items() if name not in (*CLEARED, "DEFECTLOG_DEBUG")}
    settled = {**kept, "COLUMNS": "100", "XDG_CACHE_HOME": str(folder.parent / "cache"), **env}
    with (
        patch.dict("os.environ", settled, clear=True),
        patch("defectlog.cli.session.Session.today", lambda _self: TODAY),
        patch("defectlog.cli.session.Session.now", lambda _self: NOW),
    ):
        os.chdir(folder)
        try:
            yield
        finally:
            os.chdir(before)


def typed(line: str) -> tuple[int, str, str]:
    """Exit code, stdout and stderr of one line."""
    words = shlex.split(line)
    book = [] if "--book" in words else ["--book", "shop.db"]
    out, err = io.StringIO(), io.StringIO()
    with redirect_stdout(out), redirect_stderr(err):
        code = run([*book, *words])
    return code, out.getvalue(), err.getvalue()


def make_shop(path: Path) -> None:
    with open_book(path) as book:
        import_folder(book, HERE / "_shop", command="import")


def provoked(case: Case, folder: Path, shop: Path) -> tuple[int, str, str]:
    """What typing it gives, in the new folder `folder`; `shop` is the book to begin with."""
    files = HERE / case.code / "files"
    if files.is_dir():
        shutil.copytree(files, folder, symlinks=True)
    else:
        folder.mkdir()
    with standing_in(folder, case.env):
        if case.book == "shop":
            shutil.copy(shop, "shop.db")
        elif case.book == "empty":
            open_book(Path("shop.db")).close()
        for line in case.setup:
            code, _, err = typed(line)
            assert code in (0, 1), f"{line}: {err}"
        if case.sql:
            with sqlite3.connect("shop.db") as by_hand:
                for statement in case.sql:
                    by_hand.execute(statement)
            by_hand.close()
        return typed(case.type)
