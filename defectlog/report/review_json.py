"""The review as one JSON document, of a month or of several."""

from typing import Any

from defectlog.report.review_answers import Reviewed
from defectlog.review.month_json import month_as_json
from defectlog.review.span_json import span_as_json
from defectlog.review.strip_json import series_as_json, strip_as_json


def review_as_json(reviewed: Reviewed) -> dict[str, Any]:
    """`series` and `strip` are there for a pattern alone; the strip for a single month."""
    answer = span_as_json(reviewed.span) if reviewed.span is not None else month_as_json(reviewed.review)
    return {
        **answer,
        "pattern": reviewed.pattern or None,
        "series": [series_as_json(item) for item in reviewed.series] if reviewed.pattern else [],
        "strip": strip_as_json(reviewed.strip) if reviewed.pattern else None,
    }
