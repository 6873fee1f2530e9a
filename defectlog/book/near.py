"""What was probably meant: the nearest names in the book, and messages that say what to type next.

A number is never guessed: M-231 and M-232 look alike and are two moulds, so only a name with the same digits is taken.
"""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from defectlog.book.open import Book
from defectlog.book.tables import Table, quoted
from defectlog.errors import Ambiguous, NotFound, Problem

RECENT = 20_000  # names looked through; older moulds must be typed as they are written
SHOWN = 4
ALIKE = 45.0  # of 100: listed as near
CLEAR = 85.0  # of 100: taken, when nothing else comes within MARGIN of it
MARGIN = 10.0
WHERE_LISTED = {"verdict": "history", "remedy": "remedy list", "finding": "mould show M-231"}


@dataclass(frozen=True, slots=True)
class Named:
    """One thing in the book by its name; `also` is what else it is called (the name on a pattern card)."""

    name: str
    also: str = ""


@dataclass(frozen=True, slots=True)
class Resolved:
    """The name as the book has it; `said` tells the reader what was taken, "" when it was typed exactly."""

    name: str
    said: str = ""


def names_in(book: Book, table: Table) -> list[Named]:
    """The names of a kind, the most recent first."""
    key = quoted(table.key[0])
    also, columns = ("max(name)", f"id, {key}, name") if table.name == "pattern" else ("NULL", f"id, {key}")
    sql = (
        f"SELECT {key}, {also}, max(id) FROM (SELECT {columns} FROM {table.name} WHERE withdrawn_by IS NULL"
        f" ORDER BY id DESC LIMIT {RECENT}) GROUP BY {key} ORDER BY max(id) DESC"
    )
    return [Named(name, also or "") for name, also, _ in book.rows(sql)]


def resolve(book: Book, table: Table, typed: str) -> Resolved:
    """What `typed` stands for: exact; else the same but for case, blanks and hyphens; else a number alone ("231");
    else the nearest spelling. Raises NotFound, or Ambiguous when several answer; both list the nearest."""
    if exact(book, table, typed):
        return Resolved(typed)
    named = names_in(book, table)
    for match in (same_letters, same_number, same_spelling):
        found = match(typed, named)
        if len(found) == 1:
            return Resolved(found[0], f"taking {found[0]} for {typed!r}")
        if found:
            raise several(table, typed, found)
    raise missing(table, typed, named)


def exact(book: Book, table: Table, typed: str) -> bool:
    sql = f"SELECT 1 FROM {table.name} WHERE {quoted(table.key[0])} = ? AND withdrawn_by IS NULL LIMIT 1"
    return book.value(sql, (typed,)) is not None


def bare(text: str) -> str:
    return re.sub(r"[\W_]+", "", text.casefold())


def digits(text: str) -> str:
    return "".join(re.findall(r"\d+", text)).lstrip("0")


def same_letters(typed: str, named: Iterable[Named]) -> list[str]:
    wanted = bare(typed)
    return [item.name for item in named if wanted and wanted in (bare(item.name), bare(item.also))]


def same_number(typed: str, named: Iterable[Named]) -> list[str]:
    if not typed.strip().isdigit():
        return []
    wanted = typed.strip().lstrip("0")
    return [item.name for item in named if re.sub(r"^.*?0*(\d*)$", r"\1", item.name) == wanted]


def same_spelling(typed: str, named: Sequence[Named]) -> list[str]:
    scored = [item for item in near(typed, named) if digits(item.text) == digits(typed)]
    if not scored or scored[0].score < CLEAR:
        return []
    return [item.name for item in scored if item.score > scored[0].score - MARGIN][:SHOWN]


@dataclass(frozen=True, slots=True)
class Near:
    """A name, the text of it that looks like what was typed (bare), and how much, of 100."""

    name: str
    text: str
    score: float


def near(typed: str, named: Sequence[Named]) -> list[Near]:
    """The nearest first, each name once."""
    from rapidfuzz import fuzz, process  # only when a name was not found as typed

    texts = [(bare(text), item.name) for item in named for text in (item.name, item.also) if text]
    wanted = bare(typed)
    found = process.extract(wanted, [text for text, _ in texts], scorer=fuzz.ratio, limit=12, score_cutoff=ALIKE)
    best: dict[str, Near] = {}
    for text, score, place in found:
        best.setdefault(texts[place][1], Near(texts[place][1], text, score))
    return list(best.values())


def nearest(typed: str, named: Sequence[Named]) -> list[str]:
    return [item.name for item in near(typed, named)[:SHOWN]]


def not_found(book: Book, table: Table, typed: str, where: str = "") -> NotFound:
    named = names_in(book, table) if table.key else []
    return missing(table, typed, named, where)


def missing(table: Table, typed: str, named: Sequence[Named], where: str = "") -> NotFound:
    found = f"{typed} is not in the book"
    nearby, latest = nearest(typed, named), [item.name for item in named[:SHOWN]]
    allowed = f"nearest: {', '.join(nearby)}" if nearby else f"the latest: {', '.join(latest)}" if latest else ""
    listing = WHERE_LISTED.get(table.name, f"{table.name} list")
    return NotFound(
        Problem(f"{table.name}-unknown", where or table.name, found, allowed, f"to see them: defectlog {listing}")
    )


def several(table: Table, typed: str, names: Sequence[str]) -> Ambiguous:
    found = f"{typed!r} could be {' or '.join(names[:SHOWN])}"
    allowed = "allowed: one whole name" + ("; there are more like it" if len(names) > SHOWN else "")
    return Ambiguous(Problem("several-match", table.name, found, allowed, f"to see them: defectlog {table.name} list"))
