"""How far a long piece of work has come: whoever does it tells, whoever watches shows it or does not."""

import sqlite3
from collections.abc import Callable, Iterator
from contextlib import contextmanager

# What is being done, how much of it is done, and of how much (0: nobody knows).
Tell = Callable[[str, int, int], None]
STEPS_A_TICK = 100_000  # steps of SQLite's own machine: some milliseconds


def quietly(_what: str, _done: int, _of: int) -> None:
    """Tells nobody."""


@contextmanager
def ticking(connection: sqlite3.Connection, what: str, tell: Tell) -> Iterator[None]:
    """Tells again and again while long statements run, and lets Ctrl-C stop them: SQLite alone would not hear it."""

    def tick() -> None:
        tell(what, 0, 0)

    connection.set_progress_handler(tick, STEPS_A_TICK)
    try:
        yield
    except sqlite3.OperationalError as error:
        if getattr(error, "sqlite_errorname", "") == "SQLITE_INTERRUPT":
            raise KeyboardInterrupt from None
        raise
    finally:
        connection.set_progress_handler(None, 0)
