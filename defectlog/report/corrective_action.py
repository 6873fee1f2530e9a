"""The corrective-action sheet: the problem in numbers, what is at risk, evidence, cause, change, effect, and the gaps.

What the record does not hold is shown as a gap to be filled by hand, never left out.
"""

from collections.abc import Iterator, Sequence
from datetime import date
from typing import Any

from defectlog.diagnosis.why import CauseAnswer, DefectAnswer
from defectlog.report.corrective_action_answers import CorrectiveAction, Shared
from defectlog.report.html import data_table, document, element
from defectlog.report.page import Block, Bullets, Heading, Page, Text, counted, next_step, table
from defectlog.report.page_html import page_parts
from defectlog.report.review_answers import month_name
from defectlog.report.review_words import defect_words, rate_words
from defectlog.report.shell import shell_command
from defectlog.report.values import as_typed
from defectlog.report.verdict_answers import RemedyJudged
from defectlog.review.wording import answer_text, odds_text, share_text
from defectlog.rulebase.plain_names import cause_name
from defectlog.rulebase.shapes import RuleBase

GAP = "GAP – not on record:"
MOST_CAUSES, MOST_SHARED = 3, 12
# A cause with a smaller share is not worth a line on a sheet for a customer.
LEAST_SHARE = 0.01
FINAL_VERDICTS = ("worked", "no effect seen", "made worse")


def sheet_page(sheet: CorrectiveAction, rules: RuleBase) -> Page:
    return (
        Heading(f"Corrective action: {sheet.pattern} {sheet.name}".strip() + f", {defect_words(sheet.defect, rules)}"),
        *problem(sheet),
        *containment(sheet),
        *evidence(sheet),
        *cause_and_verdict(sheet, rules),
        *change_and_effect(sheet),
        *standard(sheet),
        *next_lines(sheet),
    )


def gap(text: str) -> Text:
    return Text(f"{GAP} {text}", tone="strong")


def problem(sheet: CorrectiveAction) -> Iterator[Block]:
    bad_moulds = sum(month.bad_moulds for month in sheet.months)
    bad, castings = sum(month.bad_castings for month in sheet.months), sum(month.castings for month in sheet.months)
    yield Heading("1. The problem in numbers")
    if not bad:
        yield Text(f"No casting of it is on record from {sheet.since} to {sheet.until}.")
        yield gap("what was seen, on which castings, and where on them")
        return
    moulds = sum(month.moulds for month in sheet.months)
    yield Text(
        f"{bad} of {counted(castings, 'casting')} ({share_text(bad / castings)}) in {bad_moulds} of "
        f"{counted(moulds, 'mould')}, {sheet.since} to {sheet.until}; first cast {sheet.first_seen}, last "
        f"{sheet.last_seen}.",
        tone="strong",
    )
    yield table(
        ("month cast", "moulds", "with it", "castings", "with it", "rate"),
        (
            (
                month_name(month.month),
                str(month.moulds),
                str(month.bad_moulds),
                str(month.castings),
                str(month.bad_castings),
                rate_words(month.bad_castings / month.castings if month.castings else None),
            )
            for month in sheet.months
        ),
        right=range(1, 6),
    )
    yield Bullets((f"what became of them: {listed(sheet.became)}", f"found at: {listed(sheet.found)}"))


def listed(counts: Any) -> str:
    return ", ".join(f"{name or 'not on record'} {count}" for name, count in counts.items())


def containment(sheet: CorrectiveAction) -> Iterator[Block]:
    yield Heading("2. Containment: what else may have it")
    if sheet.shared:
        yield Text(f"What the bad moulds of the last {sheet.lately} days before {sheet.last_seen} share:")
        yield table(
            ("shared", "moulds", "castings", "not scrapped", "patterns"),
            (
                (f"{item.kind} {item.name}", str(item.moulds), str(item.castings), str(item.not_scrapped), names(item))
                for item in sheet.shared[:MOST_SHARED]
            ),
            right=(1, 2, 3),
        )
        if len(sheet.shared) > MOST_SHARED:
            yield Text(f"{len(sheet.shared) - MOST_SHARED} more heats and batches in --json.", tone="quiet")
    if sheet.at_risk is not None:
        yield Text(
            f"In all, each mould once: {counted(sheet.at_risk.moulds, 'mould')}, "
            f"{counted(sheet.at_risk.not_scrapped, 'casting')} poured and not scrapped, of the patterns "
            f"{names(sheet.at_risk)}.",
            tone="strong",
        )
    if sheet.unlinked:
        yield gap(f"heat and sand of {counted(sheet.unlinked, 'bad mould')} of those days")
    elif not sheet.shared and sheet.last_seen:
        yield gap("which heat and which sand the bad moulds were made with")
    yield gap("where the castings that were not scrapped are now, who sorted them, and what was found")
    returned = sheet.found.get("customer", 0)
    if returned:
        yield Text(f"{counted(returned, 'casting')} reached a customer.")
        yield gap("why the inspection before delivery did not find it")


def names(item: Shared) -> str:
    return ", ".join(item.patterns[:4]) + (" …" if len(item.patterns) > 4 else "")


def evidence(sheet: CorrectiveAction) -> Iterator[Block]:
    yield Heading("3. Evidence")
    found = sheet.evidence
    if found is None:
        yield gap("anything to weigh: no finding with this defect")
        return
    yield Text(
        f"That anything stands out from the shop's usual run: {share_text(found.stands_out)}. The causes that fit "
        "best, by this shop's own records and what the trade knows; shares are evidence weighed, not proof."
    )
    for cause in leaders(found):
        yield Text(f"{cause.cause.name}: {share_text(cause.share)}", tone="strong")
        told = [f"for: {text}" for text in cause.speaks_for] + [f"against: {text}" for text in cause.speaks_against]
        yield Bullets(tuple(told or ["nothing on record speaks for it or against it"]))
    same = found.same_place
    if same is not None and same.odds_of_luck is not None:
        by_impression = ", ".join(f"{number}: {count}" for number, count in same.impressions.items())
        yield Text(f"Moulds bad by impression: {by_impression} ({odds_text(same.odds_of_luck)}).")
    if found.changed is not None and found.changed.chance >= 0.5:
        near = ", ".join(found.changed.near_it)
        yield Text(
            f"The rate changed about {found.changed.on} ({share_text(found.changed.chance)} sure)"
            + (f"; begun about then: {near}." if near else ".")
        )
    if found.table:
        yield table(
            ("is and is not", "is", "is not"), ((row.asks, row.is_, row.is_not or row.blank) for row in found.table)
        )


def leaders(found: DefectAnswer) -> Sequence[CauseAnswer]:
    """The first cause always, the next ones where they are worth a line."""
    return [cause for place, cause in enumerate(found.causes[:MOST_CAUSES]) if not place or cause.share >= LEAST_SHARE]


def cause_and_verdict(sheet: CorrectiveAction, rules: RuleBase) -> Iterator[Block]:
    yield Heading("4. Cause")
    for verdict in sheet.verdicts:
        by = f", {verdict.by}" if verdict.by else ""
        basis = f": {verdict.basis}" if verdict.basis else ""
        yield Text(f"{cause_name(verdict.cause, rules)} – {verdict.verdict} on {verdict.decided_on}{by}{basis}")
        if not verdict.basis:
            yield gap("what showed it")
    if not any(verdict.verdict == "confirmed" for verdict in sheet.verdicts):
        yield gap("a confirmed cause, and what showed it")


def change_and_effect(sheet: CorrectiveAction) -> Iterator[Block]:
    yield Heading("5. Change, and its effect")
    if not sheet.remedies:
        yield gap("what was changed, from which mould on, who sees to it, and how many castings are to be checked")
        return
    for item in sheet.remedies:
        yield from remedy_blocks(item)


def remedy_blocks(item: RemedyJudged) -> Iterator[Block]:
    remedy, outcome = item.remedy, item.outcome
    began = remedy.from_mould or remedy.from_date
    yield Text(f"{item.number}. {remedy.change}" + (f", from {began}" if began else ""), tone="strong")
    odds = f" ({odds_text(outcome.odds_of_luck)})" if outcome.odds_of_luck is not None else ""
    yield Bullets(
        (
            f"moulds with it: {outcome.before.bad_moulds} of {outcome.before.moulds} before, "
            f"{outcome.after.bad_moulds} of {outcome.after.moulds} since{odds}",
            f"castings with it: {outcome.before.bad_castings} of {outcome.before.castings} before, "
            f"{outcome.after.bad_castings} of {outcome.after.castings} since",
            f"the record says: {answer_text(outcome.answer, outcome.still_needed)}",
            f"the shop's verdict: {remedy.verdict or 'none yet'}",
        )
    )
    missing = [
        words
        for words, there in (
            ("the first day or mould of the change", began),
            ("who sees to it", remedy.owner),
            ("how many castings to check, set beforehand", remedy.check_castings),
            ("a verdict", remedy.verdict in FINAL_VERDICTS),
        )
        if not there
    ]
    if missing:
        yield gap("; ".join(missing))


def standard(sheet: CorrectiveAction) -> Iterator[Block]:
    yield Heading("6. So that it stays")
    for card in sheet.cards:
        note = f": {card.note}" if card.note else ""
        yield Text(f"Pattern card, revision {card.revision or 'A'}, in force from {card.in_force_from}{note}")
    if not sheet.cards:
        yield gap("a revision of the pattern card since the change")
    yield gap("what was changed in the working instructions, and who was told")


def next_lines(sheet: CorrectiveAction) -> Iterator[Block]:
    if sheet.shared:
        item = sheet.shared[0]
        yield next_step(f"defectlog trace {item.kind} {as_typed([item.name])} --csv sort.csv", "the moulds to sort")
    yield next_step(shell_command("why", sheet.pattern, "--defect", sheet.defect), "the evidence in full")


def sheet_html(sheet: CorrectiveAction, rules: RuleBase, today: date) -> str:
    """The same on paper, with room for signatures."""
    page = sheet_page(sheet, rules)
    signed = data_table(
        "Signed", ("", "name", "day"), [("filled in by", "", ""), ("cause agreed by", "", ""), ("closed by", "", "")]
    )
    parts = [
        *page_parts(page),
        element("div", signed, class_="write"),
        element("footer", f"From the record book, {today.isoformat()}. A gap is what the book does not hold."),
    ]
    return document(f"Corrective action {sheet.pattern}", parts)
