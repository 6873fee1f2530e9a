"""The limits of readings: listed, set and taken out, and what the shop's own good castings say about them."""

import dataclasses
from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from defectlog.report.page import Block, Bullets, Page, Text, counted, next_step, table
from defectlog.report.rules_answers import LimitWritten
from defectlog.report.shell import shell_command
from defectlog.rulebase.reading_names import known_readings
from defectlog.rulebase.shapes import Limit
from defectlog.units import METRIC, US, show_quantity


def quantity_of(reading: str) -> str:
    quantity = known_readings().get(reading, ("", "number"))[1]
    return quantity if quantity in METRIC else "number"


def words_of(reading: str) -> str:
    return known_readings().get(reading, (reading, ""))[0]


def amount(reading: str, value: float, system: str) -> str:
    """ "4.5 %"; for a yes-or-no reading the answer that is out is in its side."""
    return show_quantity(value, quantity_of(reading), system)


def width(reading: str, value: float, system: str) -> str:
    """A difference: 10 °C wide is 18 °F wide, not 50 °F warm."""
    quantity = quantity_of(reading)
    unit = US.get(quantity) if system == "us" else None
    if unit is None:
        return show_quantity(value, quantity)
    return f"{value / unit.factor:.4g} {unit.symbol}"


def is_yes_no(reading: str) -> bool:
    return known_readings().get(reading, ("", ""))[1] == "yes_no"


def when_words(when: Mapping[str, str]) -> str:
    return ", ".join(f"{key.replace('_', ' ')} {value}" for key, value in when.items())


def backing(limit: Limit) -> str:
    if limit.own:
        return "the shop's own"
    return counted(len(limit.sources), "source") if limit.sources else "judgement"


def limits_page(limits: Iterable[Limit], system: str, reading: str = "") -> Page:
    """Every limit, one a line; with `reading` only its own are there, and their notes stand below."""
    rows = [(limit.reading, *cells(limit, system, short=not reading)) for limit in limits]
    if not rows:
        set_one = f"defectlog rules limits set {reading} above …" if reading else "defectlog rules limits list"
        return (Text(f"no limit is set for {reading}"), next_step(set_one, "to set one"))
    columns = ("reading", "trouble", "limit", "grey zone", "only for", "from")
    if reading:
        words = Text(f"{reading}: {words_of(reading)}", tone="strong")
        return (words, table(columns[1:], [row[1:] for row in rows], right=(1, 2)), *notes_of(limits))
    narrow = next_step(f"defectlog rules limits list --reading {rows[0][0]}", "one reading, with the notes")
    return (table(columns, rows, right=(2, 3)), narrow)


def cells(limit: Limit, system: str, *, short: bool) -> tuple[str, ...]:
    """Trouble, limit, grey zone, only for, from. An answer of yes or no has no figure."""
    when = short_when(limit.when) if short else when_words(limit.when)
    if is_yes_no(limit.reading):
        return ("yes" if limit.side == "above" else "no", "", "", when, backing(limit))
    value, near = amount(limit.reading, limit.value, system), width(limit.reading, limit.softness, system)
    return (limit.side, value, near, when, backing(limit))


def short_when(when: Mapping[str, str]) -> str:
    """ "natural", "alloy 356", "metal, up to 25 mm": the key only where its value would say nothing."""
    return ", ".join(f"alloy {value}" if key == "alloy" else value for key, value in when.items())


def notes_of(limits: Iterable[Limit]) -> Iterator[Block]:
    """What stands beside each figure: note, judgement, sources."""
    items = tuple(f"{limit.id}: {' '.join(said)}" for limit in limits if (said := [*filter(None, parts_of(limit))]))
    if items:
        yield Bullets(items)
    yield Text("None of these is a norm: measure where trouble begins in your own shop.", tone="quiet")


def parts_of(limit: Limit) -> tuple[str, ...]:
    return (limit.judgement, limit.note, f"Sources: {', '.join(limit.sources)}." if limit.sources else "")


def limits_json(limits: Iterable[Limit]) -> list[dict[str, Any]]:
    return [dataclasses.asdict(limit) for limit in limits]


def sentence(limit: Limit, system: str) -> str:
    """ "moisture_pct above 4.2 % for sand base natural (in doubt within 0.4 % of it)"."""
    when = f" for {when_words(limit.when)}" if limit.when else ""
    near = width(limit.reading, limit.softness, system)
    value = amount(limit.reading, limit.value, system)
    return f"{limit.reading} {limit.side} {value}{when} (in doubt within {near} of it)"


def set_command(limit: Limit, why: str = "") -> str:
    """The command that writes this limit, in metric figures."""
    words = [
        "rules",
        "limits",
        "set",
        limit.reading,
        limit.side,
        f"{limit.value:.10g}",
        "--softness",
        f"{limit.softness:.10g}",
    ]
    for key, value in limit.when.items():
        words += ["--when", f"{key}={value}"]
    return shell_command(*words, *(["--why", why] if why else []))


def remove_command(limit: Limit) -> str:
    words = ["rules", "limits", "remove", limit.reading, limit.side]
    for key, value in limit.when.items():
        words += ["--when", f"{key}={value}"]
    return shell_command(*words)


def written_page(written: LimitWritten, system: str) -> Page:
    return tuple(set_blocks(written, written.now, system) if written.now else removed_blocks(written, system))


def set_blocks(written: LimitWritten, now: Limit, system: str) -> Iterator[Block]:
    yield Text(f"set: {sentence(now, system)}", tone="strong")
    yield Text(f"written in {written.path}", indent=2)
    if written.before:
        yield Text(f"It replaces the shop's own {sentence(written.before, system)}, kept there as a comment.", indent=2)
    if written.ours:
        where = f"For {when_words(now.when)} it" if now.when else "It"
        what = f"every limit of ours for {now.reading} {now.side}" if now.when else ours_text(written.ours, system)
        yield Text(f"{where} is taken before {what}.", indent=2)
    if written.causes:
        yield Text(f"It shows: {', '.join(written.causes)}.", indent=2)
    else:
        yield Text(
            f"No cause in the rules is shown by {now.reading} {now.side} a limit, so nothing uses it yet.", indent=2
        )
    if written.other_side:
        other = sentence(written.other_side, system)
        yield Text(f"Every reading is now beyond one side or the other: {other}. Set that side too.", tone="caution")
    yield next_step(
        set_command(written.before, written.before.judgement) if written.before else remove_command(now), "undo"
    )
    if written.causes:
        yield next_step(f"defectlog rules show {written.causes[0]}", "what to do when it is out")


def ours_text(ours: tuple[Limit, ...], system: str) -> str:
    general = [amount(limit.reading, limit.value, system) for limit in ours if not limit.when]
    narrow = sum(bool(limit.when) for limit in ours)
    parts = [f"ours of {general[0]}"] if general else []
    if narrow:
        parts.append(f"{counted(narrow, 'narrower one')} of ours (--when narrows yours)")
    return " and ".join(parts)


def removed_blocks(written: LimitWritten, system: str) -> Iterator[Block]:
    before = written.before
    if before is not None:
        yield Text(f"taken out: {sentence(before, system)}", tone="strong")
        yield Text(f"It stays in {written.path} as a comment; what comes with the program answers again.", indent=2)
        yield next_step(set_command(before, before.judgement), "undo")
    yield next_step(f"defectlog rules limits list --reading {written.reading}", "what holds now")


def written_json(written: LimitWritten) -> dict[str, Any]:
    return {
        "path": str(written.path),
        "now": dataclasses.asdict(written.now) if written.now else None,
        "before": dataclasses.asdict(written.before) if written.before else None,
        "causes": list(written.causes),
    }
