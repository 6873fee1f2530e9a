"""The journal as a page: acts, and under each what it did."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from defectlog.records.fields import FieldSpec
from defectlog.report.answers import Which
from defectlog.report.page import Block, Bullets, Heading, Page, Text, next_step, table
from defectlog.report.values import value_text

# Columns that the book works out, in words.
WORKED_OUT = {"pattern_id": "revision it is counted under", "castings_in_it": "castings it is counted with"}


@dataclass(frozen=True, slots=True)
class Done:
    """One act: number, local time, who, the command as typed, why, the act that took it back, rows it added, and
    line by line what it did (to one record, or at all)."""

    act: int
    at: str
    who: str
    command: str
    why: str
    undone_by: int | None
    added: int
    what: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Life:
    """A record, or one act, and the acts that made it what it is, the first one first."""

    what: Which
    acts: tuple[Done, ...]


def changed_text(name: str, spec: FieldSpec | None, was: Any, became: Any) -> str:
    """ "pour_c was 715 °C, became 720 °C"; values as the book keeps them."""
    before, after = (stored_text(spec, value) for value in (was, became))
    return f"{WORKED_OUT.get(name, name)} was {before}, became {after}"


def stored_text(spec: FieldSpec | None, value: Any) -> str:
    if value is None:
        return "not on record"
    if spec is not None and spec.holds in ("number", "yes_no"):
        return value_text(spec, value)
    return str(value)


def life_page(life: Life) -> Page:
    return tuple(life_blocks(life))


def life_blocks(life: Life) -> Iterator[Block]:
    yield Heading(f"History of {life.what.kind} {life.what.name}")
    for done in life.acts:
        yield Text(done_text(done), tone="strong")
        yield Bullets(done.what)
    standing = [done.act for done in life.acts if done.undone_by is None]
    if standing:
        yield next_step(f"defectlog undo {standing[-1]}", f"to take back act {standing[-1]}")


def done_text(done: Done) -> str:
    who = f", {done.who}" if done.who else ""
    why = f" – why: {done.why}" if done.why else ""
    back = f" – taken back by act {done.undone_by}" if done.undone_by else ""
    return f"act {done.act}, {done.at}{who}: {done.command}{why}{back}"


def recent_page(acts: tuple[Done, ...]) -> Page:
    """The last acts as a table."""
    if not acts:
        return (Text("nothing has been written in this book yet"),)
    rows = [(str(done.act), done.at, done.who, back_text(done) + done.command) for done in acts]
    return (
        table(("act", "when", "who", "command"), rows, right=(0,)),
        next_step(f"defectlog history act {acts[0].act}", "what one did"),
    )


def back_text(done: Done) -> str:
    return f"taken back by {done.undone_by}: " if done.undone_by else ""


def done_json(done: Done) -> dict[str, Any]:
    return {
        "act": done.act,
        "at": done.at,
        "who": done.who or None,
        "command": done.command,
        "why": done.why or None,
        "undone_by": done.undone_by,
        "did": list(done.what),
    }


def life_json(life: Life) -> dict[str, Any]:
    return {"kind": life.what.kind, "name": life.what.name, "acts": [done_json(done) for done in life.acts]}
