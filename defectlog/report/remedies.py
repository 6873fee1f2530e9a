"""Remedies, for people and as JSON: what was changed, how many to check, and what the record says of it."""

from collections.abc import Iterator, Sequence
from typing import Any

from defectlog.records.kinds import Remedy
from defectlog.records.ledgers import Tally
from defectlog.report.page import Block, Heading, Page, Text, next_step, table
from defectlog.report.shell import shell_command
from defectlog.report.values import many, record_json
from defectlog.report.verdict_answers import Remedies, RemedyAdded, RemedyJudged
from defectlog.rulebase.plain_names import cause_name, defect_name
from defectlog.rulebase.shapes import RuleBase

LEAST_ODDS = 0.001


def added_page(answer: RemedyAdded, rules: RuleBase) -> Page:
    return tuple(added_blocks(answer, rules))


def added_blocks(answer: RemedyAdded, rules: RuleBase) -> Iterator[Block]:
    item = answer.remedy
    if answer.again:
        yield from already_in(answer, rules)
        return
    yield from (Text(text, tone="caution") for text in answer.dangers)
    yield Text(f"{headline(answer.number if answer.wrote else 0, item, rules)}, {started(item)}: {item.change}")
    yield from (Text(text, tone="quiet", indent=2) for text in answer.said)
    yield Text(f"before: {counted(answer.before, item.defect, rules)}")
    yield Text(to_check(answer))
    if answer.others:
        numbers = ", ".join(map(str, answer.others))
        yield Text(
            f"still being checked on the same defect: remedy {numbers}. Two changes at once cannot be told apart: "
            "where it can wait, let one finish first."
        )
    yield from cautions(item, rules)
    if not answer.wrote:
        yield Text("dry run: nothing was written", tone="strong")
        return
    yield Text(f"undo: {shell_command('undo', str(answer.act))}", tone="quiet")
    yield next_step(shell_command("remedy", "judge", str(answer.number)), "when they are poured")


def already_in(answer: RemedyAdded, rules: RuleBase) -> Iterator[Block]:
    """The same command again after one whose answer nobody saw."""
    what = f"{headline(answer.number, answer.remedy, rules)}: {answer.remedy.change}"
    if answer.undone_by is None:
        yield Text(f"already in, written by act {answer.act}; nothing was changed – {what}")
        yield Text(f"undo: {shell_command('undo', str(answer.act))}", tone="quiet")
        return
    yield Text(f"written by act {answer.act} and taken back by act {answer.undone_by}; nothing was changed – {what}")
    yield next_step(shell_command("undo", str(answer.undone_by)), "to have it back")


def headline(number: int, item: Remedy, rules: RuleBase) -> str:
    cause = f" ({cause_name(item.cause, rules)})" if item.cause else ""
    return f"remedy {number or 'to be'}: {item.pattern}, {defect_name(item.defect, rules)}{cause}"


def started(item: Remedy) -> str:
    return f"from mould {item.from_mould}" if item.from_mould else f"from {item.from_date}"


def counted(tally: Tally, defect: str, rules: RuleBase) -> str:
    """ "6 of 40 moulds with gas holes (9 of 160 castings)"."""
    if not tally.moulds:
        return "no mould on record"
    return (
        f"{tally.bad_moulds} of {many(tally.moulds, 'mould')} with {defect_name(defect, rules)} "
        f"({tally.bad_castings} of {many(tally.castings, 'casting')})"
    )


def to_check(answer: RemedyAdded) -> str:
    check = answer.remedy.check_castings
    if answer.clean_moulds is None:
        no_rate = "nothing bad is on record before it, so no number can be reckoned"
        return f"to check: {check} castings, as set; {no_rate}" if check else f"to check: {no_rate}: --check-castings"
    moulds = f"{many(answer.clean_moulds, 'clean mould')} in a row would be luck less than one time in twenty"
    return f"to check: {many(check or 0, 'casting')}; {moulds}"


def cautions(item: Remedy, rules: RuleBase) -> Iterator[Block]:
    """Every caution that the rule base ties to this cause and its remedies."""
    cause = rules.causes.get(item.cause or "")
    if cause is None:
        return
    listed = [*cause.cautions, *(caution for remedy in cause.remedies for caution in remedy.cautions)]
    for caution in dict.fromkeys(listed):
        if caution in rules.cautions:
            yield Text(rules.cautions[caution].text, tone="caution")


def judged_page(answer: RemedyJudged, rules: RuleBase) -> Page:
    return tuple(judged_blocks(answer, rules))


def judged_blocks(answer: RemedyJudged, rules: RuleBase) -> Iterator[Block]:
    item, outcome = answer.remedy, answer.outcome
    yield Heading(f"{headline(answer.number, item, rules)}: {item.change}")
    yield Text(f"{outcome.answer}: {outcome.why}", tone="strong")
    yield Text(f"before: {counted(outcome.before, item.defect, rules)}")
    yield Text(f"since ({started(item)}): {counted(outcome.after, item.defect, rules)}")
    if outcome.odds_of_luck is not None:
        yield Text(odds_text(outcome.answer, outcome.odds_of_luck))
    if outcome.answer == "too soon":
        yield Text(still_to_come(answer))
    if answer.others:
        numbers = ", ".join(map(str, answer.others))
        yield Text(
            f"another change on the same defect: remedy {numbers}; what either did cannot be told apart for sure"
        )
    yield from on_record(answer)


def odds_text(answer: str, odds: float) -> str:
    chance = f"less than {LEAST_ODDS:g}" if odds < LEAST_ODDS else f"{odds:.3f}" if odds < 0.1 else f"{odds:.2f}"
    side = "so many bad moulds" if answer == "made worse" else "so few bad moulds"
    return f"chance of {side} had it done nothing: {chance}"


def still_to_come(answer: RemedyJudged) -> str:
    set_for = answer.remedy.check_castings
    number = f"to check: {set_for} castings, as set beforehand; " if set_for else ""
    still = answer.outcome.still_needed
    return number + (
        f"still to come: about {many(still, 'mould')}" if still else "how many are needed is not known yet"
    )


def on_record(answer: RemedyJudged) -> Iterator[Block]:
    """What the book says now, and what to type next."""
    item = answer.remedy
    if answer.act:
        yield Text(f"on record: {answer.recorded}")
        yield Text(f"undo: {shell_command('undo', str(answer.act))}", tone="quiet")
    elif answer.recorded:
        yield Text(f"on record: {answer.recorded}")
    if answer.outcome.answer == "worked" and item.cause:
        basis = f"remedy {answer.number} worked"
        words = ("verdict", item.pattern, item.defect, item.cause, "confirmed", "--basis", basis)
        yield next_step(shell_command(*words), "if that settles the cause")
    elif answer.outcome.answer in ("made worse", "no effect seen"):
        yield next_step(shell_command("why", item.pattern, "--defect", item.defect), "look again")


def list_page(answer: Remedies, rules: RuleBase) -> Page:
    said = tuple(Text(text, tone="quiet") for text in answer.said)
    if not answer.judged:
        of_pattern = f" for {answer.pattern}" if answer.pattern else ""
        step = shell_command("remedy", "add", answer.pattern or "P-104", "gas-holes", "what was changed")
        return (*said, Text(f"No remedy is on record{of_pattern}."), next_step(step, "such as"))
    rows = [row(item, rules) for item in answer.judged]
    columns = ("no.", "pattern", "defect", "changed", "from", "before", "since", "to check", "says the record")
    return (
        *said,
        table(columns, rows, right=(0,)),
        Text("before and since: moulds with the defect of all moulds poured", tone="quiet"),
        next_step(shell_command("remedy", "judge", str(answer.judged[-1].number)), "one of them in full"),
    )


def row(item: RemedyJudged, rules: RuleBase) -> Sequence[str]:
    remedy, outcome = item.remedy, item.outcome
    since = outcome.after.castings
    check = f"{since} of {remedy.check_castings}" if remedy.check_castings else ""
    says = f"{item.recorded} (on record)" if item.recorded else outcome.answer
    return (
        str(item.number),
        remedy.pattern,
        defect_name(remedy.defect, rules),
        remedy.change,
        remedy.from_mould or str(remedy.from_date or ""),
        share(outcome.before),
        share(outcome.after),
        check,
        says,
    )


def share(tally: Tally) -> str:
    return f"{tally.bad_moulds} of {tally.moulds}"


def added_json(answer: RemedyAdded) -> dict[str, Any]:
    return {
        "act": answer.act if answer.wrote or answer.again else 0,
        "written": answer.wrote,
        "already_in": answer.again,
        "number": answer.number if answer.wrote or answer.again else 0,
        "remedy": record_json(answer.remedy),
        "before": tally_json(answer.before),
        "clean_moulds_needed": answer.clean_moulds,
        "said": list(answer.said),
        "dangers": list(answer.dangers),
        "still_being_checked": list(answer.others),
    }


def judged_json(answer: RemedyJudged) -> dict[str, Any]:
    outcome = answer.outcome
    return {
        "number": answer.number,
        "remedy": record_json(answer.remedy),
        "answer": outcome.answer,
        "why": outcome.why,
        "before": tally_json(outcome.before),
        "since": tally_json(outcome.after),
        "odds_of_luck": outcome.odds_of_luck,
        "moulds_still_needed": outcome.still_needed,
        "on_record": answer.recorded or None,
        "act": answer.act,
    }


def list_json(answer: Remedies) -> dict[str, Any]:
    return {"pattern": answer.pattern or None, "remedies": [judged_json(item) for item in answer.judged]}


def tally_json(tally: Tally) -> dict[str, int]:
    return {
        "moulds": tally.moulds,
        "bad_moulds": tally.bad_moulds,
        "castings": tally.castings,
        "bad_castings": tally.bad_castings,
    }
