"""Which record is meant when only its name is typed: a heat, a sand batch, a mould, a pattern, or a lot of ingot."""

from collections.abc import Sequence
from typing import Any

from defectlog.book.near import bare
from defectlog.book.open import Book
from defectlog.book.records import find, resolve
from defectlog.book.tables import table_of
from defectlog.errors import Ambiguous, NotFound, Problem
from defectlog.records.kinds import Heat, Mould, Pattern, Sand
from defectlog.report.answers import Which

NAMED: dict[str, type[Any]] = {"mould": Mould, "heat": Heat, "sand": Sand, "pattern": Pattern}
LOT = "lot"
LOTS_LOOKED_THROUGH, LOTS_SHOWN = 200, 5


def which(book: Book, words: Sequence[str], verb: str, *, lots: bool = False) -> Which:
    """ "H-7", or with its kind in front: "heat H-7". Raises NotFound, or Ambiguous when several kinds answer."""
    allowed = (*NAMED, LOT) if lots else tuple(NAMED)
    if len(words) > 1 and words[0].casefold() in allowed:
        return of_kind(book, words[0].casefold(), " ".join(words[1:]))
    typed = " ".join(words).strip()
    found = exactly(book, typed, allowed) or nearly(book, typed, allowed)
    if len(found) == 1:
        return found[0]
    if found:
        listed = " or ".join(f"{item.kind} {item.name}" for item in found)
        step = f"say which: defectlog {verb} {found[0].kind} {found[0].name}"
        raise Ambiguous(
            Problem("several-match", verb, f"{typed!r} could be {listed}", "allowed: its kind and its name", step)
        )
    kinds = ", ".join(allowed)
    step = "to see them: defectlog heat list, defectlog mould list"
    raise NotFound(Problem("name-unknown", verb, f"{typed!r} is not in the book", f"looked for as: {kinds}", step))


def of_kind(book: Book, kind: str, typed: str) -> Which:
    if kind == LOT:
        lots = lots_like(book, typed)
        if len(lots) != 1:
            said = (
                f"{typed!r} could be {' or '.join(lots)}" if lots else f"no heat is on record with ingot lot {typed!r}"
            )
            error = Ambiguous if lots else NotFound
            raise error(Problem("lot-unknown", "lot", said, lots_on_record(book), "to see them: defectlog heat list"))
        return Which(LOT, lots[0], "" if lots[0] == typed else f"taking lot {lots[0]} for {typed!r}")
    taken = resolve(book, NAMED[kind], typed)
    return Which(kind, taken.name, taken.said)


def lots_on_record(book: Book) -> str:
    """For a message: the lots that there are, the latest first."""
    heats = find(book, Heat, limit=LOTS_LOOKED_THROUGH, newest_first=True)
    lots = list(dict.fromkeys(stored.record.ingot_lot for stored in heats if stored.record.ingot_lot))
    return f"the latest: {', '.join(lots[:LOTS_SHOWN])}" if lots else "no heat has its ingot lot on record"


def exactly(book: Book, typed: str, kinds: Sequence[str]) -> list[Which]:
    """Everything that is called just this."""
    return [Which(kind, typed) for kind in kinds if there(book, kind, typed)]


def there(book: Book, kind: str, typed: str) -> bool:
    if kind == LOT:
        return bool(find(book, Heat, limit=1, ingot_lot=typed))
    equal: dict[str, Any] = {table_of(NAMED[kind]).key[0]: typed}
    return bool(find(book, NAMED[kind], limit=1, **equal))


def nearly(book: Book, typed: str, kinds: Sequence[str]) -> list[Which]:
    """One answer a kind, for what is written short or misspelt. Raises Ambiguous when only one kind answers, twice."""
    found: list[Which] = []
    doubtful: list[Ambiguous] = []
    for kind in kinds:
        try:
            found.append(of_kind(book, kind, typed))
        except NotFound:
            continue
        except Ambiguous as error:
            doubtful.append(error)
    if doubtful and not found:
        raise doubtful[0]
    return found


def lots_like(book: Book, typed: str) -> list[str]:
    """Ingot lots that are `typed`, or differ from it by case, blanks or hyphens only."""
    lots = dict.fromkeys(stored.record.ingot_lot for stored in find(book, Heat) if stored.record.ingot_lot)
    return [typed] if typed in lots else [lot for lot in lots if bare(lot) == bare(typed) and bare(typed)]
