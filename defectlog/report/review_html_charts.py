"""The parts of the printed review that have a picture: each picture stands beside the table that says the same."""

from collections.abc import Iterator
from datetime import date

from defectlog.report.html import Html, data_table, element, with_picture
from defectlog.report.review_answers import Reviewed
from defectlog.report.review_pattern import UNITS
from defectlog.report.review_words import (
    SIGNALS,
    between,
    cost_words,
    defect_words,
    impression_words,
    kg_words,
    month_words,
    place_words,
    rate_words,
    reading_title,
    reading_value,
    reading_words,
)
from defectlog.report.svg_charts import bar_chart, day_bars, grid_chart, rate_chart, strip_chart
from defectlog.review.place_map import PlaceMap
from defectlog.review.series import PatternSeries
from defectlog.review.strip import Strip, StripRow
from defectlog.rulebase.shapes import RuleBase
from defectlog.units import symbol

MOST_BARS, MOST_MAPS, MOST_PLACES = 8, 4, 7
# Months shown on a chart and in the table beside it.
CHART_MONTHS, TABLE_MONTHS = 24, 8
# Readings drawn: what the trade looks at first, then the best recorded.
MOST_STRIPS = 8
LOOKED_AT_FIRST = (
    "moisture_pct", "permeability", "compactability_pct", "density_index_pct", "melt_c", "pour_c", "hardness_b",
    "green_strength_kpa",
)  # fmt: skip
# A map of fewer castings shows nothing that the list of findings does not.
FEWEST_MAPPED = 5


def shop_section(reviewed: Reviewed) -> Iterator[Html]:
    points = reviewed.shop
    if len(points) < 2:
        return
    what = reviewed.pattern or "the whole shop"
    table = data_table(
        "Month by month",
        ("month", "castings", "scrap", "rate", "likely"),
        (
            (
                month_words(item.counts.month),
                item.counts.castings,
                item.counts.scrapped,
                rate_words(item.rate),
                between(item.interval),
            )
            for item in points[-TABLE_MONTHS:]
        ),
        range(1, 5),
    )
    if not reviewed.pattern:
        yield with_picture(rate_chart("shop", f"Scrap rate of {what}, month by month", points), table)
        yield element(
            "p", "The whole shop is not judged: the job mix moves it as much as the work does.", class_="quiet"
        )


def series_sections(reviewed: Reviewed) -> Iterator[Html]:
    told = [series for series in reviewed.series if len(series.points) > 1]
    if not told:
        return
    yield element("h2", "The worst patterns against their own past" if len(told) > 1 else "Against its own past")
    yield element(
        "p",
        "Hollow: a month of the past, which stays as it is. Filled: judged against it. Triangle: stands out, up for "
        "worse and down for better. Grey stroke: 95 % interval. Short dashes: limits; long dashes: its past.",
        class_="quiet",
    )
    for number, series in enumerate(told, 1):
        yield element("h3", series.pattern)
        picture = rate_chart(
            f"p{number}", f"Scrap rate of {series.pattern}, month by month", series.points[-CHART_MONTHS:], series.usual
        )
        yield with_picture(picture, series_table(series))


def series_table(series: PatternSeries) -> Html:
    return data_table(
        f"Its past: {rate_words(series.usual)}"
        + (f", since the change of {series.changed.started}" if series.changed else ""),
        ("month", "castings", "scrap", "rate", "against its past"),
        (
            (
                month_words(item.counts.month),
                item.counts.castings,
                item.counts.scrapped,
                rate_words(item.rate),
                ("past" if item.judged is None else SIGNALS[item.judged.signal])
                + (", ninth on one side" if item.long_run else ""),
            )
            for item in series.points[-TABLE_MONTHS:]
        ),
        (1, 2, 3),
    )


def defect_section(reviewed: Reviewed, rules: RuleBase, units: str) -> Iterator[Html]:
    defects = reviewed.whole.defects
    if not defects:
        return
    costed = any(row.cost.total is not None for row in defects)
    bars = [
        (defect_words(row.defect, rules), float(row.castings), f"{row.castings} · {rate_words(row.cumulative)}")
        for row in defects[:MOST_BARS]
    ]
    first = defects[0]
    said = (
        f"{defect_words(first.defect, rules)} leads with {first.castings} of "
        f"{reviewed.whole.counts.scrapped} castings scrapped. At each bar: castings, and the share that it and those "
        "above it make."
    )
    yield element("h2", "Defects")
    yield with_picture(
        bar_chart("defects", "Castings scrapped, by the defect they are charged to", said, bars),
        data_table(
            "Castings scrapped, by defect",
            ("defect", "castings", "moulds", symbol("mass", units), *(("cost",) if costed else ()), "so far"),
            (
                (
                    defect_words(row.defect, rules),
                    row.castings,
                    row.moulds,
                    kg_words(row.kg, units),
                    *((cost_words(row.cost),) if costed else ()),
                    rate_words(row.cumulative),
                )
                for row in defects
            ),
            range(1, 6),
        ),
    )


def map_sections(reviewed: Reviewed, rules: RuleBase) -> Iterator[Html]:
    least = 1 if reviewed.pattern else FEWEST_MAPPED
    maps = [item for item in reviewed.whole.maps if item.total >= least][:MOST_MAPS]
    if not maps:
        return
    yield element("h2", "Where on the plate, and where on the casting")
    yield element(
        "p",
        "Castings not right first time, by impression and place. Impressions of a plate are alike, so a full row means "
        "something; places on a casting are not of one size, so a full column may not.",
        class_="quiet",
    )
    for number, item in enumerate(maps, 1):
        yield element("h3", item.pattern)
        yield map_figure(f"m{number}", item, rules)


def map_figure(name: str, item: PlaceMap, rules: RuleBase) -> Html:
    shown, others = item.columns[:MOST_PLACES], item.columns[MOST_PLACES:]
    columns = [place_words(column, rules) for column in shown] + (["elsewhere"] if others else [])
    rows = [impression_words(row) for row in item.rows]
    cells = [
        [item.castings.get((row, column), 0) for column in shown]
        + ([sum(item.castings.get((row, column), 0) for column in others)] if others else [])
        for row in item.rows
    ]
    sums = [item.row_total(row) for row in item.rows]
    fullest = max(range(len(rows)), key=lambda place: sums[place])
    said = f"{item.total} castings; the fullest impression is {rows[fullest]} with {sums[fullest]}."
    table_rows = [(words, *row, total) for words, row, total in zip(rows, cells, sums, strict=True)]
    table_rows.append(("sum", *(sum(column) for column in zip(*cells, strict=True)), item.total))
    table = data_table(
        "Castings", ("impression", *columns, "sum"), table_rows, range(1, len(columns) + 2), last_is_sum=True
    )
    picture = grid_chart(name, f"Place map of {item.pattern}", said, rows, columns, cells)
    return element("div", element("figure", picture), table)


def strip_sections(reviewed: Reviewed, units: str) -> Iterator[Html]:
    strip = reviewed.strip
    if strip is None or not strip.scrap:
        return
    yield element("h2", "The month day by day")
    yield element(
        "p",
        "Stroke: lowest to highest of the day; dot: the middle, hollow for a single reading. A grey band with a small "
        "triangle is a day with a larger share of scrap than most. It shows what went together and proves nothing: "
        "ask “why” for that.",
        class_="quiet",
    )
    yield element("figure", scrap_figure(strip))
    drawn = sorted((row for row in strip.rows if drawable(row)), key=first_looked_at)
    chosen = {row.reading for row in drawn[:MOST_STRIPS]}
    for number, row in enumerate((row for row in strip.rows if row.reading in chosen), 1):
        yield element("figure", reading_figure(f"s{number}", row, strip, units))
    yield strip_table(strip, units)
    if strip.missing:
        missing = "; ".join(reading_words(name) for name in strip.missing)
        yield element("p", f"Never on record in this month: {missing}.", class_="quiet")


def first_looked_at(row: StripRow) -> tuple[int, float]:
    known = row.reading in LOOKED_AT_FIRST
    return (LOOKED_AT_FIRST.index(row.reading) if known else len(LOOKED_AT_FIRST), -row.on_record / row.units)


def drawable(row: StripRow) -> bool:
    return sum(item.middle is not None for item in row.days) > 1


def scrap_figure(strip: Strip) -> Html:
    scrapped, castings = sum(day.scrapped for day in strip.scrap), sum(day.castings for day in strip.scrap)
    worst = max(strip.scrap, key=lambda day: day.scrapped)
    said = f"{scrapped} of {castings} castings on {len(strip.scrap)} days; most on {worst.day}: {worst.scrapped}."
    days = [(day.day, day.scrapped, day.castings) for day in strip.scrap]
    return day_bars("days", "castings scrapped, by the day cast", said, days)


def reading_figure(name: str, row: StripRow, strip: Strip, units: str) -> Html:
    days = [
        (item.day, item.low, item.middle, item.high, item.on_record)
        for item in row.days
        if item.low is not None and item.middle is not None and item.high is not None
    ]
    ends = (reading_value(row.reading, row.low, units), reading_value(row.reading, row.high, units))
    title = f"{reading_title(row.reading, units)} – on record for {row.on_record} of {row.units} {UNITS[row.unit]}"
    said = f"Between {ends[0]} and {ends[1]}, middle {reading_value(row.reading, row.middle, units)}."
    poured: list[date] = [day.day for day in strip.scrap]
    return strip_chart(name, title, said, days, sorted(strip.bad_days), ends, poured)


def strip_table(strip: Strip, units: str) -> Html:
    rows = []
    for row in strip.rows:
        bad, other = strip.middles(row)
        values = (row.low, row.middle, row.high, bad, other)
        rows.append(
            (
                reading_title(row.reading, units),
                element("span", f"{row.on_record} of {row.units} {UNITS[row.unit]}", class_="d"),
                *(reading_value(row.reading, value, units) for value in values),
            )
        )
    columns = ("reading", "on record", "lowest", "middle", "highest", "on bad days", "on other days")
    return data_table("Readings of the month; the last two columns are middles of the days", columns, rows, range(2, 7))
