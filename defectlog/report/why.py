"""`why` for people: what stands out, the causes in order, what speaks for each, and what to do next."""

from collections.abc import Iterator, Mapping, Sequence

from defectlog.diagnosis.is_is_not import IsIsNot
from defectlog.diagnosis.like_cases import LikeCase
from defectlog.diagnosis.next_look import NextLook
from defectlog.diagnosis.phrases import reading_name, unit_name
from defectlog.diagnosis.ranking import Parts
from defectlog.diagnosis.why import CauseAnswer, DefectAnswer, Diagnosis
from defectlog.report.page import Block, Bullets, Heading, Page, Text, counted, next_step, table
from defectlog.report.why_json import clean_moulds
from defectlog.review.pattern_rate import PatternRate
from defectlog.rulebase.plain_names import place_names
from defectlog.rulebase.shapes import RuleBase

# How many causes are told in full, and how small a share is still listed.
TOLD_IN_FULL = 3
MOST_LISTED = 8
SHOWN_REMEDIES = 2
LEAST_LISTED = 0.01
# Fewer moulds than this make no pattern of impressions to look at.
FEWEST_PLACED = 3
SURE, LIKELY, UNLIKELY = 0.9, 0.6, 0.4


def why_page(diagnosis: Diagnosis, rate: PatternRate, rules: RuleBase, cases: Mapping[str, Sequence[LikeCase]]) -> Page:
    """`cases`: defect → like cases in this book."""
    blocks: list[Block] = [*opening(diagnosis, rate)]
    for answer in diagnosis.defects:
        blocks += defect_blocks(answer, diagnosis, rules, cases.get(answer.defect, ()))
    blocks += others(diagnosis, rules)
    return tuple(blocks)


def opening(diagnosis: Diagnosis, rate: PatternRate) -> Iterator[Block]:
    history = diagnosis.history
    name = next((card.name for card in reversed(history.revisions) if card.name), None)
    yield Heading(f"{history.pattern}{f' {name}' if name else ''}, {history.since} to {history.until}")
    if not rate.castings:
        yield Text("No mould of this pattern was poured in that time.")
        yield next_step(f"defectlog mould list --pattern {history.pattern}", "what is on record")
        return
    yield Text(
        f"{counted(rate.moulds, 'mould')} poured, {counted(rate.castings, 'casting')}. "
        f"Scrapped: {counted(rate.scrapped, 'casting')} in {counted(rate.moulds_with_scrap, 'mould')}, "
        f"{rate_words(rate)}."
    )
    if not diagnosis.defects and diagnosis.others:
        yield Text("The defect that was asked for was not found on it in that time.")
    elif not diagnosis.defects:
        yield Text("No finding with a settled defect on it: nothing to explain.")


def rate_words(rate: PatternRate) -> str:
    if rate.interval is None:
        return "too few to tell"
    return f"{percent(rate.rate)} (likely between {percent(rate.interval.low)} and {percent(rate.interval.high)})"


def defect_blocks(
    answer: DefectAnswer, diagnosis: Diagnosis, rules: RuleBase, cases: Sequence[LikeCase]
) -> Iterator[Block]:
    name = defect_name(answer.defect, rules)
    by_look = f", {answer.by_look} of them by their look" if answer.by_look else ""
    if answer.maybe >= 0.5:
        by_look += f", perhaps {answer.maybe:.0f} more"
    yield Heading(f"{name}: {counted(answer.castings, 'casting')} in {counted(answer.moulds, 'mould')}{by_look}")
    yield Text(stands_out_words(answer), tone="strong")
    listed = [cause for cause in answer.causes if cause.share >= LEAST_LISTED][:MOST_LISTED] or list(answer.causes[:1])
    if not listed:
        yield Text("The rule base knows no cause of this defect.")
        return
    yield table(
        ("", "cause", "share", "acts at", "evidence"),
        (
            (
                str(place + 1),
                cause.cause.name,
                percent(cause.share),
                unit_name(cause.cause.acts_at, 1),
                strongest(cause),
            )
            for place, cause in enumerate(listed)
        ),
        right=(0, 2),
    )
    yield Text(
        f"Not explained by any of these: {percent(answer.unexplained)}{latent_words(answer)}. "
        "Shares are this book's evidence weighed, not proof.",
        tone="quiet",
    )
    for place, cause in enumerate(listed[:TOLD_IN_FULL]):
        yield from cause_blocks(place + 1, cause, rules, full=place == 0 and answer.stands_out >= LIKELY)
    yield from around_it(answer, rules, diagnosis.moulds)
    yield from to_part_and_to_believe(answer, rules, diagnosis.moulds)
    yield from like_cases_blocks(cases, rules)
    yield from next_steps(answer, diagnosis)


def defect_name(defect: str, rules: RuleBase) -> str:
    return rules.defects[defect].name if defect in rules.defects else defect


def stands_out_words(answer: DefectAnswer) -> str:
    """The first of the two questions, in words, with the number behind it."""
    chance = answer.stands_out
    said = f"({percent(chance)})"
    if chance >= SURE:
        return f"Something does stand out {said}."
    if chance >= LIKELY:
        return f"Something probably stands out {said}."
    if chance > UNLIKELY:
        return f"Too early to say whether anything stands out {said}."
    return (
        f"Nothing stands out {said}: this may be no more than the shop's usual run. What fits best, if anything does:"
    )


def strongest(cause: CauseAnswer) -> str:
    """The two parts that moved the cause most, in words with their bits."""
    parts = sorted(named_parts(cause.parts), key=lambda item: -abs(item[1]))[:2]
    return ", ".join(f"{name} {amount:+.1f}" for name, amount in parts if abs(amount) >= 0.05)


def named_parts(parts: Parts) -> list[tuple[str, float]]:
    return [
        ("handbooks", parts.handbook),
        ("look", parts.looks),
        ("place", parts.place),
        ("spread", parts.spread),
        ("readings", parts.readings),
        ("history", parts.history),
    ]


def latent_words(answer: DefectAnswer) -> str:
    level, share = max(answer.latent.items(), key=lambda item: item[1])
    if share < 0.05:
        return ""
    return f" (something about the {unit_name(level, 1)} that nobody recorded: {percent(share)})"


def cause_blocks(place: int, answer: CauseAnswer, rules: RuleBase, *, full: bool) -> Iterator[Block]:
    cause = answer.cause
    yield Text("")
    yield Text(f"{place}. {cause.name}, {percent(answer.share)}. {cause.summary}", tone="strong" if full else "plain")
    items = [f"for: {text}" for text in answer.speaks_for] + [f"against: {text}" for text in answer.speaks_against]
    if answer.cannot_be_told_from:
        names = ", ".join(rules.causes[other].name.lower() for other in answer.cannot_be_told_from[:4])
        items.append(f"cannot be told here from: {names}")
    if cause.look_next:
        items.append(f"look next ({cause.look_next.takes}): {cause.look_next.check}")
    if full:
        items += [remedy_words(remedy.do, remedy.may_break, rules) for remedy in cause.remedies[:SHOWN_REMEDIES]]
    yield Bullets(tuple(items))
    for name in shown_cautions(answer, full=full):
        if name in rules.cautions:
            yield Text(rules.cautions[name].text, tone="caution", indent=2)


def shown_cautions(answer: CauseAnswer, *, full: bool) -> tuple[str, ...]:
    """The cautions of the advice that is printed: the check, and with it the remedies of the first cause."""
    cause = answer.cause
    named = list(cause.look_next.cautions) if cause.look_next else []
    if full:
        named += cause.cautions
        named += [name for remedy in cause.remedies[:SHOWN_REMEDIES] for name in remedy.cautions]
    return tuple(dict.fromkeys(named))


def remedy_words(do: str, may_break: tuple[str, ...], rules: RuleBase) -> str:
    risks = ", ".join(rules.defects[name].name.lower() for name in may_break if name in rules.defects)
    return f"do: {do}{f' (may bring: {risks})' if risks else ''}"


def around_it(answer: DefectAnswer, rules: RuleBase, moulds: int) -> Iterator[Block]:
    """Same place or wandering, what changed, a second cause, what is missing."""
    items: list[str] = []
    same = answer.same_place
    if same is not None and same.odds_of_luck is not None and sum(same.impressions.values()) >= FEWEST_PLACED:
        counts = ", ".join(f"{number}: {count}" for number, count in same.impressions.items())
        items.append(f"moulds bad by impression – {counts}; odds that luck did it: {odds(same.odds_of_luck)}")
    if answer.places:
        named = [f"{place_names(place, rules)} {count}" for place, count in answer.places.items()]
        items.append("place – " + ", ".join(named[:4]))
    if answer.alongside.of:
        items.append(alongside_words(answer, moulds))
    change = answer.changed
    if change is not None and change.chance >= 0.5:
        near = f"; begun about then: {', '.join(change.near_it)}" if change.near_it else ""
        items.append(
            f"the rate changed about {change.on} ({percent(change.chance)} sure), from {percent(change.from_rate)} "
            f"to {percent(change.to_rate)}{near}"
        )
    beside = answer.beside
    if beside is not None:
        name = beside.second.candidate.cause.name
        items.append(
            f"a second cause beside it: {name.lower()} ({percent(beside.second.share)}) for what the first leaves: "
            f"{counted(beside.bad, 'casting')} in {beside.moulds} of {counted(beside.of_moulds, 'mould')}"
        )
    items += [look_words(look, rules) for look in answer.ask_next[:2]]
    if items:
        yield Text("")
        yield Text("Also:")
        yield Bullets(tuple(items))


def alongside_words(answer: DefectAnswer, moulds: int) -> str:
    """Is it the plate, or what the plate shares with others?"""
    others = answer.alongside
    return (
        f"other patterns out of the same sand or heats: bad in {others.out} of {counted(others.of, 'mould')}; "
        f"this one in {answer.moulds} of {moulds}"
    )


def look_words(look: NextLook, rules: RuleBase) -> str:
    gain = f"would tell about {look.gain_bits:.2f} bits"
    if look.check:
        return f"worth a look: {rules.causes[look.cause].name.lower()} – {look.check} ({gain})"
    return (
        f"worth recording next: {reading_name(look.reading)} – on record for {look.on_record} of {look.of} "
        f"{unit_name(look.unit, look.of)} ({gain})"
    )


def table_page(answer: DefectAnswer, rules: RuleBase) -> Page:
    """Where the defect is, and where it could be and is not."""
    return (
        Heading(f"{defect_name(answer.defect, rules)}: is, and is not"),
        Bullets(tuple(line_words(line) for line in answer.table)),
        Text('What tells "is" from "is not" is where to look for the cause.', tone="quiet"),
    )


def line_words(line: IsIsNot) -> str:
    blank = f" [{line.blank}]" if line.blank else ""
    return f"{line.asks}: {line.is_} – is not: {line.is_not}{blank}"


def like_cases_blocks(cases: Sequence[LikeCase], rules: RuleBase) -> Iterator[Block]:
    """What this book holds of the same defect elsewhere, and what cured it."""
    if not cases:
        return
    yield Text("")
    yield Text("Like cases in this book:")
    yield Bullets(tuple(like_case_words(case, rules) for case in cases))


def like_case_words(case: LikeCase, rules: RuleBase) -> str:
    cause = rules.causes[case.cause].name.lower() if case.cause in rules.causes else case.cause
    found = f"{cause} {case.verdict}" if case.cause else ""
    changed = f"changed: {case.change}" + (f" ({case.remedy_verdict})" if case.remedy_verdict else "")
    told = "; ".join(text for text in (found, changed if case.change else "", case.basis) if text)
    return f"{case.pattern}, {case.on:%B %Y}: {told}"


def to_part_and_to_believe(answer: DefectAnswer, rules: RuleBase, moulds: int) -> Iterator[Block]:
    """The trial that would part the leader from its double, and how long a clean run it takes to believe a remedy."""
    for trial in answer.trials:
        many = f"{trial.moulds_each} moulds each way" if trial.moulds_each else "more moulds than is worth pouring"
        yield Text(f"To tell it from {rules.causes[trial.rival].name.lower()}: {trial.do} ({many}).")
    needed = clean_moulds(answer, moulds)
    if needed is not None and answer.stands_out >= LIKELY:
        yield Text(f"To believe a remedy: {needed} clean moulds in a row (bad so far: {answer.moulds} of {moulds}).")


def next_steps(answer: DefectAnswer, diagnosis: Diagnosis) -> Iterator[Block]:
    leader, pattern = answer.causes[0].cause.id, diagnosis.history.pattern
    yield Text("")
    yield next_step(f"defectlog why {pattern} --defect {answer.defect} --explain {leader}", "the rows behind it")
    yield next_step(f"defectlog verdict {pattern} {answer.defect} {leader} confirmed", "when you know (or ruled-out)")


def others(diagnosis: Diagnosis, rules: RuleBase) -> Iterator[Block]:
    if diagnosis.others:
        listed = ", ".join(
            f"{defect_name(defect, rules).lower()} {counted(castings, 'casting')} in {counted(moulds, 'mould')}"
            for defect, (castings, moulds) in diagnosis.others.items()
        )
        yield Text("")
        yield Text(f"Also found on it: {listed}.")
        first = next(iter(diagnosis.others))
        yield next_step(f"defectlog why {diagnosis.history.pattern} --defect {first}", "ask of one of them")
    if diagnosis.not_settled:
        unsettled = counted(diagnosis.not_settled, "casting")
        yield Text(f"{unsettled} with a finding whose defect is not settled: not counted above.")
        yield next_step('defectlog identify "what it looks like"', "to settle one")


def percent(share: float) -> str:
    """ "3.1 %", "83 %", "under 1 %": digits that the number can carry."""
    amount = 100 * share
    if 0 < amount < 0.1:
        return "under 0.1 %"
    if amount > 99.9:
        return "over 99.9 %"
    return f"{amount:.1f} %" if amount < 10 or 99 < amount < 100 else f"{amount:.0f} %"


def odds(chance: float) -> str:
    if chance >= 0.1:
        return f"{percent(chance)}, so it wanders"
    if chance >= 1e-4:
        return f"1 in {round(1 / chance):,}"
    return "less than 1 in 10,000"
