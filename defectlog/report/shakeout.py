"""What was understood at shakeout, for people and as JSON: what went on record, how to take it back, and the thanks."""

from collections.abc import Iterator, Sequence
from typing import Any

from defectlog.records.kinds import Finding
from defectlog.report.page import Block, Bullets, Page, Text, next_step
from defectlog.report.shakeout_answers import NOT_SAID, LooksLike, Recurrence, Shaken, ShakenOut
from defectlog.report.shell import shell_command
from defectlog.report.values import many, record_json, runs_text
from defectlog.rulebase.plain_names import defect_name, place_names
from defectlog.rulebase.shapes import RuleBase

MOST_MOULDS = 12  # told one by one; the others are counted
MOST_SIGNS = 3
MOST_CANDIDATES = 3


def shakeout_page(answer: ShakenOut, rules: RuleBase) -> Page:
    return tuple(blocks(answer, rules))


def blocks(answer: ShakenOut, rules: RuleBase) -> Iterator[Block]:
    if answer.again:
        yield from already_in(answer)
        return
    yield from moulds_told(answer, rules)
    yield from (Text(text, tone="quiet", indent=2) for text in answer.said)
    if answer.missing:
        yield Text(f"not in the book and left out: {runs_text(answer.missing)}")
    for why in dict.fromkeys(item.why for item in answer.left_out):
        moulds = runs_text([item.mould for item in answer.left_out if item.why == why])
        yield Text(f"left as they are, {why}: {moulds}")
    yield from doubts(answer.moulds)
    yield from (block for look in answer.looks for block in look_blocks(look, rules))
    if answer.dry_run:
        yield Text("dry run: nothing was written", tone="strong")
    elif answer.wrote:
        yield Text(f"undo: {shell_command('undo', str(answer.act))}", tone="quiet")
    else:
        yield Text("that was on record already; nothing was changed")
    yield from (next_step(recurrence_line(item)) for item in answer.recurrences)


def already_in(answer: ShakenOut) -> Iterator[Block]:
    if answer.undone_by is None:
        yield Text(f"already in: it was written by act {answer.act}; nothing was changed")
        yield Text(f"undo: {shell_command('undo', str(answer.act))}", tone="quiet")
        return
    yield Text(f"it was written by act {answer.act} and taken back by act {answer.undone_by}; nothing was changed")
    yield next_step(shell_command("undo", str(answer.undone_by)), "to have it back")


def moulds_told(answer: ShakenOut, rules: RuleBase) -> Iterator[Block]:
    good = [item for item in answer.moulds if item.good]
    if good:
        castings = many(sum(item.castings for item in good), "casting")
        told = f"all good: {runs_text([item.mould for item in good])}"
        yield Text(told + (f" ({many(len(good), 'mould')}, {castings})" if len(good) > 1 else f" ({castings})"))
    bad = [item for item in answer.moulds if not item.good]
    for item in bad[:MOST_MOULDS]:
        head = f"{item.mould} ({item.pattern} revision {item.revision}, {many(item.castings, 'casting')})"
        if len(item.findings) == 1:
            yield Text(f"{head}: {finding_text(item.findings[0], rules)}")
            continue
        yield Text(f"{head}:")
        yield Bullets(tuple(finding_text(finding, rules) for finding in item.findings))
    if len(bad) > MOST_MOULDS:
        yield Text(f"and {many(len(bad) - MOST_MOULDS, 'mould')} more")


def finding_text(finding: Finding, rules: RuleBase) -> str:
    """ "1 scrap at impression 3: gas holes; cope face"."""
    number = finding.castings or 1
    what = finding.disposition or many(number, "casting").partition(" ")[2]
    second = "second defect on " if finding.primary is False else ""
    spot = f" at impression {finding.impression}" if finding.impression is not None else ""
    told = [defect_text(finding, rules), place_names(finding.place or "", rules)]
    if finding.defect and finding.seen:
        told.append(f"seen: {finding.seen}")
    if finding.found and finding.found != "shakeout":
        told.append(f"found: {finding.found}")
    return f"{second}{number} {what}{spot}: {'; '.join(text for text in told if text)}"


def defect_text(finding: Finding, rules: RuleBase) -> str:
    if finding.defect:
        return defect_name(finding.defect, rules)
    return f"seen: {finding.seen}" if finding.seen != NOT_SAID else "what it looks like is not said"


def doubts(moulds: Sequence[Shaken]) -> Iterator[Block]:
    """What the book lacks to count these moulds, said once for all of them."""
    undated = [item.mould for item in moulds if item.undated]
    unpoured = [item.mould for item in moulds if item.taken_as_poured and not item.undated]
    if unpoured:
        step = shell_command("mould", "amend", unpoured[0], "--heat", "H-7", "--poured-at", "today")
        yield Text(f"no pouring was on record for {runs_text(unpoured)}: taken as poured; to say more: {step}")
    if undated:
        step = shell_command("mould", "amend", undated[0], "--poured-at", "today")
        yield Text(f"no day is on record for {runs_text(undated)}, so it counts in no month; to say it: {step}")
    unsaid = [item for item in moulds if any(each.seen == NOT_SAID and not each.defect for each in item.findings)]
    if unsaid:
        yield Text(f"to say later what it is: {shell_command('shakeout', unsaid[0].mould, '--is', 'gas-holes')}")


def look_blocks(look: LooksLike, rules: RuleBase) -> Iterator[Block]:
    found = look.found
    if not found.defects:
        yield Text(found.message)
        yield Text(f"to name it later: {settling_command(look, 'WORDS')}", tone="quiet")
        return
    if not found.undecided:
        words = ", ".join(f'"{item.text}"' for item in found.signs[:MOST_SIGNS] if item.present)
        leader = found.defects[0]
        told = f"looks like {defect_name(leader.defect, rules)} ({leader.share:.2f})" + (f": {words}" if words else "")
        yield Text(f"{told}; if so: {settling_command(look, leader.defect)}")
        return
    listed = [f"{defect_name(item.defect, rules)} ({item.share:.2f})" for item in found.defects[:MOST_CANDIDATES]]
    yield Text(f"could be {' or '.join(listed)}: the words do not tell them apart")
    if found.ask is not None:
        step = shell_command("identify", found.text, "--answer", f"{found.ask.sign}=yes")
        yield Text(f"one look would tell: {found.ask.question} – then (yes, no or unsure): {step}")
    yield Text(f"when you know: {settling_command(look, found.defects[0].defect)}", tone="quiet")


def settling_command(look: LooksLike, defect: str) -> str:
    spots = ["--impression", ",".join(map(str, look.impressions))] if look.impressions else []
    return shell_command("shakeout", *look.moulds.split(), *spots, "--is", defect)


def recurrence_line(item: Recurrence) -> str:
    """ "4th gas-holes on P-104 in 30 days (4 castings, 3 moulds), 3 of 4 at impression 3 – try: defectlog …"."""
    told = f"{counted(item)} on {item.pattern} in {item.days} days"
    if item.castings > item.new:
        told += f" ({many(item.castings, 'casting')}, {many(item.moulds, 'mould')})"
    if item.there and item.castings > 1:
        spot = f"impression {item.impression}" if item.impression is not None else item.place
        told += f", {item.there} of {item.placed} at {spot}"
    if item.castings > item.new:
        told += f" – try: {shell_command('why', item.pattern)}"
    return f"if so, {told}" if item.if_so else told


def counted(item: Recurrence) -> str:
    if item.castings == item.new:
        return f"first {item.defect}" if item.new == 1 else f"first {item.defect} ({many(item.new, 'casting')})"
    return f"{ordinal(item.castings)} {item.defect}"


def ordinal(number: int) -> str:
    if number % 100 in (11, 12, 13):
        return f"{number}th"
    return f"{number}{ {1: 'st', 2: 'nd', 3: 'rd'}.get(number % 10, 'th') }"


def shakeout_json(answer: ShakenOut) -> dict[str, Any]:
    """What was understood. `act` is 0 when nothing was written; keys are stable."""
    return {
        "act": answer.act if answer.wrote or answer.again else 0,
        "written": answer.wrote,
        "already_in": answer.again,
        "taken_back_by": answer.undone_by,
        "dry_run": answer.dry_run,
        "undo": shell_command("undo", str(answer.act)) if answer.wrote else None,
        "moulds": [mould_json(item) for item in answer.moulds],
        "left_out": [{"mould": item.mould, "why": item.why} for item in answer.left_out],
        "missing": list(answer.missing),
        "said": list(answer.said),
        "looks_like": [look_json(look) for look in answer.looks],
        "recurrence": [recurrence_json(item) for item in answer.recurrences],
    }


def mould_json(item: Shaken) -> dict[str, Any]:
    return {
        "mould": item.mould,
        "pattern": item.pattern,
        "revision": item.revision,
        "castings": item.castings,
        "good": item.good,
        "taken_as_poured": item.taken_as_poured,
        "findings": [record_json(finding) for finding in item.findings],
    }


def look_json(look: LooksLike) -> dict[str, Any]:
    from defectlog.diagnosis.identify import as_json

    leader = look.found.defects[0].defect if look.found.defects and not look.found.undecided else None
    return as_json(look.found) | {
        "seen": look.seen,
        "settle": settling_command(look, leader) if leader else None,
    }


def recurrence_json(item: Recurrence) -> dict[str, Any]:
    return {
        "pattern": item.pattern,
        "defect": item.defect,
        "castings": item.castings,
        "moulds": item.moulds,
        "new": item.new,
        "days": item.days,
        "impression": item.impression,
        "place": item.place or None,
        "there": item.there,
        "placed": item.placed,
        "if_so": item.if_so,
        "line": recurrence_line(item),
    }
