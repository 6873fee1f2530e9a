"""The review as tables of typed values: what the workbook, the CSV sheet and the data frames are all made from.

A cell is text, a whole number, a number, a day, or None for what is not known. Columns that end in _rate, _share, _low
and _high of a rate are 0 to 1; `kg` is kilograms; readings are metric.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date

from defectlog.report.review_answers import Reviewed
from defectlog.review.month import MonthReview
from defectlog.review.not_enough import reading_gaps
from defectlog.review.pattern_month import PatternReview
from defectlog.review.remedy_month import RemedyReview
from defectlog.review.span import SpanPattern, SpanReview

Cell = str | int | float | date | None
Row = tuple[Cell, ...]
COUNTS = (
    "moulds", "moulds_with_scrap", "castings", "good_first_time", "scrapped", "reworked", "used_as_is", "undecided",
    "returned_by_customers", "charged_too_many", "scrap_rate", "rate_low", "rate_high", "expected_scrap", "kg", "cost",
)  # fmt: skip
Counted = MonthReview | SpanReview | PatternReview | SpanPattern


@dataclass(frozen=True, slots=True)
class Sheet:
    """One table with its column names; every row has as many cells."""

    name: str
    columns: tuple[str, ...]
    rows: tuple[Row, ...]


def review_sheets(reviewed: Reviewed) -> tuple[Sheet, ...]:
    """Every table of the review, also those without a row, always in the same order."""
    whole = reviewed.whole
    months = reviewed.span.months if reviewed.span is not None else (reviewed.review,)
    return (
        Sheet("months", ("month", "by", *COUNTS), tuple((m.month, m.by, *count_cells(m)) for m in months)),
        Sheet("patterns", PATTERN_COLUMNS, tuple(pattern_rows(months))),
        Sheet("defects", DEFECT_COLUMNS, tuple(defect_rows(whole))),
        Sheet("patterns and defects", CROSSED_COLUMNS, tuple(crossed_rows(months))),
        Sheet("found at", ("month", "found_at", "castings_scrapped"), tuple(found_rows(months))),
        Sheet("places", PLACE_COLUMNS, tuple(place_rows(whole))),
        Sheet("readings", READING_COLUMNS, tuple(reading_rows(reviewed))),
        Sheet("days", DAY_COLUMNS, tuple(day_rows(reviewed))),
        Sheet("remedies", REMEDY_COLUMNS, tuple(remedy_row(row) for row in whole.remedies)),
        Sheet("out of balance", BALANCE_COLUMNS, tuple(balance_rows(whole))),
        Sheet("not enough data", ("what", "on_record", "of", "leaves_open"), tuple(gap_rows(reviewed))),
    )


def count_cells(row: Counted) -> Row:
    counts, interval = row.counts, row.interval
    return (
        counts.moulds,
        counts.moulds_with_scrap,
        counts.castings,
        row.first_pass,
        counts.scrapped,
        counts.reworked,
        counts.used_as_is,
        counts.undecided,
        row.returned,
        row.excess,
        row.scrap_rate,
        interval.low if interval else None,
        interval.high if interval else None,
        expected_of(row),
        row.kg.whole,
        row.cost.whole,
    )


def expected_of(row: Counted) -> float | None:
    if isinstance(row, MonthReview):
        return row.mix.expected if row.mix else None
    return row.expected


PATTERN_COLUMNS = (
    "month", "pattern", *COUNTS, "against_its_past", "stands_out_among_all", "odds_of_luck", "chart", "limit_low",
    "limit_high", "past_castings", "past_scrapped", "past_from", "past_until", "yield_share", "main_defect",
)  # fmt: skip


def pattern_rows(months: Sequence[MonthReview]) -> Iterator[Row]:
    for month in months:
        for row in month.patterns:
            low, high = row.limits or (None, None)
            first, last = row.past_span or (None, None)
            yield (
                month.month,
                row.pattern,
                *count_cells(row),
                row.signal,
                "yes" if row.firm else "no",
                row.odds_of_luck,
                row.chart,
                low,
                high,
                row.past_castings,
                row.past_scrapped,
                first,
                last,
                None if row.yield_pct is None else row.yield_pct / 100,
                row.main_defect,
            )


DEFECT_COLUMNS = ("defect", "castings_scrapped", "moulds", "kg", "cost", "running_share", "patterns")


def defect_rows(whole: MonthReview | SpanReview) -> Iterator[Row]:
    for row in whole.defects:
        yield (
            row.defect or None,
            row.castings,
            row.moulds,
            row.kg.whole,
            row.cost.whole,
            row.cumulative,
            ", ".join(row.patterns),
        )


CROSSED_COLUMNS = ("month", "pattern", "defect", "castings_scrapped")


def crossed_rows(months: Sequence[MonthReview]) -> Iterator[Row]:
    for month in months:
        for (pattern, defect), castings in month.crossed.items():
            yield (month.month, pattern, defect or None, castings)


def found_rows(months: Sequence[MonthReview]) -> Iterator[Row]:
    for month in months:
        for stage, castings in month.found.items():
            yield (month.month, stage, castings)


PLACE_COLUMNS = ("pattern", "impression", "place", "castings_not_right_first_time")


def place_rows(whole: MonthReview | SpanReview) -> Iterator[Row]:
    for item in whole.maps:
        for impression in item.rows:
            for place in item.columns:
                castings = item.castings.get((impression, place), 0)
                if castings:
                    yield (item.pattern, impression, place or None, castings)


READING_COLUMNS = ("day", "reading", "unit", "on_record", "of", "low", "middle", "high")


def reading_rows(reviewed: Reviewed) -> Iterator[Row]:
    for row in reviewed.strip.rows if reviewed.strip else ():
        for item in row.days:
            yield (item.day, row.reading, row.unit, item.on_record, item.units, item.low, item.middle, item.high)


DAY_COLUMNS = ("day", "moulds", "moulds_with_scrap", "castings", "scrapped")


def day_rows(reviewed: Reviewed) -> Iterator[Row]:
    for item in reviewed.strip.scrap if reviewed.strip else ():
        yield (item.day, item.moulds, item.moulds_with_scrap, item.castings, item.scrapped)


REMEDY_COLUMNS = (
    "remedy", "pattern", "defect", "cause", "change", "from", "owner", "check_castings", "verdict", "answer", "due",
    "months_due", "slipped_back_since", "moulds_before", "bad_moulds_before", "moulds_since", "bad_moulds_since",
    "odds_of_luck", "moulds_still_needed",
)  # fmt: skip


def remedy_row(row: RemedyReview) -> Row:
    remedy, outcome = row.tally.remedy, row.outcome
    return (
        row.tally.number,
        remedy.pattern,
        remedy.defect,
        remedy.cause,
        remedy.change,
        row.tally.started,
        remedy.owner,
        remedy.check_castings,
        remedy.verdict,
        outcome.answer,
        "yes" if row.due else "no",
        row.months_due if row.due else None,
        row.slipped.since if row.slipped else None,
        outcome.before.moulds,
        outcome.before.bad_moulds,
        outcome.after.moulds,
        outcome.after.bad_moulds,
        outcome.odds_of_luck,
        outcome.still_needed,
    )


BALANCE_COLUMNS = ("mould", "pattern", "cast_on", "castings", "charged")


def balance_rows(whole: MonthReview | SpanReview) -> Iterator[Row]:
    for row in whole.out_of_balance:
        yield (row.mould, row.pattern, row.cast_on, row.castings, row.charged)


def gap_rows(reviewed: Reviewed) -> Iterator[Row]:
    gaps = reviewed.whole.gaps + (reading_gaps(reviewed.strip) if reviewed.strip else ())
    for gap in gaps:
        yield (gap.what, gap.on_record, gap.of, gap.so)
