"""What an answer looks like before anybody decides how to draw it: headings, sentences, bullets and tables.

Every text may come from a user; it is data. `shown` takes out what could drive a terminal; the drawers never read
markup in it.
"""

import unicodedata
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

# Cc controls (escape, bell, carriage return), Cf format characters (right-to-left overrides), Cs, Co and unassigned.
HIDDEN_CATEGORIES = frozenset({"Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"})
LONGEST_SHOWN = 2000


@dataclass(frozen=True, slots=True)
class Heading:
    text: str


@dataclass(frozen=True, slots=True)
class Text:
    """A paragraph. `tone` is "plain", "strong" (what matters most), "quiet" or "caution".

    `command` is something to type: it follows the text and is never broken over two lines, so that it can be copied.
    """

    text: str
    tone: str = "plain"
    indent: int = 0
    command: str = ""


@dataclass(frozen=True, slots=True)
class Bullets:
    items: tuple[str, ...]
    mark: str = "-"
    indent: int = 0


@dataclass(frozen=True, slots=True)
class Table:
    """`right` holds the numbers of the columns set flush right (figures)."""

    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    right: frozenset[int] = field(default_factory=frozenset)


Block = Heading | Text | Bullets | Table
Page = tuple[Block, ...]


def shown(text: str, longest: int = LONGEST_SHOWN) -> str:
    """Text that cannot drive a terminal: control and direction characters become a space, or are shown as ·."""
    flat = "".join(shown_character(character) for character in text[: longest + 1])
    return flat if len(flat) <= longest else flat[: longest - 1] + "…"


def shown_character(character: str) -> str:
    if character in "\t\n\r":
        return " "
    return "·" if is_hidden(character) else character


def is_hidden(character: str) -> bool:
    """Whether nobody can see a character by itself, though a terminal may act on it."""
    return unicodedata.category(character) in HIDDEN_CATEGORIES


def table(columns: Sequence[str], rows: Iterable[Sequence[str]], right: Iterable[int] = ()) -> Table:
    return Table(tuple(columns), tuple(tuple(row) for row in rows), frozenset(right))


def next_step(command: str, why: str = "") -> Text:
    """The line that says what to type next."""
    return Text(f"{why}:" if why else "", tone="strong", command=command)


def counted(number: int, one: str, many: str = "") -> str:
    """ "1 casting", "3 castings", "0 moulds"."""
    return f"{number} {one if number == 1 else many or one + 's'}"
