"""Which defect it looks like, for people: the ranking, what separates the leaders, and the one look that would tell."""

from collections.abc import Iterator, Sequence
from typing import Any

from defectlog.diagnosis.identify import DefectShare, Identification
from defectlog.diagnosis.identify import as_json as identification_json
from defectlog.report.identify_answers import Identified, Taught, Words
from defectlog.report.page import Block, Bullets, Heading, Page, Text, next_step, table
from defectlog.report.shell import shell_command
from defectlog.rulebase.plain_names import defect_name, lowered, place_names
from defectlog.rulebase.shapes import RuleBase

MOST_REASONS = 4
# Told in full, and compared with the leader.
COMPARED_SHARE = 0.1
LONGEST_LEARNED = 60


def identify_page(answer: Identified, rules: RuleBase) -> Page:
    return tuple(blocks(answer, rules))


def blocks(answer: Identified, rules: RuleBase) -> Iterator[Block]:
    for refusal in answer.refusals:
        yield Text(refusal.answer, tone="caution")
    found = answer.found
    if not found.defects:
        yield Text(found.message)
        yield from question(answer)
        return
    yield Text(verdict(found), tone="strong")
    for item in found.defects:
        if item.share >= COMPARED_SHARE or item is found.defects[0]:
            yield from candidate(item)
    small = [f"{lowered(item.name)} {item.share:.2f}" for item in found.defects[1:] if item.share < COMPARED_SHARE]
    if small:
        yield Text(f"also possible: {', '.join(small)}", tone="quiet")
    yield from apart(found.defects, rules)
    yield from heard(found, rules)
    yield from question(answer)
    yield from sure(found, rules)


def verdict(found: Identification) -> str:
    if found.undecided and found.defects[0].share < COMPARED_SHARE:
        return "Undecided: that could be many things."
    if found.undecided:
        leaders = " or ".join(f"{lowered(item.name)} ({item.share:.2f})" for item in found.defects[:2])
        return f"Undecided: the words do not settle it. Most likely {leaders}."
    leader = found.defects[0]
    return f"It looks like {lowered(leader.name)} ({leader.share:.2f})."


def candidate(item: DefectShare) -> Iterator[Block]:
    yield Bullets((f"{item.name} ({item.defect}) {item.share:.2f}",))
    yield from (Text(f"for: {text}", indent=6) for text in item.speaks_for[:MOST_REASONS])
    yield from (Text(f"against: {text}", indent=6) for text in item.speaks_against[:MOST_REASONS])


def apart(defects: Sequence[DefectShare], rules: RuleBase) -> Iterator[Block]:
    """How to tell the leader from those near it, in the rule base's words."""
    leader = defects[0]
    told = []
    for other in defects[1:]:
        if other.share >= COMPARED_SHARE:
            texts = tell_apart(leader.defect, other.defect, rules)
            told += [f"{leader.name} or {lowered(other.name)}? {text}" for text in texts[:1]]
    if told:
        yield Heading("What separates them")
        yield Bullets(tuple(told))


def tell_apart(one: str, other: str, rules: RuleBase) -> list[str]:
    pairs = ((one, other), (other, one))
    return [
        alike.tell_apart
        for defect, wanted in pairs
        if defect in rules.defects
        for alike in rules.defects[defect].look_alikes
        if alike.defect == wanted
    ]


def heard(found: Identification, rules: RuleBase) -> Iterator[Block]:
    """What was taken as the writer's theory, and where it is: said back so that a misreading shows."""
    if found.notes:
        theories = "; ".join(found.notes)
        yield Text(f"Taken as what you think, and not as what is there: {theories}", tone="quiet")
    if found.places:
        yield Text(f"Where: {place_names(', '.join(found.places), rules)}", tone="quiet")


def question(answer: Identified) -> Iterator[Block]:
    ask = answer.found.ask
    if ask is None or not answer.found.defects:
        return
    yield Heading("One look would tell most")
    yield Text(ask.question)
    yield next_step(answer_command(answer, ask.sign), "then, with yes, no or unsure")


def answer_command(answer: Identified, sign: str) -> str:
    given = [f"{item}={said}" for item, said in answer.answers.items()] + [f"{sign}=yes"]
    options = [word for pair in given for word in ("--answer", pair)]
    return shell_command("identify", answer.found.text, *options)


def sure(found: Identification, rules: RuleBase) -> Iterator[Block]:
    """What proves it, when one answer is given; and how to teach the shop's word."""
    leader = found.defects[0].defect
    if found.undecided or leader not in rules.defects:
        return
    defect = rules.defects[leader]
    if defect.make_sure:
        yield Heading("To make sure")
        yield Bullets(defect.make_sure[:2])
        for caution in dict.fromkeys(defect.cautions):
            if caution in rules.cautions:
                yield Text(rules.cautions[caution].text, tone="caution")
    word = found.text if len(found.text) <= LONGEST_LEARNED and len(found.text.split()) <= 3 else "YOUR WORD"
    yield Text(f"if the shop has its own word for it: {shell_command('identify', word, '--is', leader)}", tone="quiet")


def identify_json(answer: Identified) -> dict[str, Any]:
    """The keys of the command surface; `refused` and `message` beside them only where there is something to say."""
    told = identification_json(answer.found)
    if answer.refusals:
        told["refused"] = [{"refusal": item.id, "answer": item.answer} for item in answer.refusals]
    if answer.found.message:
        told["message"] = answer.found.message
    return told


def taught_page(answer: Taught, rules: RuleBase) -> Page:
    return tuple(taught_blocks(answer, rules))


def taught_blocks(answer: Taught, rules: RuleBase) -> Iterator[Block]:
    name = defect_name(answer.defect, rules)
    if answer.said:
        yield Text(answer.said, tone="quiet")
    if answer.forgotten:
        yield Text(f"{answer.word!r} no longer means {name}")
    elif answer.wrote:
        before = f" (before: {defect_name(answer.was, rules)})" if answer.was and answer.was != answer.defect else ""
        yield Text(f"learned: {answer.word!r} means {name}{before}")
    else:
        yield Text(f"{answer.word!r} means {name} already; nothing was changed")
    if answer.wrote:
        yield Text(f"undo: {shell_command('undo', str(answer.act))}", tone="quiet")


def taught_json(answer: Taught) -> dict[str, Any]:
    return {
        "word": answer.word,
        "defect": answer.defect,
        "was": answer.was or None,
        "forgotten": answer.forgotten,
        "written": answer.wrote,
        "act": answer.act if answer.wrote else 0,
    }


def words_page(answer: Words, rules: RuleBase) -> Page:
    if not answer.words:
        step = shell_command("identify", "blows", "--is", "gas-holes")
        return (Text("The shop has taught no words of its own yet."), next_step(step, "such as"))
    rows = [(word, defect_name(defect, rules), defect) for word, defect in answer.words.items()]
    first = next(iter(answer.words))
    return (
        table(("your word", "means", "id"), rows),
        Text(f"to take one back: {shell_command('identify', '--forget', first)}", tone="quiet"),
    )


def words_json(answer: Words) -> dict[str, Any]:
    return {"words": dict(answer.words)}
