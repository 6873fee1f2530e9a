"""What a write answers: what was understood, what nobody typed, how to undo it, and the next thing to type."""

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from defectlog.errors import Problem
from defectlog.records.fields import FieldSpec, field_of
from defectlog.records.kinds import Heat, Mould, Pattern, Sand
from defectlog.report.answers import Added, Amended
from defectlog.report.moulds import poured
from defectlog.report.page import Block, Bullets, Page, Text, next_step
from defectlog.report.readings import gate_caution
from defectlog.report.values import (
    as_typed,
    drawn_together,
    field_texts,
    json_value,
    label_of,
    many,
    record_json,
    runs_text,
    value_text,
)

KIND_NAMES: dict[Any, str] = {Pattern: "pattern", Sand: "sand", Heat: "heat", Mould: "mould"}
LOOKS_SHOWN = 5


def added_page(added: Added, units: str = "metric") -> Page:
    """The answer to `add`."""
    return tuple(added_blocks(added, units))


def added_blocks(added: Added, units: str) -> Iterator[Block]:
    if added.again:
        yield from already_in(added)
        return
    yield Text(f"written: {what_was_added(added)}", tone="strong")
    told = field_texts(added.records[0], units, leave_out={*added.kind.key, "pattern", "pour_order"})
    if told:
        yield Bullets(tuple(f"{meaning}: {value}" for meaning, value in told))
    yield from after_writing(added.act, added.assumed, added.look)
    if added.kind is Pattern and added.card is not None:
        yield from gate_caution(added.card, units)
    yield next_step(after_adding(added), "next")


def already_in(added: Added) -> Iterator[Block]:
    """The same command again after one whose answer nobody saw."""
    what = f"{KIND_NAMES[added.kind]} {runs_text(added.names)}"
    if added.undone_by is None:
        yield Text(f"already in: {what}, written by act {added.act}; nothing was changed", tone="strong")
        yield Text(f"undo: defectlog undo {added.act}", tone="quiet")
        return
    yield Text(f"{what}: written by act {added.act} and taken back by act {added.undone_by}; nothing was changed")
    yield next_step(f"defectlog undo {added.undone_by}", "to have it back")


def what_was_added(added: Added) -> str:
    if added.kind is not Mould:
        revision = f", revision {added.records[0].revision or 'A'}" if added.kind is Pattern else ""
        return f"{KIND_NAMES[added.kind]} {added.names[0]}{revision}"
    first: Mould = added.records[0]
    name = f" {added.card.name}" if added.card and added.card.name else ""
    revision = f", revision {added.card.revision or 'A'}" if added.card else ""
    number = f" ({many(len(added.names), 'mould')})" if len(added.names) > 1 else ""
    return (
        f"mould {runs_text(added.names)}{number} of pattern {first.pattern}{name}{revision}"
        f" – {many(added.castings, 'casting')}"
    )


def after_adding(added: Added) -> str:
    name = as_typed(added.names)
    if added.kind is Pattern:
        return f"defectlog mould add --count 6 --pattern {name}"
    if added.kind is Sand:
        return f"defectlog mould add --count 6 --pattern … --sand {name}"
    if added.kind is Heat:
        return pouring_command(as_typed(added.waiting) or "M-…", name)
    return shaking_out(added.names) if poured(added.records[0]) else pouring_command(name, "…")


def pouring_command(moulds: str, heat: str) -> str:
    """Both as they are typed."""
    return f"defectlog mould amend {moulds} --heat {heat} --poured-at now --pour-c …"


def shaking_out(moulds: Sequence[str]) -> str:
    return f"defectlog shakeout {as_typed(moulds)} --good"


def after_writing(act: int, assumed: Iterable[str], look: Sequence[Problem]) -> Iterator[Block]:
    """What nobody typed, what is worth a look, and the way back."""
    for text in assumed:
        yield Text(f"assumed – {text}")
    odd = drawn_together((problem.where, problem.found) for problem in look)
    for text in odd[:LOOKS_SHOWN]:
        yield Text(f"worth a look – {text}")
    if len(odd) > LOOKS_SHOWN:
        yield Text(f"and {len(odd) - LOOKS_SHOWN} more such; to see them: defectlog check")
    if act:
        yield Text(f"undo: defectlog undo {act}", tone="quiet")


def amended_page(amended: Amended, units: str = "metric") -> Page:
    """The answer to `amend`."""
    return tuple(amended_blocks(amended, units))


def amended_blocks(amended: Amended, units: str) -> Iterator[Block]:
    kind = KIND_NAMES[amended.kind]
    if not amended.changes:
        yield Text(f"nothing changed: {kind} {runs_text(amended.names)} says so already")
        return
    number = f" ({many(len(amended.names), 'mould')})" if len(amended.names) > 1 else ""
    revision = f", revision {amended.card.revision or 'A'}" if amended.card else ""
    yield Text(f"amended: {kind} {runs_text(amended.names)}{revision}{number}", tone="strong")
    yield Bullets(tuple(change_texts(amended, units)))
    if amended.missing:
        yield Text(f"left out, because not in the book: {runs_text(amended.missing)}")
    yield from after_writing(amended.act, amended.assumed, amended.look)
    if amended.card is not None:
        yield from gate_caution(amended.card, units)
    step = after_amending(amended)
    if step:
        yield next_step(step, "next")


def change_texts(amended: Amended, units: str) -> Iterator[str]:
    """One line a field: what it is, and what it was on how many."""
    fields = dict.fromkeys(name for changed in amended.changes.values() for name in changed)
    for name in fields:
        spec = field_of(amended.kind, name)
        pairs = [changed[name] for changed in amended.changes.values() if name in changed]
        yield f"{label_of(spec)}: {is_text(spec, pairs, units)} ({was_text(spec, pairs, units)})"


def is_text(spec: FieldSpec, pairs: Sequence[tuple[Any, Any]], units: str) -> str:
    now = list(dict.fromkeys(value_text(spec, after, units) if after is not None else "cleared" for _, after in pairs))
    return now[0] if len(now) == 1 else f"{now[0]} to {now[-1]}"


def was_text(spec: FieldSpec, pairs: Sequence[tuple[Any, Any]], units: str) -> str:
    before = Counter(value_text(spec, was, units) if was is not None else "not on record" for was, _ in pairs)
    if len(before) == 1:
        return f"was {next(iter(before))}"
    return "was " + ", ".join(f"{text} on {number}" for text, number in before.most_common(3))


def after_amending(amended: Amended) -> str:
    changed = {name for change in amended.changes.values() for name in change}
    if amended.kind is Mould:
        if changed & {"heat", "poured_at"}:
            return shaking_out(amended.names)
        return f"defectlog mould show {as_typed(amended.names[:1])}"
    return f"defectlog {KIND_NAMES[amended.kind]} show {as_typed(amended.names)}"


def added_json(added: Added) -> dict[str, Any]:
    return {
        "act": added.act,
        "already_in": list(added.names) if added.again else [],
        "added": [record_json(record) for record in added.records],
        "taken": list(added.said),
        "assumed": list(added.assumed),
        "look": [str(problem) for problem in added.look],
    }


def amended_json(amended: Amended) -> dict[str, Any]:
    return {
        "act": amended.act or None,
        "changed": {
            name: {field: {"was": json_value(was), "is": json_value(now)} for field, (was, now) in change.items()}
            for name, change in amended.changes.items()
        },
        "missing": list(amended.missing),
        "taken": list(amended.said),
        "assumed": list(amended.assumed),
        "look": [str(problem) for problem in amended.look],
    }
