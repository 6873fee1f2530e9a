"""The monthly review for people: totals, patterns against their own past, defects, places, remedies, what to doubt."""

from collections.abc import Iterator, Sequence

from defectlog.records.ledgers import OutOfBalance
from defectlog.report.page import Block, Bullets, Heading, Page, Text, counted, next_step, table
from defectlog.report.review_answers import Reviewed
from defectlog.report.review_months import MOST_LISTED, month_blocks, span_pattern_blocks
from defectlog.report.review_pattern import one_pattern_blocks
from defectlog.report.review_words import (
    against_past,
    between,
    cost_words,
    defect_words,
    gap_words,
    kg_words,
    left_out_words,
    month_words,
    rate_words,
    remedy_counts,
    remedy_state,
    sentence_name,
    share_of,
    shown_amount,
    slip_words,
    still_to_come,
)
from defectlog.report.shell import shell_command
from defectlog.review.cost import Amount
from defectlog.review.month import MonthReview
from defectlog.review.not_enough import Gap
from defectlog.review.pareto import DefectRow
from defectlog.review.pattern_month import PatternReview, not_first_pass
from defectlog.review.places import Concentration
from defectlog.review.remedy_month import RemedyReview
from defectlog.review.span import SpanReview
from defectlog.review.wording import odds_text, rate_text
from defectlog.rulebase.shapes import RuleBase
from defectlog.units import symbol

# A place is worth a line when luck alone would do it less often than this.
WORTH_A_LINE = 0.05
MOST_DEFECTS = 10


def review_page(reviewed: Reviewed, rules: RuleBase, units: str = "metric") -> Page:
    """A month, or several and their sum."""
    whole = reviewed.whole
    blocks: list[Block] = [*opening(reviewed, units)]
    if reviewed.span is not None:
        blocks += month_blocks(reviewed.span)
        blocks += span_pattern_blocks(reviewed.span, rules)
    elif reviewed.review.patterns:
        blocks += pattern_blocks(reviewed.review, rules)
    if whole.defects:
        blocks += defect_blocks(whole.defects, rules, units)
    blocks += found_blocks(whole)
    blocks += place_blocks(reviewed.review, rules) if not reviewed.pattern and reviewed.span is None else []
    if reviewed.pattern:
        blocks += one_pattern_blocks(reviewed, rules, units)
    blocks += remedy_blocks(whole.remedies, rules)
    blocks += balance_blocks(whole.out_of_balance)
    blocks += gap_blocks(whole.gaps, reviewed.review if reviewed.span is None else None)
    blocks += cost_blocks(whole)
    if reviewed.span is None and reviewed.review.notes:
        blocks += [Heading("What to bear in mind"), Bullets(reviewed.review.notes)]
    blocks += next_steps(reviewed)
    return tuple(blocks)


def opening(reviewed: Reviewed, units: str) -> Iterator[Block]:
    whole = reviewed.whole
    what = f" of {reviewed.pattern}" if reviewed.pattern else ""
    name = f" ({reviewed.pattern_name})" if reviewed.pattern_name else ""
    yield Heading(f"Review{what}{name}: castings {'cast' if whole.by == 'cast' else 'found bad'} in {reviewed.period}")
    counts = whole.counts
    if not counts.castings and not whole.defects:
        yield Text("Nothing was poured in that time, and nothing found.")
        return
    yield Text(
        f"{counted(counts.moulds, 'mould')}, {rate_text(counts.scrapped, counts.castings, whole.interval)}; "
        f"scrap in {counted(counts.moulds_with_scrap, 'mould')}.",
        tone="strong",
    )
    yield from balance_line(whole)
    yield from mix_line(whole)
    if whole.kg.total is not None:
        kg = shown_amount(whole.kg.total, "mass", units)
        yield Text(f"Scrapped castings weigh {kg:.1f} {symbol('mass', units)}{left_out_words(whole.kg, 'weight')}.")
    if whole.cost.total is not None:
        cost = f"{whole.cost.total:.2f} {whole.currency}".strip()
        yield Text(f"They cost {cost}{left_out_words(whole.cost, 'cost')}.")


def balance_line(whole: MonthReview | SpanReview) -> Iterator[Block]:
    """Poured = good first time + whatever was charged, less what was charged too many."""
    counts = whole.counts
    charged = (
        f"scrapped {counts.scrapped}, reworked {counts.reworked}, used as is {counts.used_as_is}, "
        f"undecided {counts.undecided}"
    )
    if whole.first_pass is None:
        yield Text(f"Found: {charged}.")
    else:
        too_many = f", less {whole.excess} charged too many" if whole.excess else ""
        yield Text(
            f"Poured {counts.castings} = good first time {whole.first_pass} "
            f"({share_of(whole.first_pass, counts.castings)}), {charged}{too_many}."
        )
    if whole.returned:
        yield Text(f"Returned by customers: {counted(whole.returned, 'casting')}.")


def mix_line(whole: MonthReview | SpanReview) -> Iterator[Block]:
    if isinstance(whole, SpanReview):
        if whole.expected is not None:
            yield Text(
                f"Each month's job mix at each pattern's own past rate: {whole.expected:.0f} scrapped castings were to "
                f"be expected; of those patterns there were {whole.expected_of}."
            )
        return
    mix = whole.mix
    if mix is not None and mix.expected is not None:
        known = mix.low is not None and mix.high is not None
        usual_range = f" (usual range {mix.low:.0f} to {mix.high:.0f})" if known else ""
        yield Text(
            f"For this month's job mix, each pattern at its own past rate, {mix.expected:.0f} scrapped castings were "
            f"to be expected{usual_range}; there were {mix.scrapped} of {mix.castings}."
        )


def pattern_blocks(review: MonthReview, rules: RuleBase) -> Iterator[Block]:
    costed = review.cost.total is not None
    yield Heading("By pattern, worst first")
    yield table(
        ("pattern", "moulds", "castings", "scrap", "rate", "likely", "against its past", "main defect")
        + (("cost",) if costed else ()),
        (pattern_row(row, rules, costed=costed) for row in review.patterns),
        right=(1, 2, 3, 4, 5, *((8,) if costed else ())),
    )
    if any(row.firm for row in review.patterns):
        yield Text("! stands out even though so many patterns were looked at.", tone="quiet")
    creeping = [row for row in review.patterns if row.creeping]
    if creeping:
        said = ", ".join(f"{row.pattern} {row.creeping}" for row in creeping)
        yield Text(f"Creeping over the months, though no month alone shows it: {said}.")


def pattern_row(row: PatternReview, rules: RuleBase, *, costed: bool) -> tuple[str, ...]:
    counts = row.counts
    cells = (
        row.pattern,
        str(counts.moulds),
        str(counts.castings),
        str(counts.scrapped),
        rate_words(row.scrap_rate),
        between(row.interval),
        against_past(row),
        defect_words(row.main_defect, rules) if row.main_defect else "",
    )
    return (*cells, cost_words(row.cost)) if costed else cells


def defect_blocks(defects: Sequence[DefectRow], rules: RuleBase, units: str) -> Iterator[Block]:
    costed = any(row.cost.total is not None for row in defects)
    yield Heading("Scrapped castings by the defect they are charged to")
    yield table(
        ("defect", "castings", "moulds", symbol("mass", units), *(("cost",) if costed else ()), "so far", "patterns"),
        (
            (
                defect_words(row.defect, rules),
                str(row.castings),
                str(row.moulds),
                kg_words(row.kg, units),
                *((cost_words(row.cost),) if costed else ()),
                rate_words(row.cumulative),
                ", ".join(row.patterns[:4]) + (" …" if len(row.patterns) > 4 else ""),
            )
            for row in defects[:MOST_DEFECTS]
        ),
        right=range(1, 6 if costed else 5),
    )
    if len(defects) > MOST_DEFECTS:
        yield Text(f"{len(defects) - MOST_DEFECTS} more in --json and --csv.", tone="quiet")
    if any(starred(row.kg) or starred(row.cost) for row in defects):
        yield Text("* without the castings whose weight is not on the card.", tone="quiet")


def starred(amount: Amount) -> bool:
    return amount.total is not None and amount.left_out > 0


def found_blocks(whole: MonthReview | SpanReview) -> Iterator[Block]:
    found = {stage: count for stage, count in whole.found.items() if count}
    if found:
        yield Text("Scrap found at: " + ", ".join(f"{stage} {count}" for stage, count in found.items()) + ".")


def place_blocks(review: MonthReview, rules: RuleBase) -> Iterator[Block]:
    telling = [row for row in review.places if row.odds_of_luck is not None and row.odds_of_luck < WORTH_A_LINE]
    if telling:
        yield Heading("Same impression again")
        yield Bullets(tuple(place_line(row, rules) for row in telling))
        yield next_step(f"defectlog review {month_words(review.month)} --pattern {telling[0].pattern}", "the place map")


def place_line(row: Concentration, rules: RuleBase) -> str:
    counts = ", ".join(f"{number}: {count}" for number, count in row.impressions.items())
    odds = f" ({odds_text(row.odds_of_luck)})" if row.odds_of_luck is not None else ""
    return f"{row.pattern}, {sentence_name(row.defect, rules)}: moulds bad by impression {counts}{odds}"


def remedy_blocks(remedies: Sequence[RemedyReview], rules: RuleBase) -> Iterator[Block]:
    if remedies:
        yield Heading("Remedies, overdue first")
        yield Bullets(tuple(remedy_line(row, rules) for row in remedies))
    due = next((row for row in remedies if row.due), None)
    if due is not None:
        yield next_step(f"defectlog remedy judge {due.tally.number}", "to put the answer on record")


def remedy_line(row: RemedyReview, rules: RuleBase) -> str:
    remedy = row.tally.remedy
    owner = f", {remedy.owner} sees to it" if remedy.owner else ""
    said = [f"{remedy_state(row)}; {remedy_counts(row)}", slip_words(row), still_to_come(row)]
    return (
        f"{row.tally.number}. {remedy.pattern}, {sentence_name(remedy.defect, rules)}: {remedy.change} "
        f"(from {row.tally.started or 'an unknown day'}{owner}): " + "; ".join(part for part in said if part)
    )


def balance_blocks(rows: Sequence[OutOfBalance]) -> Iterator[Block]:
    if rows:
        yield Heading("Counts that do not balance")
        yield Bullets(
            tuple(
                f"{row.mould} ({row.pattern}, {row.cast_on}): {row.charged} castings charged of {row.castings}"
                for row in rows[:MOST_LISTED]
            )
        )
        if len(rows) > MOST_LISTED:
            yield Text(f"{len(rows) - MOST_LISTED} more in --json.", tone="quiet")
        yield next_step(shell_command("mould", "show", rows[0].mould), "look at it")


def gap_blocks(gaps: Sequence[Gap], review: MonthReview | None) -> Iterator[Block]:
    too_few = [row.pattern for row in review.patterns if row.signal == "too few"] if review else []
    lines = [gap_words(gap) for gap in gaps]
    if too_few:
        more = f" and {len(too_few) - MOST_LISTED} more" if len(too_few) > MOST_LISTED else ""
        lines.append(f"too few to tell: {', '.join(too_few[:MOST_LISTED])}{more}")
    if lines:
        yield Heading("Not enough data")
        yield Bullets(tuple(lines))


def cost_blocks(whole: MonthReview | SpanReview) -> Iterator[Block]:
    if whole.cost.total is None:
        return
    yield Heading("How the cost was made up")
    yield Bullets(whole.cost_method)


def next_steps(reviewed: Reviewed) -> Iterator[Block]:
    worst = next((row for row in reviewed.whole.patterns if not_first_pass(row.counts)), None)
    if worst is not None:
        yield next_step(shell_command("why", worst.pattern), "next")
