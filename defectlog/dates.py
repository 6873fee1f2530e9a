"""Dates and months as people in the shop say them, and nothing that could be read two ways.

`04/03/2026` is March in one country and April in another, so it is refused. `today` is always passed in.
"""

import re
from calendar import monthrange
from collections.abc import Sequence
from datetime import date, datetime, time, timedelta

from defectlog.errors import BadInput, Problem

ALLOWED_DAY = "allowed: 2026-03-09, 2026-03-09T14:20, today, yesterday, mon, 9 mar"
ALLOWED_MONTH = "allowed: 2026-03, this month, last month, mar"

WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
MONTHS = (
    "january",
    "february",
    "march",
    "april",
    "may",
    "june",
    "july",
    "august",
    "september",
    "october",
    "november",
    "december",
)
# A shop's records lie within living memory: 0206 and 20226 are slips of the finger.
YEARS = range(1900, 2200)
LEAP_YEARS_APART = 8  # at most, as from 1896 to 1904

DAY_AND_MONTH = re.compile(r"^(?P<day>\d{1,2})\.? (?P<month>[a-z]{3,9})\.?(?:,? (?P<year>\d{4}))?$")
MONTH_AND_DAY = re.compile(r"^(?P<month>[a-z]{3,9})\.? (?P<day>\d{1,2})(?:,? (?P<year>\d{4}))?$")
# The T of ISO stands behind a digit only: the one of "sat 14:20" belongs to the day.
CLOCK = re.compile(r"^(?P<day>.+?)(?: |(?<=\d)t)(?P<hour>\d{1,2}):(?P<minute>\d{2})(?::(?P<second>\d{2}))?$")
ISO_DAY = re.compile(r"^\d{4}-\d{1,2}-\d{1,2}$")


def parse_when(text: str, today: date, where: str = "") -> datetime:
    """A day with an optional time of day; midnight when no time is given. Raises BadInput."""
    words = " ".join(text.strip().lower().split())
    clock = CLOCK.match(words)
    day = parse_day(clock["day"] if clock else words, today, where, text)
    if clock is None:
        return datetime.combine(day, time())
    try:
        return datetime.combine(day, time(int(clock["hour"]), int(clock["minute"]), int(clock["second"] or 0)))
    except ValueError:
        raise BadInput(Problem("date-impossible", where, f"there is no such time as {text!r}", ALLOWED_DAY)) from None


def parse_day(words: str, today: date, where: str = "", typed: str = "") -> date:
    """A day: ISO, `today`, `yesterday`, a weekday (the last one past, today included), `9 mar`. Raises BadInput."""
    text = " ".join(words.strip().lower().split())
    typed = typed or words
    if text == "today":
        return today
    if text == "yesterday":
        return today - timedelta(days=1)
    if place_of(text.removeprefix("last "), WEEKDAYS) is not None:
        return last_weekday(text, today)
    if ISO_DAY.match(text):
        year, month, day = (int(part) for part in text.split("-"))
        return real_day(year, month, day, typed, where)
    spoken = DAY_AND_MONTH.match(text) or MONTH_AND_DAY.match(text)
    if spoken and place_of(spoken["month"], MONTHS) is not None:
        return spoken_day(spoken, today, typed, where)
    if re.match(r"^\d{1,2}[/.-]\d{1,2}[/.-]\d{2,4}$", text):
        found = f"{typed!r} could be day first or month first"
        raise BadInput(Problem("date-unclear", where, found, ALLOWED_DAY))
    raise BadInput(Problem("date-unknown", where, f"{typed!r} is not a date", ALLOWED_DAY))


def last_weekday(text: str, today: date) -> date:
    wanted = place_of(text.removeprefix("last "), WEEKDAYS) or 0
    back = (today.weekday() - wanted) % 7
    if text.startswith("last ") and back == 0:
        back = 7
    return today - timedelta(days=back)


def spoken_day(spoken: re.Match[str], today: date, typed: str, where: str) -> date:
    month, number = (place_of(spoken["month"], MONTHS) or 0) + 1, int(spoken["day"])
    if spoken["year"]:
        return real_day(int(spoken["year"]), month, number, typed, where)
    # A shop writes down what has happened: "4 mar" said in January is last year's, "29 feb" the last leap year's.
    last = today.year - ((month, number) > (today.month, today.day))
    years = [year for year in range(last, last - LEAP_YEARS_APART, -1) if number <= monthrange(year, month)[1]]
    return real_day(years[0] if years else last, month, number, typed, where)


def place_of(word: str, names: Sequence[str]) -> int | None:
    """Which of `names` a word is, written out or cut after three letters or more: "tues", "sept"."""
    if len(word) < 3:
        return None
    return next((place for place, name in enumerate(names) if name.startswith(word)), None)


def real_day(year: int, month: int, day: int, typed: str, where: str) -> date:
    try:
        if year not in YEARS:
            raise ValueError
        return date(year, month, day)
    except ValueError:
        raise BadInput(Problem("date-impossible", where, f"there is no such day as {typed!r}", ALLOWED_DAY)) from None


def parse_month(text: str, today: date, where: str = "") -> date:
    """The first day of a month: `2026-03`, `this month`, `last month`, `mar` (the last one begun). Raises BadInput."""
    words = " ".join(text.strip().lower().split())
    first = today.replace(day=1)
    if words == "this month":
        return first
    if words == "last month":
        return (first - timedelta(days=1)).replace(day=1)
    if re.match(r"^\d{4}-\d{1,2}$", words):
        year, month = (int(part) for part in words.split("-"))
        if 1 <= month <= 12 and year in YEARS:
            return date(year, month, 1)
        raise BadInput(Problem("date-impossible", where, f"there is no such month as {text!r}", ALLOWED_MONTH))
    if (place := place_of(words, MONTHS)) is not None:
        month = place + 1
        return date(today.year if month <= today.month else today.year - 1, month, 1)
    raise BadInput(Problem("date-unknown", where, f"{text!r} is not a month", ALLOWED_MONTH))


def month_after(first: date) -> date:
    """The first day of the month after the one that `first` begins."""
    return date(first.year + first.month // 12, first.month % 12 + 1, 1)
