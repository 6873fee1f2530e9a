"""Everything that shares a heat, a sand batch, a mould, a pattern or a lot of ingot: what is in doubt when one is."""

from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Any

from defectlog.book.open import Book
from defectlog.book.records import find, get
from defectlog.errors import BadInput, Problem
from defectlog.jobs.cards import in_pouring_order
from defectlog.jobs.moulds import seen
from defectlog.jobs.which import LOT, which
from defectlog.records.counts import total
from defectlog.records.kinds import Heat, Mould, Sand
from defectlog.report.answers import Trace, Traced, Which
from defectlog.report.moulds import poured, waiting
from defectlog.report.trace import sheet_text


def trace(book: Book, words: Sequence[str]) -> Trace:
    """`words` is a name, or a kind and a name. Raises NotFound, Ambiguous."""
    what = which(book, words, "trace", lots=True)
    shares = sharing(book, what)
    moulds = in_pouring_order(list({mould.mould: mould for _, group in shares for mould in group}.values()))
    traced = tuple(
        Traced(item, tuple(name for name, group in shares if item.mould in group)) for item in seen(book, moulds)
    )
    melted = [item.seen for item in traced if poured(item.seen.mould)]
    return Trace(
        what=what,
        heats=tuple(get(book, Heat, name).record for name in heats_of(book, what, moulds)),
        sands=tuple(get(book, Sand, name).record for name in distinct(mould.sand for mould in moulds)),
        moulds=traced,
        count=total(item.count for item in melted),
        waiting=tuple(mould.mould for mould in moulds if waiting(mould)),
        lost=tuple(mould.mould for mould in moulds if mould.outcome == "lost before pouring"),
    )


def sharing(book: Book, what: Which) -> list[tuple[str, list[Mould]]]:
    """What is shared, in words, and the moulds that share it."""
    if what.kind == "mould":
        own: Mould = get(book, Mould, what.name).record
        pairs = [("heat", own.heat), ("sand", own.sand)]
        groups = [(f"{kind} {name}", moulds_with(book, kind, name)) for kind, name in pairs if name]
        return [("the mould itself", [own]), *groups]
    if what.kind == LOT:
        heats = [stored.record.heat for stored in find(book, Heat, ingot_lot=what.name)]
        return [(f"heat {name}", moulds_with(book, "heat", name)) for name in heats]
    return [(f"{what.kind} {what.name}", moulds_with(book, what.kind, what.name))]


def moulds_with(book: Book, field: str, name: str) -> list[Mould]:
    equal: dict[str, Any] = {field: name}
    return [stored.record for stored in find(book, Mould, **equal)]


def heats_of(book: Book, what: Which, moulds: Sequence[Mould]) -> list[str]:
    """The heats of the moulds, and those of a lot that no mould names yet."""
    of_lot = [stored.record.heat for stored in find(book, Heat, ingot_lot=what.name)] if what.kind == LOT else []
    own = [what.name] if what.kind == "heat" else []
    return distinct([*own, *of_lot, *(mould.heat for mould in moulds)])


def distinct(names: Iterable[str | None]) -> list[str]:
    """Each name once, in order; None left out."""
    return [name for name in dict.fromkeys(names) if name is not None]


def write_sheet(trace: Trace, path: str) -> None:
    """A trace as a CSV file, whole or not at all. Raises BadInput when it is there or cannot be written."""
    file = Path(path)
    if file.exists():
        raise BadInput(
            Problem("sheets-there", path, "there is a file here already", "allowed: a new file", "give another name")
        )
    unfinished = file.with_name(f"{file.name}.part")
    try:
        unfinished.write_text(sheet_text(trace), encoding="utf-8-sig", newline="")
        unfinished.replace(file)
    except OSError as error:
        found = f"the file cannot be written ({error.strerror})"
        raise BadInput(
            Problem("file-refused", path, found, "allowed: a folder you may write in", "give another path")
        ) from None
