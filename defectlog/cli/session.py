"""What every command shares: which book, which units, how to print. One place for stdout, stderr and questions."""

import os
import sys
from collections.abc import Callable, Iterable
from contextlib import AbstractContextManager
from dataclasses import dataclass, field
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from defectlog.errors import BadInput, BookUnusable, Problem
from defectlog.report.page import Page, shown

if TYPE_CHECKING:
    from defectlog.book.open import Book
    from defectlog.book.progress import Tell

UNIT_SYSTEMS = ("metric", "us")


@dataclass
class Session:
    """The global options of one run, and the ways to answer."""

    book_path: Path | None = None
    as_json: bool = False
    plain: bool = False
    units: str = "metric"
    command: str = ""
    said: list[str] = field(default_factory=list)
    share_told: bool = False

    def path(self) -> Path:
        """--book, else DEFECTLOG_BOOK, else a file in the user's data directory."""
        if self.book_path is not None:
            return self.book_path
        named = os.environ.get("DEFECTLOG_BOOK")
        if named:
            return Path(named)
        from platformdirs import user_data_path

        return user_data_path("defectlog", appauthor=False) / "book.db"

    def open(self, *, create: bool = True, read_only: bool = False) -> "Book":
        """The book; a new one is made where none is, and said on stderr. Raises BookUnusable.

        A book of an older version is brought up to date even when it is only to be read: asking must not fail.
        """
        from defectlog.book.open import open_book

        path = self.path()
        self.tell_of_share()
        if read_only:
            try:
                return open_book(path, create=False, read_only=True)
            except BookUnusable as error:
                if error.problems[0].code != "book-older":
                    raise
            with self.progress() as tell:
                open_book(path, create=False, tell=tell).close()
            self.say(f"brought up to date: {path} (a copy as it was lies beside it)")
            return open_book(path, create=False, read_only=True)
        is_new = create and not path.exists()
        if is_new and self.book_path is None and "DEFECTLOG_BOOK" not in os.environ:
            path.parent.mkdir(parents=True, exist_ok=True)
        with self.progress() as tell:
            book = open_book(path, create=create, tell=tell)
        if is_new:
            self.say(f"new book: {path}")
        return book

    def progress(self) -> "AbstractContextManager[Tell]":
        """What a job that may take long is handed to tell how far it is."""
        from defectlog.cli.progress import progress

        return progress(silent=self.as_json)

    def tell_of_share(self) -> None:
        """Once a run, whatever is done: two machines that write to a book on a share can damage it."""
        from defectlog.book.shares import share_problem

        problem = None if self.share_told else share_problem(self.path())
        if problem is not None:
            self.say(str(problem))
        self.share_told = True

    def say(self, text: str) -> None:
        """Talk, not results: to stderr."""
        print(shown(text), file=sys.stderr)

    def show(self, page: Page) -> None:
        """A page on stdout, coloured where it is a terminal that wants colour."""
        if self.wants_colour():
            from rich.console import Console

            from defectlog.report.coloured import draw

            draw(page, Console(markup=False, highlight=False, emoji=False))
            return
        from defectlog.report.plain import plain_text

        write(plain_text(page, width=self.width()))

    def answer(self, as_json: Callable[[], Any], page: Callable[[], Page]) -> None:
        """A question's answer: one JSON document with --json, a page for people otherwise."""
        if self.as_json:
            from defectlog.report.json_text import json_text

            write(json_text(as_json()))
        else:
            self.show(page())

    def wants_colour(self) -> bool:
        return (
            sys.stdout.isatty()
            and not self.plain
            and not os.environ.get("NO_COLOR")
            and os.environ.get("TERM") != "dumb"
        )

    def width(self) -> int:
        columns = os.environ.get("COLUMNS", "")
        return max(40, min(int(columns), 120)) if columns.isdigit() else 80

    def can_ask(self) -> bool:
        return sys.stdin.isatty() and not self.as_json

    def ask(self, question: str) -> str:
        """One line typed in answer; the question goes to stderr so that stdout stays clean."""
        print(shown(question), end=" ", file=sys.stderr, flush=True)
        line = sys.stdin.readline()
        if not line:
            raise KeyboardInterrupt
        return line.strip()

    def today(self) -> date:
        return date.today()

    def now(self) -> datetime:
        return datetime.now().replace(microsecond=0)

    def who(self) -> str | None:
        """Who is writing: DEFECTLOG_WHO, for shops in which several people share one machine."""
        return os.environ.get("DEFECTLOG_WHO") or None


def write(text: str) -> None:
    """To stdout, whatever its encoding can show."""
    encoding = sys.stdout.encoding or "utf-8"
    sys.stdout.write(text.encode(encoding, "replace").decode(encoding))


def checked_units(text: str) -> str:
    if text not in UNIT_SYSTEMS:
        raise BadInput(
            Problem(
                "units-unknown", "--units", f"there are no units {text!r}", "allowed: metric, us", "type: --units us"
            )
        )
    return text


def lines(texts: Iterable[str]) -> str:
    return "\n".join(texts)
