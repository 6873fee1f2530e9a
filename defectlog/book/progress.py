"""How far a long piece of work has come: whoever does it tells, whoever watches shows it or does not."""

from collections.abc import Callable

# What is being done, how much of it is done, and of how much (0: nobody knows).
Tell = Callable[[str, int, int], None]


def quietly(_what: str, _done: int, _of: int) -> None:
    """Tells nobody."""
