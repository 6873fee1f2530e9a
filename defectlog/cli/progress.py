"""How far a long piece of work has come, on one line of a terminal, once it has taken a second."""

import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager

from defectlog.book.progress import Tell, quietly
from defectlog.report.page import shown

QUIET_SECONDS = 1.0
BETWEEN_SECONDS = 0.1


class Line:
    """Draws over itself on stderr; nothing at all for what is quick."""

    def __init__(self) -> None:
        self.began = time.monotonic()
        self.drawn_at = 0.0
        self.width = 0

    def tell(self, what: str, done: int, of: int) -> None:
        now = time.monotonic()
        if now - self.began < QUIET_SECONDS or now - self.drawn_at < BETWEEN_SECONDS:
            return
        self.drawn_at = now
        self.draw(f"{what} … {100 * done // of} %" if of else f"{what} …")

    def draw(self, text: str) -> None:
        print(f"\r{shown(text).ljust(self.width)}", end="", file=sys.stderr, flush=True)
        self.width = len(text)

    def clear(self) -> None:
        if self.width:
            self.draw("")
            print("\r", end="", file=sys.stderr, flush=True)


@contextmanager
def progress(*, silent: bool = False) -> Iterator[Tell]:
    """What to hand to the work; where nobody watches (no terminal, or a program that reads JSON) it says nothing."""
    if silent or not sys.stderr.isatty():
        yield quietly
        return
    line = Line()
    try:
        yield line.tell
    finally:
        line.clear()
