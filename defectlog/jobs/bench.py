"""Moulds on the bench: what the book knows of each when it is broken out, and what cannot be so."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import datetime

from defectlog.book.moulds import Cards
from defectlog.book.names import expand
from defectlog.book.open import Book
from defectlog.book.records import castings_of, find
from defectlog.book.rows import Stored
from defectlog.errors import BadInput, Problem
from defectlog.records.cells import moment_text
from defectlog.records.checks import before
from defectlog.records.counts import count_mould
from defectlog.records.kinds import Finding, Mould

LOST = "lost before pouring"
AT_ONCE = 500


@dataclass(slots=True)
class Bench:
    """One mould with its card's figures filled in and what was found on it so far (primary and secondary)."""

    mould: Mould
    revision: str
    impressions: int
    castings: int
    findings: list[Finding] = field(default_factory=list)

    @property
    def name(self) -> str:
        return self.mould.mould

    @property
    def cast_at(self) -> datetime | None:
        return self.mould.poured_at or self.mould.made_at

    @property
    def poured(self) -> bool:
        """Whether anything on record says that it was poured."""
        return self.mould.outcome == "poured" or self.mould.poured_at is not None or self.mould.heat is not None

    @property
    def bad(self) -> int:
        return count_mould(self.castings, self.findings).bad

    def charged_at(self, impression: int) -> Finding | None:
        """The primary finding at an impression, if there is one."""
        primaries = (item for item in self.findings if item.primary is not False)
        return next((item for item in primaries if item.impression == impression), None)


@dataclass(frozen=True, slots=True)
class Laid:
    """The moulds that were meant, which of them were named one by one, numbers of a range that are not in the book."""

    names: tuple[str, ...]
    one_by_one: frozenset[str]
    missing: tuple[str, ...]
    said: tuple[str, ...]


def meant(book: Book, typed: str) -> Laid:
    """Raises NotFound, Ambiguous or BadInput, as book.names.expand."""
    whole = expand(book, typed)
    single = [part for part in spaced(typed) if ".." not in part]
    one_by_one = expand(book, " ".join(single)).names if single else ()
    return Laid(whole.names, frozenset(one_by_one), whole.missing, whole.said)


def spaced(typed: str) -> list[str]:
    return " .. ".join(typed.split("..")).replace(" .. ", "..").replace(",", " ").split()


def lay_out(book: Book, names: Sequence[str]) -> dict[str, Bench]:
    """Mould → what is known of it, in the order of the names."""
    castings = castings_of(book, names)
    cards = Cards(book)
    found: dict[str, Bench] = {}
    for some in chunks(names):
        for stored in find(book, Mould, mould=some):
            mould: Mould = stored.record
            day = mould.made_at or mould.poured_at
            card = cards.card(mould.pattern, mould.revision, day.isoformat() if day else None)
            found[mould.mould] = Bench(mould, card.revision, card.impressions, castings[mould.mould])
        for finding in find(book, Finding, mould=some):
            found[finding.record.mould].findings.append(finding.record)
    return {name: found[name] for name in names}


def findings_on(book: Book, names: Sequence[str]) -> list[Stored[Finding]]:
    return [stored for some in chunks(names) for stored in find(book, Finding, mould=some)]


def chunks(names: Sequence[str]) -> Iterator[list[str]]:
    return (list(names[start : start + AT_ONCE]) for start in range(0, len(names), AT_ONCE))


def cannot_be_shaken_out(bench: Bench, now: datetime, found_at: datetime | None, where: str) -> list[Problem]:
    """Lost before pouring, still to be poured, or found before it was cast."""
    name = bench.name
    if bench.mould.outcome == LOST:
        found = f"{name} is on record as lost before pouring: nothing can come out of it"
        step = f"if it was poured after all: defectlog mould amend {name} --outcome poured"
        return [Problem("mould-lost", where or f"mould {name}", found, "allowed: moulds that were poured", step)]
    cast = bench.cast_at
    if cast is not None and before(now, cast):
        found = f"by the book {name} is cast on {moment_text(cast)}, and that is still to come"
        field_name = "poured-at" if bench.mould.poured_at else "made-at"
        step = f"put the day right: defectlog mould amend {name} --{field_name} today"
        return [Problem("mould-of-the-future", where or f"mould {name}", found, "allowed: today or earlier", step)]
    if cast is not None and found_at is not None and before(found_at, cast):
        found = f"found {moment_text(found_at)}, but {name} was cast {moment_text(cast)}"
        return [Problem("dates-out-of-order", where or f"mould {name}", found, "allowed: on that day or later")]
    return []


def raise_if(problems: Iterable[Problem]) -> None:
    listed = list(problems)
    if listed:
        raise BadInput(listed)
