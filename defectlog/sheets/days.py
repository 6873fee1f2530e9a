"""Dates as sheets have them: 9-Mar-26, a spreadsheet's day number, and 04/03/2026 when it was said how it is meant."""

import re
from datetime import datetime, timedelta

from defectlog.dates import MONTHS, place_of
from defectlog.errors import BadInput, Problem
from defectlog.records.cells import moment_text
from defectlog.sheets.told import DAY_FIRST

CLOCK = r"(?:[ T,]+(?P<hour>\d{1,2})[:.](?P<minute>\d{2})(?::(?P<second>\d{2}))?(?:\.0+)?\s*(?P<half>[ap]\.?m\.?)?)?"
IN_FIGURES = re.compile(
    rf"(?P<one>\d{{1,2}})(?P<sign>[/.-])(?P<two>\d{{1,2}})(?P=sign)(?P<year>\d{{4}}|\d{{2}}){CLOCK}", re.I
)
ISO_SLASHED = re.compile(rf"(?P<year>\d{{4}})(?P<sign>[/.-])(?P<one>\d{{1,2}})(?P=sign)(?P<two>\d{{1,2}}){CLOCK}", re.I)
DAY_NAMED = re.compile(
    rf"(?P<day>\d{{1,2}})(?:st|nd|rd|th)?[. -]*(?P<month>[a-z]{{3,9}})\.?,?[ -]*(?P<year>\d{{4}}|\d{{2}}){CLOCK}", re.I
)
MONTH_NAMED = re.compile(
    rf"(?P<month>[a-z]{{3,9}})\.? +(?P<day>\d{{1,2}})(?:st|nd|rd|th)?,? +(?P<year>\d{{4}}){CLOCK}", re.I
)
CLOCK_ALONE = re.compile(r"\d{1,2}[:.]\d{2}(?::\d{2})?\s*(?:[ap]\.?m\.?)?", re.I)
DAY_NUMBER = re.compile(r"\d{5}(?:[.,]\d+)?")
# Day 0 of the day numbers of spreadsheets (ECMA-376 part 1, 18.17.4.1), and the days between 1990 and 2100.
DAY_ZERO = datetime(1899, 12, 30)
DAYS = range(32874, 73051)
ALLOWED = "allowed: 2026-03-09T14:20, 2026-03-09, 9 Mar 2026"


def iso_of(text: str, order: str) -> str:
    """The same moment as ISO text, for a cell that says it in another way; other texts come back as they are.

    Raises BadInput when it could be read two ways and `order` does not say which, or when no such day exists.
    """
    text = text.strip()
    if DAY_NUMBER.fullmatch(text):
        return from_day_number(text)
    if found := IN_FIGURES.fullmatch(text):
        if not order:
            raise unclear(text)
        first, second = int(found["one"]), int(found["two"])
        day, month = (first, second) if order == DAY_FIRST else (second, first)
        return moment_of(found, text, month, day)
    if found := ISO_SLASHED.fullmatch(text):
        return moment_of(found, text, int(found["one"]), int(found["two"]))
    if found := DAY_NAMED.fullmatch(text) or MONTH_NAMED.fullmatch(text):
        place = place_of(found["month"].casefold(), MONTHS)
        return text if place is None else moment_of(found, text, place + 1, int(found["day"]))
    if CLOCK_ALONE.fullmatch(text):
        step = "put the day into the cell, or into a column 'date' with the time in a column 'time'"
        raise BadInput(Problem("date-missing", "", f"{text!r} is a time without a day", ALLOWED, step))
    return text


def from_day_number(text: str) -> str:
    number = float(text.replace(",", "."))
    if int(number) not in DAYS:
        return text
    return moment_text(DAY_ZERO + timedelta(minutes=round(number * 24 * 60)))


def moment_of(found: re.Match[str], text: str, month: int, day: int) -> str:
    year = int(found["year"]) + (2000 if len(found["year"]) == 2 else 0)
    hour, half = int(found["hour"] or 0), (found["half"] or "")[:1].casefold()
    if half and not 1 <= hour <= 12:
        raise impossible(text)
    hour = hour % 12 + 12 * (half == "p") if half else hour
    try:
        return moment_text(datetime(year, month, day, hour, int(found["minute"] or 0), int(found["second"] or 0)))
    except ValueError:
        raise impossible(text) from None


def unclear(text: str) -> BadInput:
    found = f"{text!r} could be day first or month first"
    step = "say which: --dates day-first or --dates month-first"
    return BadInput(Problem("date-unclear", "", found, ALLOWED, step))


def impossible(text: str) -> BadInput:
    step = "write the day that is meant, or look whether --dates says the right order"
    return BadInput(Problem("date-impossible", "", f"there is no such day or time as {text!r}", ALLOWED, step))
