"""A pattern's strip and its months in a row, as JSON. Keys are added to and never renamed."""

from typing import Any

from defectlog.review.series import PatternSeries
from defectlog.review.strip import Strip, StripRow


def strip_as_json(strip: Strip | None) -> dict[str, Any] | None:
    """Readings metric, days ISO; null for a reading with none on record that day."""
    if strip is None:
        return None
    return {
        "scrap": [
            {
                "day": item.day.isoformat(),
                "moulds": item.moulds,
                "moulds_with_scrap": item.moulds_with_scrap,
                "castings": item.castings,
                "scrapped": item.scrapped,
            }
            for item in strip.scrap
        ],
        "readings": [reading_as_json(row) for row in strip.rows],
        "none_on_record": list(strip.missing),
    }


def reading_as_json(row: StripRow) -> dict[str, Any]:
    return {
        "reading": row.reading,
        "unit": row.unit,
        "on_record": row.on_record,
        "of": row.units,
        "low": row.low,
        "middle": row.middle,
        "high": row.high,
        "days": [
            {
                "day": item.day.isoformat(),
                "on_record": item.on_record,
                "of": item.units,
                "low": item.low,
                "middle": item.middle,
                "high": item.high,
            }
            for item in row.days
        ],
    }


def series_as_json(series: PatternSeries) -> dict[str, Any]:
    return {
        "pattern": series.pattern,
        "usual": series.usual,
        "changed": series.changed.started.isoformat() if series.changed else None,
        "months": [
            {
                "month": item.counts.month.strftime("%Y-%m"),
                "moulds": item.counts.moulds,
                "castings": item.counts.castings,
                "scrapped": item.counts.scrapped,
                "scrap_rate": item.rate,
                "interval": [item.interval.low, item.interval.high] if item.interval else None,
                "part_of_the_past": item.judged is None,
                "signal": item.judged.signal if item.judged else None,
                "chart": item.judged.chart if item.judged else None,
                "limits": list(item.judged.limits) if item.judged and item.judged.limits else None,
                "long_run": item.long_run,
            }
            for item in series.points
        ],
    }
