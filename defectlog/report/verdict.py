"""Verdicts on causes, for people and as JSON."""

from collections.abc import Iterator
from typing import Any

from defectlog.records.kinds import Verdict
from defectlog.report.page import Block, Page, Text, next_step, table
from defectlog.report.shell import shell_command
from defectlog.report.values import record_json
from defectlog.report.verdict_answers import VerdictGiven, VerdictsOn
from defectlog.rulebase.plain_names import cause_name, defect_name
from defectlog.rulebase.shapes import RuleBase


def given_page(answer: VerdictGiven, rules: RuleBase) -> Page:
    return tuple(given_blocks(answer, rules))


def given_blocks(answer: VerdictGiven, rules: RuleBase) -> Iterator[Block]:
    item = answer.verdict
    yield Text(sentence(item, rules))
    yield from (Text(text, tone="quiet", indent=2) for text in answer.said)
    against = [other for other in answer.earlier if other.cause == item.cause and other.verdict != item.verdict]
    for other in against[:1]:
        yield Text(f"before it stood: {other.verdict}, {other.decided_on}; both stay on record")
    if not answer.wrote:
        yield Text("nothing was written" if item not in answer.earlier else "that was on record already")
        return
    yield Text(f"undo: {shell_command('undo', str(answer.act))}", tone="quiet")
    if item.verdict == "confirmed":
        step = shell_command("remedy", "add", item.pattern, item.defect, "what was changed", "--cause", item.cause)
        yield from advice(item.cause, rules)
        yield next_step(step, "when something is changed")
    else:
        yield next_step(shell_command("why", item.pattern, "--defect", item.defect), "what is left")


def advice(cause: str, rules: RuleBase) -> Iterator[Block]:
    """The cheapest remedy of a confirmed cause, with every caution that it carries."""
    known = rules.causes.get(cause)
    if known is None or not known.remedies:
        return
    first = known.remedies[0]
    yield Text(f"first thing to try ({first.cost}): {first.do}")
    for caution in dict.fromkeys([*first.cautions, *known.cautions]):
        if caution in rules.cautions:
            yield Text(rules.cautions[caution].text, tone="caution")


def sentence(item: Verdict, rules: RuleBase) -> str:
    basis = f"; {item.basis}" if item.basis else ""
    by = f"; by {item.by}" if item.by else ""
    what = f"{cause_name(item.cause, rules)} for {defect_name(item.defect, rules)} on {item.pattern}"
    return f"{item.verdict}: {what}, {item.decided_on}{basis}{by}"


def verdicts_page(answer: VerdictsOn, rules: RuleBase) -> Page:
    said = tuple(Text(text, tone="quiet") for text in answer.said)
    if not answer.verdicts:
        of_defect = f" and {defect_name(answer.defect, rules)}" if answer.defect else ""
        step = shell_command("verdict", answer.pattern, answer.defect or "gas-holes", "sand-too-wet", "confirmed")
        nothing = Text(f"No verdict is on record for {answer.pattern}{of_defect}.")
        return (*said, nothing, next_step(step, "to give one, such as"))
    rows = [
        (
            str(item.decided_on),
            defect_name(item.defect, rules),
            cause_name(item.cause, rules),
            item.verdict,
            item.basis or "",
            item.by or "",
        )
        for item in answer.verdicts
    ]
    return (*said, table(("on", "defect", "cause", "verdict", "what showed it", "by"), rows))


def given_json(answer: VerdictGiven) -> dict[str, Any]:
    return {
        "act": answer.act if answer.wrote else 0,
        "written": answer.wrote,
        "verdict": record_json(answer.verdict),
        "said": list(answer.said),
        "earlier": [record_json(item) for item in answer.earlier],
    }


def verdicts_json(answer: VerdictsOn) -> dict[str, Any]:
    return {
        "pattern": answer.pattern,
        "defect": answer.defect or None,
        "verdicts": [record_json(item) for item in answer.verdicts],
    }
