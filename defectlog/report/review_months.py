"""Many months at once: the table by month with its sum, the months that stand out, the patterns over all of them."""

from collections.abc import Iterator

from defectlog.report.page import Block, Bullets, Heading, Text, table
from defectlog.report.review_words import (
    NOT_KNOWN,
    between,
    cost_words,
    defect_words,
    month_words,
    rate_words,
    share_of,
)
from defectlog.review.month import MonthReview
from defectlog.review.span import SpanPattern, SpanReview
from defectlog.rulebase.shapes import RuleBase

MOST_LISTED = 12
MONTH_COLUMNS = (
    "month", "moulds", "castings", "scrap", "rate", "likely", "expected", "first pass", "returned", "cost",
)  # fmt: skip
SPAN_COLUMNS = ("pattern", "moulds", "castings", "scrap", "rate", "likely", "months marked", "main defect")


def month_blocks(span: SpanReview) -> Iterator[Block]:
    yield Heading("Month by month")
    yield table(
        MONTH_COLUMNS,
        [*(month_row(month, month_words(month.month)) for month in span.months), month_row(span, "sum")],
        right=range(1, 10),
    )
    marked = marked_months(span)
    if marked:
        yield Heading("Months that stand out from the pattern's own past")
        yield Bullets(tuple(marked[:MOST_LISTED]))
        if len(marked) > MOST_LISTED:
            yield Text(f"{len(marked) - MOST_LISTED} more in --json.", tone="quiet")
    if span.by == "cast":
        yield Text(f"False marks to expect from luck in all these months: {span.false_alarms_expected:.2g}.")


def month_row(row: MonthReview | SpanReview, name: str) -> tuple[str, ...]:
    counts = row.counts
    expected = row.expected if isinstance(row, SpanReview) else row.mix.expected if row.mix else None
    return (
        name,
        str(counts.moulds),
        str(counts.castings),
        str(counts.scrapped),
        rate_words(row.scrap_rate),
        between(row.interval),
        NOT_KNOWN if expected is None else f"{expected:.0f}",
        share_of(row.first_pass, counts.castings),
        str(row.returned),
        cost_words(row.cost),
    )


def marked_months(span: SpanReview) -> list[str]:
    """ "2026-03: P-104 worse"."""
    return [
        f"{month_words(month.month)}: {row.pattern} {'worse' if row.signal == 'above' else 'better'}"
        for month in span.months
        for row in month.patterns
        if row.signal in ("above", "below")
    ]


def span_pattern_blocks(span: SpanReview, rules: RuleBase) -> Iterator[Block]:
    yield Heading("By pattern over these months, worst first")
    yield table(SPAN_COLUMNS, (span_pattern_row(row, rules) for row in span.patterns), right=(1, 2, 3, 4, 5))


def span_pattern_row(row: SpanPattern, rules: RuleBase) -> tuple[str, ...]:
    return (
        row.pattern,
        str(row.counts.moulds),
        str(row.counts.castings),
        str(row.counts.scrapped),
        rate_words(row.scrap_rate),
        between(row.interval),
        f"{row.above} worse, {row.below} better of {row.judged}",
        defect_words(row.main_defect, rules) if row.main_defect else "",
    )
