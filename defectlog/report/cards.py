"""A pattern card with its history, and a sand batch, a heat or a mould with what hangs on it."""

from collections.abc import Iterator, Sequence
from typing import Any

from defectlog.records.counts import MouldCount, total
from defectlog.records.fields import field_of, fields_of
from defectlog.records.kinds import Finding, Mould, Pattern, Remedy, Sand, Verdict
from defectlog.report.answers import PatternCard, Shown
from defectlog.report.moulds import DefectSeen, MouldSeen, defects_of, poured, waiting
from defectlog.report.page import Block, Bullets, Heading, Page, Text, next_step, table
from defectlog.report.readings import gate_caution, reading_bullets, reading_json
from defectlog.report.values import (
    as_typed,
    field_texts,
    json_value,
    label_of,
    many,
    record_json,
    runs_text,
    value_text,
)
from defectlog.report.written import KIND_NAMES, pouring_command, shaking_out


def pattern_page(shown: PatternCard, units: str = "metric") -> Page:
    return tuple(pattern_blocks(shown, units))


def pattern_blocks(shown: PatternCard, units: str) -> Iterator[Block]:
    card = shown.card
    yield Heading(f"Pattern {card.pattern}{f', {card.name}' if card.name else ''} – revision {card.revision or 'A'}")
    yield from card_fields(card, units, leave_out=("pattern", "revision", "name"))
    if len(shown.revisions) > 1:
        yield table(("revision", "in force from", "note"), revision_rows(shown.revisions))
    if shown.readings:
        yield Heading("Worked out from the card")
        yield reading_bullets(shown.readings, units)
        yield from gate_caution(card, units)
    yield Heading("Poured so far")
    yield from made_so_far(shown)
    if shown.verdicts:
        yield Heading("Causes settled")
        yield Bullets(tuple(verdict_text(item) for item in shown.verdicts))
    if shown.remedies:
        yield Heading("Remedies")
        yield Bullets(tuple(remedy_text(item) for item in shown.remedies))
    name = as_typed([card.pattern])
    yield next_step(
        f"defectlog why {name}" if shown.defects else f"defectlog mould add --count 6 --pattern {name}", "next"
    )


def card_fields(record: Any, units: str, leave_out: Sequence[str]) -> Iterator[Block]:
    """What is on record as a table, and the names of what is not."""
    rows = field_texts(record, units, leave_out)
    if rows:
        yield table(("on record", ""), rows)
    kind: Any = type(record)
    absent = [
        label_of(spec)
        for spec in fields_of(kind)
        if getattr(record, spec.name) is None and spec.name not in (*leave_out, "note")
    ]
    if absent:
        yield Text(f"not on record: {'; '.join(absent)}", tone="quiet")


def revision_rows(revisions: Sequence[Pattern]) -> list[tuple[str, str, str]]:
    began = field_of(Pattern, "in_force_from")
    return [(card.revision or "A", value_text(began, card.in_force_from), card.note or "") for card in revisions]


def made_so_far(shown: PatternCard) -> Iterator[Block]:
    if shown.moulds:
        yield Text(f"{many(shown.moulds, 'mould')} – {count_text(shown.count)}", tone="strong")
    else:
        yield Text("no mould of it is on record as poured")
    besides = (
        (shown.waiting, "not poured yet"),
        (shown.lost, "lost before pouring"),
        (shown.trials, "trials, not in these figures"),
    )
    others = [f"{number} {what}" for number, what in besides if number]
    if others:
        yield Text(f"moulds besides: {', '.join(others)}")
    yield from defect_table(shown.defects)


def defect_table(defects: Sequence[DefectSeen]) -> Iterator[Block]:
    if defects:
        rows = [(item.defect or "not named, only described", str(item.castings), str(item.moulds)) for item in defects]
        yield table(("defect", "castings", "moulds"), rows, right=(1, 2))


def count_text(count: MouldCount) -> str:
    """ "48 castings: 41 good first time, 5 scrapped, 2 reworked"; says so when it does not balance."""
    if count.good < 0:
        return f"{many(count.castings, 'casting')}, yet {count.bad} charged to defects; type: defectlog check"
    parts = [f"{count.good} good first time"] + [
        f"{number} {what}"
        for number, what in (
            (count.scrapped, "scrapped"),
            (count.reworked, "reworked"),
            (count.used_as_is, "used as is"),
            (count.undecided, "undecided"),
        )
        if number
    ]
    return f"{many(count.castings, 'casting')}: {', '.join(parts)}"


def verdict_text(item: Verdict) -> str:
    basis = f" – {item.basis}" if item.basis else ""
    return f"{item.defect}: {item.cause} {item.verdict}, {item.decided_on.isoformat()}{basis}"


def remedy_text(item: Remedy) -> str:
    start = f"from {item.from_mould or (item.from_date.isoformat() if item.from_date else '')}"
    return f"{item.defect}: {item.change}, {start} – {item.verdict or 'not judged yet'}"


def shown_page(shown: Shown, units: str = "metric") -> Page:
    """A batch or heat with its moulds, or a mould with its findings."""
    return tuple(mould_blocks(shown, units) if isinstance(shown.record, Mould) else shared_blocks(shown, units))


def shared_blocks(shown: Shown, units: str) -> Iterator[Block]:
    kind = KIND_NAMES[type(shown.record)]
    name = getattr(shown.record, kind)
    yield Heading(f"{kind.capitalize()} {name}")
    yield from card_fields(shown.record, units, leave_out=(kind,))
    moulds = shown.moulds
    yield Heading("Moulds")
    if not moulds:
        yield Text("no mould names it")
        if isinstance(shown.record, Sand):
            yield next_step(f"defectlog mould add --count 6 --pattern … --sand {as_typed([name])}", "next")
        return
    yield Text(runs_text([item.mould.mould for item in moulds]))
    yield from moulds_summed(moulds)
    yield next_step(f"defectlog trace {as_typed([name])}", "all that shares it")


def moulds_summed(moulds: Sequence[MouldSeen]) -> Iterator[Block]:
    melted = [item for item in moulds if poured(item.mould)]
    if melted:
        summed = total(item.count for item in melted)
        yield Text(f"{many(len(melted), 'mould')} poured – {count_text(summed)}", tone="strong")
    not_yet = [item.mould.mould for item in moulds if waiting(item.mould)]
    if not_yet:
        yield Text(f"not poured yet: {runs_text(not_yet)}")
    yield from defect_table(defects_of(melted))


def mould_blocks(shown: Shown, units: str) -> Iterator[Block]:
    item = shown.moulds[0]
    mould = item.mould
    revision = f" revision {shown.card.revision or 'A'}" if shown.card else ""
    yield Heading(f"Mould {mould.mould} – pattern {mould.pattern}{revision}, {many(item.count.castings, 'casting')}")
    yield from card_fields(mould, units, leave_out=("mould", "pattern", "revision", "castings"))
    if shown.readings:
        yield Heading("Worked out")
        yield reading_bullets(shown.readings, units)
    yield Heading("What was found")
    if item.findings:
        yield Text(count_text(item.count), tone="strong")
        yield Bullets(tuple(finding_text(finding) for finding in item.findings))
    else:
        yield Text("nothing" if poured(mould) else f"nothing: {mould.outcome or 'not poured yet'}")
    yield mould_next(item)


def finding_text(finding: Finding) -> str:
    """ "1 casting at impression 3: gas-holes, cope near gate, scrap, found at machining"."""
    place = f" at impression {finding.impression}" if finding.impression is not None else ""
    parts = [
        finding.defect or "",
        f"\u201c{finding.seen}\u201d" if finding.seen else "",
        finding.place or "",
        finding.disposition or "undecided",
        f"found at {finding.found}" if finding.found else "",
        "secondary" if finding.primary is False else "",
    ]
    return f"{many(finding.castings or 1, 'casting')}{place}: {', '.join(part for part in parts if part)}"


def mould_next(item: MouldSeen) -> Text:
    mould = item.mould
    if waiting(mould):
        return next_step(pouring_command(as_typed([mould.mould]), "…"), "when poured")
    if not item.findings and poured(mould):
        return next_step(shaking_out([mould.mould]), "when shaken out")
    return next_step(f"defectlog history {as_typed([mould.mould])}", "who wrote what")


def pattern_json(shown: PatternCard) -> dict[str, Any]:
    return {
        **record_json(shown.card),
        "revisions": [record_json(card) for card in shown.revisions],
        "moulds": shown.moulds,
        **count_json(shown.count),
        "trials": shown.trials,
        "lost_before_pouring": shown.lost,
        "not_poured_yet": shown.waiting,
        "defects": [defect_json(item) for item in shown.defects],
        "verdicts": [record_json(item) for item in shown.verdicts],
        "remedies": [record_json(item) for item in shown.remedies],
        "computed": reading_json(shown.readings),
        "taken": shown.said or None,
    }


def shown_json(shown: Shown) -> dict[str, Any]:
    """A mould with its counts and findings; a batch or heat with its moulds."""
    document = record_json(shown.record)
    if isinstance(shown.record, Mould):
        item = shown.moulds[0]
        document |= count_json(item.count)
        document["findings"] = [record_json(finding) for finding in item.findings]
        document["computed"] = reading_json(shown.readings)
    else:
        document["moulds"] = [mould_json(item) for item in shown.moulds]
    return {**document, "taken": shown.said or None}


def mould_json(item: MouldSeen) -> dict[str, Any]:
    mould = item.mould
    return {
        "mould": mould.mould,
        "pattern": mould.pattern,
        "revision": mould.revision,
        "sand": mould.sand,
        "heat": mould.heat,
        "poured": poured(mould),
        "poured_at": json_value(mould.poured_at),
        **count_json(item.count),
        "defects": [defect_json(defect) for defect in defects_of([item])],
    }


def count_json(count: MouldCount) -> dict[str, int]:
    return {
        "castings": count.castings,
        "good": count.good,
        "reworked": count.reworked,
        "used_as_is": count.used_as_is,
        "scrapped": count.scrapped,
        "undecided": count.undecided,
    }


def defect_json(item: DefectSeen) -> dict[str, Any]:
    return {"defect": item.defect or None, "castings": item.castings, "moulds": item.moulds}
