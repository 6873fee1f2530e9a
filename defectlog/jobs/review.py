"""A month reviewed, or several: the ledger from the book, defects read into ids, the pure review over both."""

from collections.abc import Sequence
from datetime import date, timedelta

from defectlog.book.learned import learned, settings
from defectlog.book.ledgers import month_ledgers
from defectlog.book.open import Book
from defectlog.book.records import find, first_and_last_day, resolve
from defectlog.book.strips import strip_ledger
from defectlog.dates import parse_month
from defectlog.errors import BadInput, Problem
from defectlog.jobs.review_rates import rates_of
from defectlog.jobs.why import defect_reader
from defectlog.records.kinds import Pattern
from defectlog.records.ledgers import MonthLedger, PatternMonth
from defectlog.report.review_answers import Reviewed
from defectlog.review.found import By
from defectlog.review.month import pasts_of, review_month
from defectlog.review.pareto import Order
from defectlog.review.pattern_month import PatternReview
from defectlog.review.series import PatternSeries, SeriesPoint, pattern_series, shop_series
from defectlog.review.span import SpanPattern, SpanReview, review_span
from defectlog.review.strip import strip_of
from defectlog.review.usual import ShopSpread, by_pattern, spread_of_shop
from defectlog.rulebase.shapes import RuleBase

MOST_MONTHS = 120
# So many of the worst patterns get a chart of their own.
MOST_SERIES = 6
RANGE = ".."


def review_of(
    book: Book,
    rules: RuleBase,
    first: date,
    last: date | None = None,
    *,
    by: By = "cast",
    order: Order = "castings",
    pattern: str = "",
    full: bool = False,
) -> Reviewed:
    """Review one month (its first day), or every month from `first` to `last` and their sum.

    `full` brings what a printed page has beside it: months in a row, and the month's readings. A single pattern is
    always answered in full. Raises NotFound for a pattern that is not in the book.
    """
    resolved = resolve(book, Pattern, pattern) if pattern else None
    only = resolved.name if resolved else ""
    read = defect_reader(rules, learned(book))
    ledgers = month_ledgers(book, first, last or first, defect_of=read, pattern=only)
    rates = rates_of(settings(book))
    many = len(ledgers) > 1
    span = review_span(ledgers, by=by, rates=rates, order=order, only=only) if many else None
    review = span.months[-1] if span else review_month(ledgers[-1], by=by, rates=rates, order=order, only=only)
    said = (resolved.said,) if resolved is not None and resolved.said else ()
    if not (full or only):
        return Reviewed(review, span, said=said)
    spread = spread_of_shop(pasts_of(ledgers[-1], ()))
    shown = (only,) if only else worst_patterns((span or review).patterns)
    return Reviewed(
        review,
        span,
        pattern=only,
        pattern_name=part_name(book, only),
        shop=shop_points(ledgers[-1], span, only, spread),
        series=series_of(ledgers[-1], shown, spread),
        strip=None if many else strip_of(strip_ledger(book, first, only)),
        said=said,
    )


def worst_patterns(rows: Sequence[PatternReview | SpanPattern]) -> tuple[str, ...]:
    return tuple(row.pattern for row in rows if row.counts.scrapped)[:MOST_SERIES]


def shop_points(ledger: MonthLedger, span: SpanReview | None, only: str, spread: ShopSpread) -> tuple[SeriesPoint, ...]:
    """The months up to the one reviewed; of several months, those, each with the interval that it has in its table."""
    if span is None:
        return shop_series(only_rows(ledger, only), ledger.month, spread.mould_rho)
    poured = (month for month in span.months if month.counts.castings)
    return tuple(SeriesPoint(month.counts, month.scrap_rate, month.interval, None, False) for month in poured)


def only_rows(ledger: MonthLedger, pattern: str) -> tuple[PatternMonth, ...]:
    return tuple(row for row in ledger.months if pattern in ("", row.pattern))


def series_of(ledger: MonthLedger, patterns: Sequence[str], spread: ShopSpread) -> tuple[PatternSeries, ...]:
    """The months of each pattern in a row, judged as in the review."""
    months = by_pattern(ledger.months)
    return tuple(
        pattern_series(
            months[name], ledger.month, spread, [change for change in ledger.changes if change.pattern == name]
        )
        for name in patterns
        if name in months
    )


def part_name(book: Book, pattern: str) -> str:
    """What the part is called on its latest card; "" when nobody wrote it down."""
    cards = find(book, Pattern, pattern=pattern) if pattern else []
    return next((card.record.name for card in reversed(cards) if card.record.name), "")


def months_typed(typed: str, today: date) -> tuple[date, date]:
    """ "2026-03", "last month", "2025-06..2026-03". Raises BadInput."""
    first_typed, dots, last_typed = typed.partition(RANGE)
    first = parse_month(first_typed.strip(), today, "month")
    last = parse_month(last_typed.strip(), today, "month") if dots else first
    months = (last.year - first.year) * 12 + last.month - first.month + 1
    if months < 1:
        raise BadInput(
            Problem("months-backwards", "month", f"{typed!r} ends before it begins", "allowed: 2025-06..2026-03")
        )
    if months > MOST_MONTHS:
        raise BadInput(Problem("months-many", "month", f"{typed!r} is {months} months", f"allowed: {MOST_MONTHS}"))
    return first, last


def month_to_review(book: Book, today: date) -> date:
    """The month to look at when none is named: last month, or the last one cast where that is earlier.

    Raises BadInput when nothing was ever cast.
    """
    span = first_and_last_day(book)
    if span is None:
        raise BadInput(
            Problem(
                "nothing-cast",
                "review",
                "no mould is in the book yet",
                "needed: moulds that were made or poured on some day",
                "type: defectlog mould add -h, or: defectlog import FOLDER",
            )
        )
    last_month = (today.replace(day=1) - timedelta(days=1)).replace(day=1)
    return min(last_month, span[1].replace(day=1))
