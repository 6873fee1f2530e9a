"""The review of many months as JSON. Keys are added to and never renamed. Unknown is null, never 0."""

from typing import Any

from defectlog.review.month import MonthReview
from defectlog.review.month_json import (
    balance_as_json,
    counts_as_json,
    defect_as_json,
    gap_as_json,
    map_as_json,
    pair,
    remedy_as_json,
)
from defectlog.review.span import SpanPattern, SpanReview


def span_as_json(review: SpanReview) -> dict[str, Any]:
    """The sum, and of each month its totals; a month in full is `review` of that month alone."""
    return {
        "from": review.first.strftime("%Y-%m"),
        "until": review.last.strftime("%Y-%m"),
        "by": review.by,
        **counts_as_json(review.counts),
        "first_pass": review.first_pass,
        "returned": review.returned,
        "charged_too_many": review.excess,
        "scrap_rate": review.scrap_rate,
        "interval": pair(review.interval),
        "expected_for_job_mix": review.expected,
        "expected_against": review.expected_of,
        "cost": review.cost.total,
        "cost_left_out": review.cost.left_out,
        "currency": review.currency,
        "cost_method": list(review.cost_method),
        "kg": review.kg.total,
        "kg_left_out": review.kg.left_out,
        "months": [summary_as_json(month) for month in review.months],
        "patterns": [pattern_as_json(row) for row in review.patterns],
        "defects": [defect_as_json(row) for row in review.defects],
        "found": dict(review.found),
        "place_maps": [map_as_json(row) for row in review.maps],
        "not_enough": [gap_as_json(row) for row in review.gaps],
        "remedies": [remedy_as_json(row) for row in review.remedies],
        "out_of_balance": [balance_as_json(row) for row in review.out_of_balance],
        "false_alarms_expected": review.false_alarms_expected,
    }


def summary_as_json(month: MonthReview) -> dict[str, Any]:
    return {
        "month": month.month.strftime("%Y-%m"),
        **counts_as_json(month.counts),
        "first_pass": month.first_pass,
        "returned": month.returned,
        "charged_too_many": month.excess,
        "scrap_rate": month.scrap_rate,
        "interval": pair(month.interval),
        "expected_for_job_mix": month.mix.expected if month.mix else None,
        "cost": month.cost.total,
        "kg": month.kg.total,
        "above": [row.pattern for row in month.patterns if row.signal == "above"],
        "below": [row.pattern for row in month.patterns if row.signal == "below"],
    }


def pattern_as_json(row: SpanPattern) -> dict[str, Any]:
    return {
        "pattern": row.pattern,
        **counts_as_json(row.counts),
        "first_pass": row.first_pass,
        "returned": row.returned,
        "charged_too_many": row.excess,
        "scrap_rate": row.scrap_rate,
        "interval": pair(row.interval),
        "expected": row.expected,
        "months_judged": row.judged,
        "months_above": row.above,
        "months_below": row.below,
        "cost": row.cost.whole,
        "kg": row.kg.whole,
        "main_defect": row.main_defect,
    }
