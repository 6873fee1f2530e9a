"""New records: a card, a batch, a heat, or a run of moulds in one act."""

import re
from collections.abc import Mapping
from datetime import date
from typing import Any

from defectlog.book.acts import writing
from defectlog.book.journal import names_added, undone_by
from defectlog.book.names import RUN, known_names, new_run, next_name
from defectlog.book.open import Book
from defectlog.book.records import castings_of, find, get
from defectlog.book.records import count as count_of
from defectlog.book.tables import table_of
from defectlog.errors import BadInput, Problem
from defectlog.jobs.moulds import look_at
from defectlog.jobs.revisions import card_of, cards_of, in_force
from defectlog.jobs.typed import Asked, ahead, nearly_there, typed_value, understood
from defectlog.records.cells import write_cell
from defectlog.records.checks import off_scale
from defectlog.records.fields import field_of, fields_of
from defectlog.records.kinds import Heat, Mould, Pattern
from defectlog.report.answers import Added
from defectlog.report.moulds import waiting as not_poured
from defectlog.report.values import label_of

# A range or a list must be able to name the mould afterwards.
NOT_IN_A_NUMBER = re.compile(r"[\s,]|\.\.")
NAMES_SHOWN = 6
FIRST_MOULD = "M-1"
MOULDS_LOOKED_AT = 200
HAS_CARD = "allowed: a pattern that has a card already"


def add_record(book: Book, kind: Any, typed: Mapping[str, str], asked: Asked) -> Added:
    """One pattern card, sand batch or heat. A moment that is required and was not typed is now. Raises BadInput."""
    given = understood(book, kind, typed, asked.now)
    values = given.values
    assumed: list[str] = []
    if kind is Pattern and values.get("in_force_from") is None and find(book, Pattern, pattern=values["pattern"]):
        # Without a day it would hold for every mould that was ever made.
        values["in_force_from"] = asked.now.date()
        assumed.append("in force from today (no day was typed)")
    for spec in fields_of(kind):
        if spec.required and spec.holds == "moment" and values.get(spec.name) is None:
            values[spec.name] = asked.now.replace(second=0, microsecond=0)
            assumed.append(f"{label_of(spec)}: now (no time was typed)")
    name = values[kind.key[0]]
    problems = nearly_there(book, kind, [name])
    if problems:
        raise BadInput(problems)
    record = kind(**values)
    with writing(book, asked.command, who=asked.who, why=asked.why) as act:
        act.add(record)
    look = (*ahead(values, kind, asked.now), *off_scale(record, f"{table_of(kind).name} {name}"))
    card = record if kind is Pattern else None
    waiting = waiting_moulds(book) if kind is Heat else ()
    return Added(act.id, kind, (name,), (record,), tuple(given.said), tuple(assumed), look, card=card, waiting=waiting)


def card_to_copy(book: Book, pattern: str, today: date) -> dict[str, str]:
    """The texts of the card in force, for a revision that is as before but for what is typed. Raises BadInput."""
    before = in_force(cards_of(book, pattern.strip()), today.isoformat())
    if before is None:
        found = f"there is no card of {pattern} to take anything from"
        raise BadInput(Problem("no-card-before", "--as-before", found, HAS_CARD, "leave --as-before out"))
    kept = [spec for spec in fields_of(Pattern) if spec.name not in (*Pattern.key, "in_force_from", "note")]
    texts = {spec.name: write_cell(spec, getattr(before, spec.name)) for spec in kept}
    return {name: text for name, text in texts.items() if text}


def waiting_moulds(book: Book) -> tuple[str, ...]:
    """Of the moulds written last, those not poured yet, in the order in which they were made."""
    last = [stored.record for stored in find(book, Mould, limit=MOULDS_LOOKED_AT, newest_first=True)]
    return tuple(mould.mould for mould in reversed(last) if not_poured(mould))


def card_before(book: Book, values: dict[str, Any], asked: Asked, as_before: bool, assumed: list[str]) -> None:
    """A further revision begins today when nothing else is said: without a day it would hold for all that was made."""
    cards = [stored.record for stored in find(book, Pattern, pattern=values["pattern"])]
    if as_before:
        before = in_force(cards, asked.now.date().isoformat())
        if before is None:
            found = f"there is no card of {values['pattern']} to take anything from"
            raise BadInput(Problem("no-card-before", "--as-before", found, HAS_CARD, "leave --as-before out"))
        taken = [
            spec.name
            for spec in fields_of(Pattern)
            if spec.name not in (*values, *Pattern.key, "in_force_from", "note")
        ]
        values |= {name: getattr(before, name) for name in taken}
        assumed.append(f"all that was not typed: as on revision {before.revision or 'A'}")
    if cards and values.get("in_force_from") is None:
        values["in_force_from"] = asked.now.date()
        assumed.append("in force from today (no day was typed)")


def add_moulds(
    book: Book, key: str, count: int, typed: Mapping[str, str], asked: Asked, *, token: str | None = None
) -> Added:
    """`count` moulds from the number `key` on (the next number when empty; "M-225..M-236" is a run too), in one act.

    With a pour order the moulds are numbered on from it. The same `token` twice writes once. Raises BadInput.
    """
    given = understood(book, Mould, typed, asked.now)
    first, count = run_of(key, count, asked)
    assumed: list[str] = []
    with writing(book, asked.command, who=asked.who, why=asked.why, token=token) as act:
        if act.again:
            return written_before(book, act.id)
        names = new_run(first, count) if first else next_run(book, count)
        if not first:
            number = "numbers" if count > 1 else "number"
            before = (
                "the first of this book" if names[0] == FIRST_MOULD else "the next after the last mould in the book"
            )
            assumed.append(f"{number}: {before}")
        refuse_taken(book, names)
        order = given.values.get("pour_order")
        for step, name in enumerate(names):
            values = given.values if order is None else {**given.values, "pour_order": order + step}
            act.add(Mould(mould=name, **values))
    if order is not None and count > 1:
        assumed.append(f"pour order {order} to {order + count - 1}, in the order of the numbers")
    look = (*ahead(given.values, Mould, asked.now), *look_at(book, names))
    records = tuple(get(book, Mould, name).record for name in names)
    return Added(
        act.id, Mould, names, records, tuple(given.said), tuple(assumed), look,
        castings=sum(castings_of(book, names).values()), card=card_of(book, records[0]),
    )  # fmt: skip


def written_before(book: Book, act: int) -> Added:
    """The answer to an act that is in the book already: the moulds that it wrote, by the names they have now."""
    return Added(act, Mould, names_added(book, act, Mould), (), again=True, undone_by=undone_by(book, act))


def run_of(key: str, count: int, asked: Asked) -> tuple[str, int]:
    """The first number and how many: from a number and a count, or from a range. Raises BadInput."""
    if count < 1:
        raise BadInput(Problem("run-unclear", "--count", f"{count} moulds cannot be made", "allowed: 1 or more"))
    if not key.strip():
        return "", count
    low, dots, high = (part.strip() for part in key.partition(".."))
    if dots:
        return from_range(low, high.lstrip("."), key)
    name = str(typed_value(field_of(Mould, "mould"), key, "mould", asked.now))
    if NOT_IN_A_NUMBER.search(name):
        found = f"{name!r} has a blank, a comma or two dots in it"
        allowed = "allowed: one number without these, as M-225; blanks and commas stand between several"
        raise BadInput(Problem("number-unclear", "mould", found, allowed))
    return name, count


def from_range(low: str, high: str, key: str) -> tuple[str, int]:
    start, end = RUN.match(low), RUN.match(high)
    same = start and end and end["prefix"].casefold() in ("", start["prefix"].casefold())
    if not (start and end and same) or int(end["number"]) < int(start["number"]):
        allowed = "allowed: M-225..M-236, both ends of one series, the lower first"
        raise BadInput(Problem("range-unclear", "mould", f"{key!r} is not a run of moulds", allowed))
    return low, int(end["number"]) - int(start["number"]) + 1


def next_run(book: Book, count: int) -> tuple[str, ...]:
    """The next `count` numbers after the last mould, none of them taken; in a book without moulds the first ones.

    Raises BadInput when the last one does not end in a number.
    """
    first = next_name(book) if count_of(book, Mould) else FIRST_MOULD
    while first is not None:
        names = new_run(first, count)
        taken = known_names(book, list(names))
        if not taken:
            return names
        last = [name for name in names if name.casefold() in taken][-1]
        first = new_run(last, 2)[1]
    found = "the last mould in the book does not end in a number, so there is none to count on from"
    allowed = "allowed: a mould that ends in a number"
    raise BadInput(Problem("no-next-number", "mould", found, allowed, "type it: defectlog mould add M-1 --pattern …"))


def refuse_taken(book: Book, names: tuple[str, ...]) -> None:
    there = known_names(book, list(names))
    if there:
        listed = ", ".join(list(there.values())[:NAMES_SHOWN]) + (" and more" if len(there) > NAMES_SHOWN else "")
        found = f"in the book already: {listed}"
        after = next_name(book)
        step = f"the next free run begins at {after}" if after and after not in there.values() else ""
        raise BadInput(Problem("already-there", "mould", found, "each number stands once", step))
    problems = nearly_there(book, Mould, list(names))
    if problems:
        raise BadInput(problems[:NAMES_SHOWN])
