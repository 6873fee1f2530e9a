"""Mould numbers that run: "M-225..M-240" in the book, and the next dozen of a run that begins."""

import re
from dataclasses import dataclass

from defectlog.book.near import not_found, resolve
from defectlog.book.open import Book
from defectlog.book.tables import table_of
from defectlog.errors import BadInput, Problem

RUN = re.compile(r"^(?P<prefix>.*?)(?P<number>\d+)$")
MOST = 5000
ALLOWED_RANGE = "allowed: M-225..M-240, both ends of one series, the lower first"


@dataclass(frozen=True, slots=True)
class Moulds:
    """Moulds that were meant: `names` in order, the numbers of a range that are `missing`, and what was `said`."""

    names: tuple[str, ...]
    missing: tuple[str, ...] = ()
    said: tuple[str, ...] = ()


def expand(book: Book, typed: str) -> Moulds:
    """One mould, several with commas or blanks between, or a range. Raises NotFound, Ambiguous, BadInput."""
    names: list[str] = []
    missing: list[str] = []
    said: list[str] = []
    for part in re.sub(r"\s*\.\.+\s*", "..", typed).replace(",", " ").split():
        if ".." in part:
            found, gaps = expand_range(book, part)
            names += found
            missing += gaps
        else:
            one = resolve(book, table_of("mould"), part)
            names.append(one.name)
            said += [one.said] if one.said else []
    if not names:
        raise BadInput(Problem("no-mould", "mould", "no mould is named", "allowed: M-231, several, or M-225..M-240"))
    return Moulds(tuple(dict.fromkeys(names)), tuple(missing), tuple(said))


def expand_range(book: Book, part: str) -> tuple[list[str], list[str]]:
    """The moulds of the book between two numbers of one series, in the order of their numbers; and the gaps."""
    low_text, high_text = part.split("..", 1)
    low, high = RUN.match(low_text), RUN.match(high_text)
    if high is not None and low is not None and not high["prefix"]:
        high = RUN.match(low["prefix"] + high["number"])
    if low is None or high is None or low["prefix"].casefold() != high["prefix"].casefold():
        raise BadInput(Problem("range-unclear", "mould", f"{part!r} is not a range of moulds", ALLOWED_RANGE))
    first, last = int(low["number"]), int(high["number"])
    if not first <= last < first + MOST:
        found = f"{part!r} runs backwards or over more than {MOST} moulds"
        raise BadInput(Problem("range-unclear", "mould", found, ALLOWED_RANGE))
    width = len(low["number"])
    wanted = [f"{low['prefix']}{number:0{width}d}" for number in range(first, last + 1)]
    there = known_names(book, wanted)
    if not there:
        raise not_found(book, table_of("mould"), wanted[0])
    return [there[name] for name in map(str.casefold, wanted) if name in there], [
        name for name in wanted if name.casefold() not in there
    ]


def known_names(book: Book, wanted: list[str]) -> dict[str, str]:
    """Of the wanted moulds, those in the book: folded name → name as the book has it."""
    found: dict[str, str] = {}
    tried = list(dict.fromkeys(form for name in wanted for form in (name, name.upper(), name.lower())))
    for start in range(0, len(tried), 500):
        some = tried[start : start + 500]
        marks = ", ".join("?" * len(some))
        sql = f"SELECT mould FROM mould WHERE mould IN ({marks}) AND withdrawn_by IS NULL"
        found |= {name.casefold(): name for (name,) in book.rows(sql, some)}
    return found


def new_run(first: str, count: int) -> tuple[str, ...]:
    """`count` mould numbers from `first` on: M-225, M-226 …; leading zeros are kept. Raises BadInput."""
    if count == 1:
        return (first,)
    start = RUN.match(first)
    if start is None or not 1 <= count <= MOST:
        allowed = f"allowed: a first mould that ends in a number, and a count from 1 to {MOST}"
        raise BadInput(Problem("run-unclear", "mould", f"no run of {count} can begin at {first!r}", allowed))
    width = len(start["number"])
    return tuple(f"{start['prefix']}{int(start['number']) + step:0{width}d}" for step in range(count))


def next_name(book: Book) -> str | None:
    """The mould number after the last one written, or None when there is none that ends in a number."""
    last = book.value("SELECT mould FROM mould WHERE withdrawn_by IS NULL ORDER BY id DESC LIMIT 1")
    if last is None or RUN.match(last) is None:
        return None
    return new_run(last, 2)[1]
