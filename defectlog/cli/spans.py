"""Spans of time as they are typed: a day or a month, its first day for --since and its last for --until."""

from datetime import date, timedelta

from defectlog.dates import month_after, parse_day, parse_month
from defectlog.errors import BadInput


def first_day(typed: str, today: date, where: str) -> date | None:
    """None when nothing was typed. Raises BadInput."""
    if not typed:
        return None
    month = as_month(typed, today)
    return month if month else parse_day(typed, today, where)


def last_day(typed: str, today: date, where: str) -> date | None:
    if not typed:
        return None
    month = as_month(typed, today)
    return month_after(month) - timedelta(days=1) if month else parse_day(typed, today, where)


def as_month(typed: str, today: date) -> date | None:
    try:
        return parse_month(typed, today)
    except BadInput:
        return None
