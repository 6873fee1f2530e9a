"""What the job of the review hands over to be said: plain values."""

from dataclasses import dataclass
from datetime import date

from defectlog.review.month import MonthReview
from defectlog.review.series import PatternSeries, SeriesPoint
from defectlog.review.span import SpanReview
from defectlog.review.strip import Strip


@dataclass(frozen=True, slots=True)
class Reviewed:
    """The review of a month, or of several (`span`, then `review` is the last one's), and what stands beside it.

    `pattern` is the one it was narrowed to, "" for all; `pattern_name` what the part is called. `shop` is the last
    thirteen months of all patterns, `series` the months of the patterns that matter most, each on its own chart;
    `strip` is there when it was asked for. `said` is what was taken for what.
    """

    review: MonthReview
    span: SpanReview | None = None
    pattern: str = ""
    pattern_name: str = ""
    shop: tuple[SeriesPoint, ...] = ()
    series: tuple[PatternSeries, ...] = ()
    strip: Strip | None = None
    said: tuple[str, ...] = ()

    @property
    def whole(self) -> "MonthReview | SpanReview":
        return self.span or self.review

    @property
    def period(self) -> str:
        """ "March 2026", "June 2025 to March 2026"."""
        if self.span is None or self.span.first == self.span.last:
            return month_name(self.review.month)
        return f"{month_name(self.span.first)} to {month_name(self.span.last)}"


def month_name(month: date) -> str:
    return f"{MONTHS[month.month - 1]} {month.year}"


# Not strftime: its names follow the machine's language.
MONTHS = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November",
    "December",
)  # fmt: skip
