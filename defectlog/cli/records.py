"""What the four record verbs share: asking for what is missing, then one job and its answer."""

import sys
from collections.abc import Mapping
from typing import Any

from defectlog.cli.session import Session
from defectlog.errors import BadInput, Problem
from defectlog.records.fields import FieldSpec, fields_of
from defectlog.records.kinds import Mould

KEY_HELP = "Its number, as short as it is clear: H-7, or 7."


def complete(session: Session, kind: Any, typed: dict[str, str]) -> dict[str, str]:
    """`typed` with what is needed and was not typed: asked for at a terminal. Raises BadInput with all of it else.

    A moment that is needed is not asked for: it is now.
    """
    missing = [
        spec
        for spec in fields_of(kind)
        if spec.required and spec.holds != "moment" and not typed.get(spec.name, "").strip()
    ]
    if missing and not session.can_ask():
        raise BadInput([needed(kind, spec) for spec in missing])
    return typed | {spec.name: asked_for(session, spec) for spec in missing}


def needed(kind: Any, spec: FieldSpec) -> Problem:
    verb = KIND_VERBS[kind.sheet]
    if spec.name == kind.key[0]:
        step = f"type: defectlog {verb} add NUMBER …"
        return Problem("field-needed", f"{verb} add", "no number is given", f"needed: {spec.meaning}", step)
    option = "--" + spec.name.replace("_", "-")
    found, step = f"{option} is needed", f"type it as: {option} …"
    return Problem("field-needed", f"{verb} add", found, f"needed: {spec.meaning}", step)


KIND_VERBS = {"patterns": "pattern", "sand": "sand", "heats": "heat", "moulds": "mould"}


def asked_for(session: Session, spec: FieldSpec) -> str:
    """Asked until it can be taken; Ctrl-C stops."""
    from defectlog.jobs.typed import typed_value

    while True:
        text = session.ask(f"{spec.meaning}?")
        try:
            typed_value(spec, text, spec.meaning, session.now())
        except BadInput as error:
            session.say(str(error))
            continue
        return text


def add(session: Session, kind: Any, key: str, typed: Mapping[str, str], *, as_before: bool = False) -> None:
    """`pattern add`, `sand add`, `heat add`."""
    from defectlog.jobs.add import add_record, card_to_copy

    with session.open() as book:
        whole = {**typed, kind.key[0]: key}
        if as_before:
            whole = {**card_to_copy(book, key, session.today()), **whole}
        whole = complete(session, kind, whole)
        added = add_record(book, kind, whole, asked(session))
    answer_added(session, added)


def add_moulds(session: Session, key: str, count: int, typed: Mapping[str, str]) -> None:
    """A run without a number gets the next ones: typed again after a crash, it must not get the ones after those."""
    from defectlog.book.unanswered import own_id
    from defectlog.jobs.add import add_moulds as add_run

    with session.open() as book, own_id(book.path, session.command) as token:
        whole = complete(session, Mould, {**typed, "mould": key or "next"})
        del whole["mould"]
        added = add_run(book, key, count, whole, asked(session), token=token)
        answer_added(session, added)
        sys.stdout.flush()


def answer_added(session: Session, added: Any) -> None:
    from defectlog.report.written import added_json, added_page

    say_all(session, added.said)
    session.answer(lambda: added_json(added), lambda: added_page(added, session.units))


def amend(session: Session, kind: Any, key: str, typed: Mapping[str, str], why: str, revision: str = "") -> None:
    """`amend` of every kind; `key` may be several moulds."""
    from defectlog.jobs.amend import amend_moulds, amend_record
    from defectlog.report.written import amended_json, amended_page

    with session.open(create=False) as book:
        if kind is Mould:
            amended = amend_moulds(book, key, typed, asked(session, why))
        else:
            amended = amend_record(book, kind, key, typed, asked(session, why), revision=revision)
    say_all(session, amended.said)
    session.answer(lambda: amended_json(amended), lambda: amended_page(amended, session.units))


def show(session: Session, kind: Any, key: str) -> None:
    """`sand show`, `heat show`, `mould show`."""
    from defectlog.jobs.cards import show_record
    from defectlog.report.cards import shown_json, shown_page

    with session.open(create=False) as book:
        shown = show_record(book, kind, key)
    say_all(session, (shown.said,))
    session.answer(lambda: shown_json(shown), lambda: shown_page(shown, session.units))


def show_pattern(session: Session, key: str, revision: str) -> None:
    from defectlog.jobs.cards import show_pattern as show_card
    from defectlog.report.cards import pattern_json, pattern_page

    with session.open(create=False) as book:
        shown = show_card(book, key, session.today(), revision)
    say_all(session, (shown.said,))
    session.answer(lambda: pattern_json(shown), lambda: pattern_page(shown, session.units))


def listing(session: Session, kind: Any, limit: int, since: str = "", **named: str) -> None:
    """`list` of every kind, narrowed by what is named."""
    from defectlog.dates import parse_day
    from defectlog.jobs.cards import list_records
    from defectlog.report.lists import listed_json, listed_page

    if limit < 0:
        raise BadInput(
            Problem("limit-unclear", "--limit", f"{limit} records cannot be shown", "allowed: 1 or more; 0 for all")
        )
    day = parse_day(since, session.today(), "--since") if since else None
    with session.open(create=False) as book:
        listed = list_records(book, kind, limit=limit, since=day, **named)
    say_all(session, listed.said)
    session.answer(lambda: listed_json(listed), lambda: listed_page(listed, session.units))


def asked(session: Session, why: str = "") -> Any:
    from defectlog.jobs.typed import Asked

    return Asked(session.command, session.now(), session.who(), why or None)


def say_all(session: Session, said: tuple[str, ...]) -> None:
    for text in said:
        if text:
            session.say(text)
