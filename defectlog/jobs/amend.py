"""Corrections and what is known later: one record, or a range of moulds in one act. The old values stay on record."""

from collections.abc import Mapping, Sequence
from typing import Any

from defectlog.book.acts import writing
from defectlog.book.names import expand
from defectlog.book.open import Book
from defectlog.book.records import get, resolve
from defectlog.book.tables import table_of
from defectlog.errors import BadInput, Problem
from defectlog.jobs.moulds import look_at
from defectlog.jobs.revisions import cards_of, named_card
from defectlog.jobs.typed import Asked, ahead, nearly_there, option_of, understood
from defectlog.records.checks import off_scale
from defectlog.records.fields import fields_of
from defectlog.records.kinds import Mould, Pattern
from defectlog.report.answers import Amended


def amend_record(
    book: Book, kind: Any, key: str, typed: Mapping[str, str], asked: Asked, *, revision: str = ""
) -> Amended:
    """One card, batch or heat. Raises NotFound, Ambiguous (a pattern of several cards), BadInput."""
    something_typed(kind, typed)
    taken = resolve(book, kind, key)
    given = understood(book, kind, typed, asked.now)
    renamed = given.values.get(kind.key[0])
    if renamed is not None and (near := nearly_there(book, kind, [renamed])):
        refuse_unless_own(near, taken.name)
    stored_key: Any = taken.name
    if revision:
        stored_key = (taken.name, named_card(cards_of(book, taken.name), taken.name, revision).revision or "A")
    with writing(book, asked.command, who=asked.who, why=asked.why) as act:
        changed = act.amend(kind, stored_key, given.values)
    name = str(renamed or taken.name)
    amended = get(book, kind, key_after(stored_key, name, given.values)).record
    look = (*ahead(given.values, kind, asked.now), *off_scale(amended, f"{table_of(kind).name} {name}"))
    return Amended(
        act.id if act.wrote else 0, kind, (name,), {name: changed} if changed else {},
        (*((taken.said,) if taken.said else ()), *given.said), look=look, card=amended if kind is Pattern else None,
    )  # fmt: skip


def key_after(before: Any, name: str, values: Mapping[str, Any]) -> Any:
    """How the amended record is named now: a card by its revision too, where that is known."""
    if "revision" in values:
        return name, values["revision"] or "A"
    return (name, before[1]) if isinstance(before, tuple) else name


def refuse_unless_own(near: Sequence[Problem], own: str) -> None:
    """A record may be renamed to another spelling of its own name."""
    others = [problem for problem in near if not problem.found.startswith(f"{own} is in the book")]
    if others:
        raise BadInput(others)


def amend_moulds(book: Book, keys: str, typed: Mapping[str, str], asked: Asked) -> Amended:
    """Moulds named one by one or as a range, all or none. A pour order is numbered on from mould to mould."""
    something_typed(Mould, typed)
    meant = expand(book, keys)
    given = understood(book, Mould, typed, asked.now)
    if "mould" in given.values and len(meant.names) > 1:
        found = f"{len(meant.names)} moulds cannot all be called {given.values['mould']}"
        again = f"type: defectlog mould amend {meant.names[0]} --mould {given.values['mould']}"
        allowed = "a number is corrected one mould at a time"
        raise BadInput(Problem("one-name-for-many", "--mould", found, allowed, again))
    order = given.values.get("pour_order")
    changes: dict[str, Mapping[str, tuple[Any, Any]]] = {}
    problems: list[Problem] = []
    with writing(book, asked.command, who=asked.who, why=asked.why) as act:
        for step, name in enumerate(meant.names):
            values = given.values if order is None else {**given.values, "pour_order": order + step}
            try:
                changed = act.amend(Mould, name, values)
            except BadInput as error:
                problems += [problem for problem in error.problems if problem not in problems]
                continue
            if changed:
                changes[name] = changed
        if problems:
            raise BadInput(problems)
    assumed = []
    if order is not None and len(meant.names) > 1:
        assumed.append(f"pour order {order} to {order + len(meant.names) - 1}, in the order they were named")
    names = (given.values["mould"],) if given.values.get("mould") else meant.names
    return Amended(
        act.id if act.wrote else 0, Mould, names, changes, (*meant.said, *given.said), meant.missing,
        tuple(assumed), (*ahead(given.values, Mould, asked.now), *look_at(book, names)),
    )  # fmt: skip


def something_typed(kind: Any, typed: Mapping[str, str]) -> None:
    if not typed:
        some = ", ".join(option_of(spec.name) for spec in fields_of(kind)[1:6])
        found = "nothing is said that should change"
        raise BadInput(Problem("nothing-to-change", "amend", found, f"allowed: {some} and others, each with its value"))
