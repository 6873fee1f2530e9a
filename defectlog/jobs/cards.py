"""Showing one record with what hangs on it: a pattern card with its history, a batch, a heat, a mould; and lists."""

from datetime import date
from typing import Any

from defectlog.book.open import Book
from defectlog.book.records import find, find_between, get, resolve
from defectlog.foundry.readings import mould_readings, pattern_readings
from defectlog.jobs.moulds import seen
from defectlog.jobs.revisions import card_of, cards_of, in_force, named_card
from defectlog.records.kinds import Heat, Mould, Pattern, Remedy, Sand, Verdict
from defectlog.report.answers import Listed, PatternCard, Shown
from defectlog.report.moulds import counted, counts, defects_of, poured, waiting


def show_pattern(book: Book, typed: str, today: date, revision: str = "") -> PatternCard:
    """The card of a revision, or the one in force today. Raises NotFound or Ambiguous."""
    taken = resolve(book, Pattern, typed)
    cards = cards_of(book, taken.name)
    card = named_card(cards, taken.name, revision) if revision else in_force(cards, today.isoformat())
    made = seen(book, [stored.record for stored in find(book, Mould, pattern=taken.name)])
    assert card is not None  # a pattern that resolves has a card
    return PatternCard(
        card=card,
        revisions=tuple(cards),
        said=taken.said,
        moulds=sum(counts(item.mould) for item in made),
        count=counted(made),
        trials=sum(poured(item.mould) and bool(item.mould.trial) for item in made),
        lost=sum(item.mould.outcome == "lost before pouring" for item in made),
        waiting=sum(waiting(item.mould) for item in made),
        defects=defects_of(item for item in made if counts(item.mould)),
        verdicts=tuple(stored.record for stored in find(book, Verdict, pattern=taken.name)),
        remedies=tuple(stored.record for stored in find(book, Remedy, pattern=taken.name)),
        readings=pattern_readings(card),
    )


def show_record(book: Book, kind: Any, typed: str) -> Shown:
    """A sand batch or heat with its moulds, in the order of pouring; or one mould with what was found on it."""
    taken = resolve(book, kind, typed)
    record = get(book, kind, taken.name).record
    if kind is Mould:
        return show_mould(book, record, taken.said)
    equal: dict[str, Any] = {"sand" if kind is Sand else "heat": taken.name}
    moulds = [stored.record for stored in find(book, Mould, **equal)]
    return Shown(record, taken.said, seen(book, in_pouring_order(moulds)))


def in_pouring_order(moulds: list[Mould]) -> list[Mould]:
    """By heat and place in it as far as known; the order in which they were written otherwise."""
    return sorted(moulds, key=lambda mould: (mould.heat or "", mould.pour_order or 0))


def show_mould(book: Book, mould: Mould, said: str) -> Shown:
    sand = get(book, Sand, mould.sand).record if mould.sand else None
    heat = get(book, Heat, mould.heat).record if mould.heat else None
    card = card_of(book, mould)
    return Shown(mould, said, seen(book, [mould]), mould_readings(mould, sand, heat, card), card)


# The moment that "since" means for each kind. A mould is dated by its pouring, else by its making.
DATED = {Sand: "mixed_at", Heat: "melted_at", Mould: "cast_at", Pattern: "in_force_from"}


def list_records(book: Book, kind: Any, *, limit: int, since: date | None = None, **typed: str) -> Listed:
    """The newest `limit` records (0: all), of a pattern, heat or sand batch when named. Raises NotFound, Ambiguous."""
    said: list[str] = []
    asked = [] if since is None else ["--since", since.isoformat()]
    equal: dict[str, Any] = {}
    for name, text in typed.items():
        if text:
            taken = resolve(book, {"pattern": Pattern, "heat": Heat, "sand": Sand}[name], text)
            said += [taken.said] if taken.said else []
            equal[name] = taken.name
            asked += [f"--{name}", taken.name]
    if since is None:
        stored = find(book, kind, limit=limit + 1 if limit else None, newest_first=True, **equal)
    else:
        stored = find_between(book, kind, DATED[kind], since, None, **equal)[::-1]
    shown = stored[:limit] if limit else stored
    return Listed(kind, tuple(item.record for item in shown), len(stored) > len(shown), tuple(asked), tuple(said))
