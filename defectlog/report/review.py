"""The monthly review for people: totals, patterns against their own past, defects, places, remedies, what to doubt."""

from collections.abc import Iterator

from defectlog.records.ledgers import PatternMonth
from defectlog.report.page import Block, Bullets, Heading, Page, Text, counted, next_step, table
from defectlog.review.intervals import Interval
from defectlog.review.month import MonthReview, PatternReview, RemedyReview
from defectlog.review.places import Concentration
from defectlog.review.wording import odds_text, rate_text, share_text
from defectlog.rulebase.shapes import RuleBase

SIGNALS = {"none": "usual", "above": "worse", "below": "better", "too few": "too few to tell"}
# A place is worth a line when luck alone would do it less often than this.
WORTH_A_LINE = 0.05
MOST_DEFECTS = 10


def review_page(review: MonthReview, rules: RuleBase, pattern: str = "") -> Page:
    blocks: list[Block] = [*opening(review, pattern)]
    if review.patterns:
        blocks += pattern_blocks(review, rules)
    if review.defects:
        blocks += defect_blocks(review, rules)
    blocks += found_blocks(review)
    blocks += place_blocks(review, rules)
    blocks += remedy_blocks(review, rules)
    blocks += balance_blocks(review)
    if review.notes:
        blocks += [Heading("What to bear in mind"), Bullets(review.notes)]
    blocks += next_steps(review)
    return tuple(blocks)


def opening(review: MonthReview, pattern: str) -> Iterator[Block]:
    what = f" of {pattern}" if pattern else ""
    yield Heading(f"Review{what}: castings {'cast' if review.by == 'cast' else 'found bad'} in {review.month:%B %Y}")
    counts = review.counts
    if not counts.castings and not review.defects:
        yield Text("Nothing was poured in that month, and nothing found.")
        return
    yield Text(
        f"{counted(counts.moulds, 'mould')}, {rate_text(counts.scrapped, counts.castings, review.interval)}; "
        f"scrap in {counted(counts.moulds_with_scrap, 'mould')}.",
        tone="strong",
    )
    yield Text(
        f"Reworked {counts.reworked}, used as is {counts.used_as_is}, undecided {counts.undecided}; "
        f"good first time {counts.castings - bad_in(counts)} of {counts.castings}."
    )
    mix = review.mix
    if mix is not None and mix.expected is not None:
        between = (
            f" (usual range {mix.low:.0f} to {mix.high:.0f})" if mix.low is not None and mix.high is not None else ""
        )
        yield Text(
            f"For this month's job mix, each pattern at its own past rate, {mix.expected:.0f} scrapped castings were "
            f"to be expected{between}; there were {mix.scrapped} of {mix.castings}."
        )
    if review.kg.total is not None:
        yield Text(f"Scrapped metal: {review.kg.total:.1f} kg{left_out(review.kg.left_out)}.")
    if review.cost.total is not None:
        yield Text(f"Cost: {review.cost.total:.2f} {review.currency}{left_out(review.cost.left_out)}.")


def bad_in(counts: PatternMonth) -> int:
    return counts.scrapped + counts.reworked + counts.used_as_is + counts.undecided


def left_out(castings: int) -> str:
    return f" ({counted(castings, 'casting')} without a weight left out)" if castings else ""


def pattern_blocks(review: MonthReview, rules: RuleBase) -> Iterator[Block]:
    yield Heading("By pattern, worst first")
    yield table(
        ("pattern", "moulds", "castings", "scrap", "rate", "likely", "against its own past", "main defect"),
        (pattern_row(row, rules) for row in review.patterns),
        right=(1, 2, 3, 4, 5),
    )
    if any(row.firm for row in review.patterns):
        yield Text("! stands out even though so many patterns were looked at.", tone="quiet")


def pattern_row(row: PatternReview, rules: RuleBase) -> tuple[str, ...]:
    counts = row.counts
    return (
        row.pattern,
        str(counts.moulds),
        str(counts.castings),
        str(counts.scrapped),
        "–" if row.scrap_rate is None else share_text(row.scrap_rate),
        between(row.interval),
        against_past(row),
        defect_name(row.main_defect, rules) if row.main_defect else "",
    )


def against_past(row: PatternReview) -> str:
    """ "worse! (9 of 752)": the verdict and the scrapped castings of its own past."""
    if not row.past_castings:
        return "no past"
    verdict = f"{SIGNALS[row.signal]}{'!' if row.firm else ''} " if row.signal else ""
    return f"{verdict}({row.past_scrapped} of {row.past_castings})"


def between(interval: Interval | None) -> str:
    return "–" if interval is None else f"{share_text(interval.low).removesuffix(' %')}–{share_text(interval.high)}"


def defect_name(defect: str, rules: RuleBase) -> str:
    if not defect:
        return "not named"
    return rules.defects[defect].name if defect in rules.defects else defect


def defect_blocks(review: MonthReview, rules: RuleBase) -> Iterator[Block]:
    yield Heading("Scrapped castings by the defect they are charged to")
    rows = review.defects[:MOST_DEFECTS]
    yield table(
        ("defect", "castings", "moulds", "kg", "running share", "patterns"),
        (
            (
                defect_name(row.defect, rules),
                str(row.castings),
                str(row.moulds),
                "–" if row.kg.whole is None else f"{row.kg.whole:.1f}",
                share_text(row.cumulative),
                ", ".join(row.patterns[:4]) + (" …" if len(row.patterns) > 4 else ""),
            )
            for row in rows
        ),
        right=(1, 2, 3, 4),
    )
    if len(review.defects) > len(rows):
        yield Text(f"{len(review.defects) - len(rows)} more in --json and --csv.", tone="quiet")


def found_blocks(review: MonthReview) -> Iterator[Block]:
    found = {stage: count for stage, count in review.found.items() if count}
    if found:
        yield Text("")
        yield Text("Found at: " + ", ".join(f"{stage} {count}" for stage, count in found.items()) + " castings.")


def place_blocks(review: MonthReview, rules: RuleBase) -> Iterator[Block]:
    telling = [row for row in review.places if row.odds_of_luck is not None and row.odds_of_luck < WORTH_A_LINE]
    if telling:
        yield Heading("Same impression again")
        yield Bullets(tuple(place_line(row, rules) for row in telling))


def place_line(row: Concentration, rules: RuleBase) -> str:
    counts = ", ".join(f"{number}: {count}" for number, count in row.impressions.items())
    assert row.odds_of_luck is not None
    return (
        f"{row.pattern}, {defect_name(row.defect, rules).lower()}: moulds bad by impression {counts} "
        f"({odds_text(row.odds_of_luck)})"
    )


def remedy_blocks(review: MonthReview, rules: RuleBase) -> Iterator[Block]:
    if review.remedies:
        yield Heading("Remedies")
        yield Bullets(tuple(remedy_line(row, rules) for row in review.remedies))


def remedy_line(row: RemedyReview, rules: RuleBase) -> str:
    remedy, outcome = row.tally.remedy, row.outcome
    verdict = remedy.verdict or ("answer due" if row.due else outcome.answer)
    return (
        f"{remedy.pattern}, {defect_name(remedy.defect, rules).lower()}: {remedy.change} "
        f"(from {row.tally.started or 'an unknown day'}): {verdict}; bad moulds {outcome.before.bad_moulds} of "
        f"{outcome.before.moulds} before, {outcome.after.bad_moulds} of {outcome.after.moulds} since. {outcome.why}"
    )


def balance_blocks(review: MonthReview) -> Iterator[Block]:
    if review.out_of_balance:
        yield Heading("Counts that do not balance")
        yield Bullets(
            tuple(
                f"{row.mould} ({row.pattern}): {row.charged} castings charged of {row.castings}"
                for row in review.out_of_balance
            )
        )


def next_steps(review: MonthReview) -> Iterator[Block]:
    worst = next((row for row in review.patterns if row.counts.scrapped), None)
    if worst is not None:
        yield Text("")
        yield next_step(f"defectlog why {worst.pattern}", "next")
