"""One pattern's review: its months in a row, its place map, and the month's readings beside its scrap."""

from collections.abc import Iterator

from defectlog.report.page import Block, Bullets, Heading, Text, table
from defectlog.report.review_answers import Reviewed
from defectlog.report.review_words import (
    SIGNALS,
    between,
    impression_words,
    month_words,
    place_words,
    rate_words,
    reading_title,
    reading_value,
    reading_words,
    sentence_name,
)
from defectlog.review.place_map import PlaceMap
from defectlog.review.places import Concentration
from defectlog.review.series import PatternSeries
from defectlog.review.strip import Strip, StripRow
from defectlog.review.wording import odds_text
from defectlog.rulebase.shapes import RuleBase

MOST_MONTHS = 13
MOST_PLACES = 6
# Odds of luck above this are no news.
WORTH_SAYING = 0.2
UNITS = {"sand": "batches", "heat": "heats", "mould": "moulds"}


def one_pattern_blocks(reviewed: Reviewed, rules: RuleBase, units: str) -> Iterator[Block]:
    for series in reviewed.series:
        yield from series_blocks(series)
    for item in reviewed.whole.maps:
        yield from map_blocks(item, rules)
    if reviewed.span is None:
        yield from luck_blocks(reviewed.review.places, rules)
    if reviewed.strip is not None:
        yield from strip_blocks(reviewed.strip, units)


def series_blocks(series: PatternSeries) -> Iterator[Block]:
    if len(series.points) < 2:
        return
    yield Heading("Its months in a row")
    yield table(
        ("month", "castings", "scrap", "rate", "likely", "against its past"),
        (
            (
                month_words(item.counts.month),
                str(item.counts.castings),
                str(item.counts.scrapped),
                rate_words(item.rate),
                between(item.interval),
                ("part of the past" if item.judged is None else SIGNALS[item.judged.signal])
                + (", ninth in a row on one side" if item.long_run else ""),
            )
            for item in series.points[-MOST_MONTHS:]
        ),
        right=(1, 2, 3, 4),
    )
    if series.usual is not None:
        since = f", since the change of {series.changed.started}" if series.changed else ""
        yield Text(f"Its past{since}: {rate_words(series.usual)} scrapped. Later months never move it.", tone="quiet")


def map_blocks(item: PlaceMap, rules: RuleBase) -> Iterator[Block]:
    """Rows are impressions, columns the fullest places, the others together; every casting stands in one cell."""
    shown, others = item.columns[:MOST_PLACES], item.columns[MOST_PLACES:]
    yield Heading("Place map: castings not right first time, by impression and place")
    rows = []
    for row in item.rows:
        cells = [item.castings.get((row, column), 0) for column in shown]
        rest = sum(item.castings.get((row, column), 0) for column in others)
        rows.append((impression_words(row), *cells, *((rest,) if others else ()), item.row_total(row)))
    sums = [item.column_total(column) for column in shown]
    rest = sum(item.column_total(column) for column in others)
    rows.append(("sum", *sums, *((rest,) if others else ()), item.total))
    headings = [place_words(column, rules) for column in shown] + (["elsewhere"] if others else [])
    yield table(
        ("impression", *headings, "sum"),
        (tuple(str(cell) for cell in row) for row in rows),
        right=range(1, len(headings) + 2),
    )


def luck_blocks(places: tuple[Concentration, ...], rules: RuleBase) -> Iterator[Block]:
    """What luck would have to do with one impression so full, where it is unlikely at all."""
    told = [row for row in places if row.odds_of_luck is not None and row.moulds > 1]
    said = [
        f"{sentence_name(row.defect, rules)}: one impression so full, {odds_text(row.odds_of_luck)}"
        for row in told
        if row.odds_of_luck is not None and row.odds_of_luck < WORTH_SAYING
    ]
    if said:
        yield Bullets(tuple(said))
    elif told:
        yield Text("No impression is fuller than luck alone makes it.", tone="quiet")


def strip_blocks(strip: Strip, units: str) -> Iterator[Block]:
    if not strip.scrap:
        return
    yield Heading("The month day by day: readings beside the scrap")
    numbers = " ".join(str(day.scrapped) for day in strip.scrap)
    yield Text(f"Scrapped castings a day {days_text(strip)}: {numbers}")
    if strip.rows:
        yield table(
            ("reading", "lowest", "middle", "highest", "on record", "bad days", "other days"),
            (strip_cells(row, strip, units) for row in strip.rows),
            right=(1, 2, 3, 5, 6),
        )
        yield Text(
            "Bad days: the middle reading of the days with more scrap than most. It shows what went together and "
            "proves nothing.",
            tone="quiet",
        )
    if strip.missing:
        yield Text(f"never on record: {'; '.join(reading_words(name) for name in strip.missing)}", tone="quiet")


def days_text(strip: Strip) -> str:
    return f"({strip.scrap[0].day} to {strip.scrap[-1].day}, {len(strip.scrap)} days)"


def strip_cells(row: StripRow, strip: Strip, units: str) -> tuple[str, ...]:
    bad, other = strip.middles(row)
    values = (row.low, row.middle, row.high)
    return (
        reading_title(row.reading, units),
        *(reading_value(row.reading, value, units) for value in values),
        f"{row.on_record} of {row.units} {UNITS[row.unit]}",
        reading_value(row.reading, bad, units),
        reading_value(row.reading, other, units),
    )
