"""`why --explain CAUSE`: the numbers of one cause down to the rows they came from."""

from collections.abc import Iterator, Mapping, Sequence

from defectlog.diagnosis.explain import UnitRow
from defectlog.diagnosis.phrases import beyond_limit, show_reading, unit_name
from defectlog.diagnosis.why import CauseAnswer, DefectAnswer
from defectlog.report.page import Block, Bullets, Heading, Page, Text, table
from defectlog.report.why import named_parts, percent
from defectlog.rulebase.shapes import Cause, Limit, RuleBase

PART_MEANS = {
    "handbooks": "named by published sources, beside the other causes",
    "look": "what the bad castings look like",
    "place": "where on the casting it is",
    "spread": "where the bad castings fell, before any reading",
    "readings": "what the readings add to that",
    "history": "verdicts in this shop",
}
MOST_ROWS = 40


def explained_page(
    answer: DefectAnswer, cause_id: str, rules: RuleBase, system: str, provenance: Mapping[str, tuple[str, ...]]
) -> Page:
    """Nothing but a sentence when the rule base does not link the cause to the defect."""
    found = next((cause for cause in answer.causes if cause.cause.id == cause_id), None)
    if found is None:
        named = rules.causes[cause_id].name.lower()
        return (Text(f"The rule base does not link {named} to {answer.defect}, so it is not among the candidates."),)
    return (
        Heading(f"{found.cause.name} for {answer.defect}: {percent(found.share)}"),
        Text(f"{found.cause.summary} {found.cause.mechanism}"),
        *parts_blocks(found),
        *limit_blocks(found, rules, system, provenance),
        *weight_blocks(answer, found, rules),
        *(row_blocks(found, system) if found.rows else impression_blocks(answer)),
    )


def parts_blocks(answer: CauseAnswer) -> Iterator[Block]:
    yield table(
        ("part", "bits", "what it is"),
        ((name, f"{rounded(amount):+.2f}", PART_MEANS[name]) for name, amount in named_parts(answer.parts)),
        right=(1,),
    )
    yield Text(
        f"Together {answer.parts.total:+.2f} bits; spread and readings against one steady rate. A bit doubles odds.",
        tone="quiet",
    )


def limit_blocks(
    answer: CauseAnswer, rules: RuleBase, system: str, provenance: Mapping[str, tuple[str, ...]]
) -> Iterator[Block]:
    limit = answer.limit
    if limit is None:
        yield Text("No reading on record can show this cause; its usual share is taken instead.")
        return
    yield Text(f"Limit: {beyond_limit(limit, system)}, softness {show_step(limit)}.")
    yield Bullets((*provenance.get(limit.reading, ()), *limit_sources(limit, rules)))


def rounded(amount: float) -> float:
    """To hundredths, and nothing is +0.00 whichever side it came from."""
    return round(amount, 2) + 0.0


def show_step(limit: Limit) -> str:
    return f"{limit.softness:g} in the same unit, stored metric"


def limit_sources(limit: Limit, rules: RuleBase) -> Iterator[str]:
    for name in limit.sources:
        source = rules.sources.get(name)
        if source is not None:
            yield f"{source.title}, {source.author}{f', {source.year}' if source.year else ''}"
    if limit.judgement:
        yield f"judgement: {limit.judgement}"
    if limit.own:
        yield "this shop's own limit"
    if limit.note:
        yield limit.note


def weight_blocks(answer: DefectAnswer, found: CauseAnswer, rules: RuleBase) -> Iterator[Block]:
    pair = next(item for item in found.cause.explains if item.defect == answer.defect)
    read = [rules.sources[name].title for name in pair.sources if name in rules.sources]
    recalled = [rules.sources[name].title for name in pair.recalled if name in rules.sources]
    yield Text(
        f"Handbook weight {found.weight:g}: one for each source read, a half for each recalled. It counts as its square"
        " root, because handbooks copy one another."
    )
    items = [f"read: {title}" for title in read] + [f"recalled: {title}" for title in recalled]
    if pair.judgement:
        items.append(f"judgement: {pair.judgement}")
    yield Bullets(tuple(items))


def impression_blocks(answer: DefectAnswer) -> Iterator[Block]:
    """For a cause that acts at an impression of the plate."""
    same = answer.same_place
    if same is None:
        yield Text("The plate has one impression.")
        return
    yield table(
        ("impression", "moulds bad"),
        ((str(number), str(count)) for number, count in same.impressions.items()),
        right=(0, 1),
    )
    if same.not_on_record:
        yield Text(f"{same.not_on_record} more findings have no impression on record.")


def stands_in(rows: Sequence[UnitRow]) -> str:
    """What is taken for a reading that nobody took."""
    by_hand = any(row.hand is not None for row in rows)
    return f"the days before and after{', the hand test' if by_hand else ''} and this shop's usual"


def by_hand(row: UnitRow, cause: Cause) -> str:
    """What the hand test said where nothing was measured."""
    if row.hand is None or cause.reading is None:
        return "–"
    shows = cause.reading.hand_test
    return f"by hand: {shows if row.hand else f'does not {shows[:-1]}'}"


def row_blocks(answer: CauseAnswer, system: str) -> Iterator[Block]:
    level = answer.cause.acts_at
    ordered = sorted(answer.rows, key=lambda row: (-row.bad, row.reading is None, -row.on_after))
    shown_rows = ordered[:MOST_ROWS]
    reading = answer.cause.reading.quantity if answer.cause.reading else ""
    yield table(
        (unit_name(level, 1), "reading", "on by reading", "on, castings seen", "moulds", "castings", "bad"),
        (
            (
                row.unit,
                show_reading(row.reading, reading, system) if row.reading is not None else by_hand(row, answer.cause),
                percent(row.on_before),
                percent(row.on_after),
                str(row.moulds),
                str(row.castings),
                str(row.bad),
            )
            for row in shown_rows
        ),
        right=(1, 2, 3, 4, 5, 6),
    )
    if answer.limit is not None and any(row.reading is None for row in answer.rows):
        yield Text(f"Where it was not measured: {stands_in(answer.rows)} stand in.", tone="quiet")
    left = len(ordered) - len(shown_rows)
    if left:
        yield Text(
            f"{left} more {unit_name(level, left)} with fewer bad castings; all of them with --json.", tone="quiet"
        )
