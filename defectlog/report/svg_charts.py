"""The charts of the review: defects by size, months in a row, the place map, and the month day by day."""

import textwrap
from collections.abc import Callable, Sequence
from datetime import date

from defectlog.report.html import Html, joined
from defectlog.report.review_answers import MONTHS
from defectlog.report.svg import GREY, INK, PALE, chart, dot, label, line, nice_top, path, rect, text, triangle
from defectlog.review.series import SeriesPoint

WIDTH = 372.0
STRIP_WIDTH = 640.0


def bar_chart(name: str, title: str, description: str, bars: Sequence[tuple[str, float, str]]) -> Html:
    """Lying bars: (label, length, what stands at its end), the longest at the top."""
    step, left, right = 16.0, 116.0, 70.0
    most = max((length for _, length, _ in bars), default=0) or 1
    parts = []
    for place, (words, length, said) in enumerate(bars):
        y = 3 + place * step
        wide = (WIDTH - left - right) * length / most
        parts += [
            text(left - 5, y + 9.5, label(words), anchor="end"),
            rect(left, y, wide, step - 5),
            text(left + wide + 4, y + 9.5, said),
        ]
    parts.append(line(left, 0, left, 3 + len(bars) * step))
    return chart(name, title, description, WIDTH, 6 + len(bars) * step, *parts)


def rate_chart(name: str, title: str, points: Sequence[SeriesPoint], usual: float | None = None) -> Html:
    """Months from left to right: the rate, its interval as a grey stroke, the limits of judged months as short dashes.

    Hollow: a month that makes the past. Filled: judged and usual. Triangle: stands out, up for worse, down for better.
    """
    height, left, right, top, bottom = 138.0, 40.0, 8.0, 8.0, 28.0
    most = nice_top(max((highest(item) for item in points), default=0.0))
    step = (WIDTH - left - right) / max(len(points), 1)

    def x_of(place: int) -> float:
        return left + step * (place + 0.5)

    def y_of(rate: float) -> float:
        return top + (height - top - bottom) * (1 - min(rate, most) / most)

    parts = [axis_mark(left, y_of(part * most), f"{part * most * 100:.3g} %", WIDTH - right) for part in (0, 0.5, 1)]
    if usual is not None:
        parts += [line(left, y_of(usual), WIDTH - right, y_of(usual), dash="6 3")]
    parts += [interval_of(x_of(place), y_of, item) for place, item in enumerate(points)]
    rates = [(x_of(place), y_of(item.rate)) for place, item in enumerate(points) if item.rate is not None]
    parts.append(path(rates))
    parts += [mark_of(x_of(place), y_of(item.rate), item) for place, item in enumerate(points) if item.rate is not None]
    every = -(-len(points) // 13)
    for place, item in enumerate(points):
        month = item.counts.month
        if (len(points) - 1 - place) % every == 0:
            parts.append(text(x_of(place), height - 16, MONTHS[month.month - 1][:3], 8, "middle"))
        if place == 0 or month.month == 1:
            parts.append(text(x_of(place), height - 5, month.year, 8, "middle"))
    return chart(name, title, rate_description(points, usual), WIDTH, height, *parts)


def highest(item: SeriesPoint) -> float:
    limit = item.judged.limits[1] if has_limits(item) and item.judged and item.judged.limits else 0.0
    return max(
        item.rate or 0.0, limit, min(item.interval.high, 2 * (item.rate or 0.0) + 0.05) if item.interval else 0.0
    )


def has_limits(item: SeriesPoint) -> bool:
    """Only a p chart's limits are rates."""
    return item.judged is not None and item.judged.chart == "p" and item.judged.limits is not None


def axis_mark(x: float, y: float, words: str, until: float) -> Html:
    return joined((line(x, y, until, y, PALE, 0.6), text(x - 4, y + 3, words, 8, "end")))


def interval_of(x: float, y_of: Callable[[float], float], item: SeriesPoint) -> Html:
    parts = []
    if item.interval is not None:
        parts.append(line(x, y_of(item.interval.low), x, y_of(item.interval.high), "#999", 3))
    if has_limits(item) and item.judged is not None and item.judged.limits is not None:
        parts += [line(x - 8, y_of(limit), x + 8, y_of(limit), INK, 1, "3 2") for limit in item.judged.limits]
    return joined(parts)


def mark_of(x: float, y: float, item: SeriesPoint) -> Html:
    if item.judged is None:
        return dot(x, y, 3, hollow=True)
    if item.judged.signal == "above":
        return triangle(x, y, up=True)
    if item.judged.signal == "below":
        return triangle(x, y, up=False)
    return dot(x, y, 3)


def rate_description(points: Sequence[SeriesPoint], usual: float | None) -> str:
    told = [item for item in points if item.rate is not None]
    if not told:
        return "No month with castings."
    last = told[-1]
    said = f"{len(told)} months; the last one {last.counts.scrapped} of {last.counts.castings} castings scrapped."
    if usual is not None:
        said += f" The dashed line is the pattern's own past, {usual:.1%}."
    out = [
        item.counts.month.strftime("%Y-%m") for item in told if item.judged and item.judged.signal in ("above", "below")
    ]
    return f"{said} Stands out: {', '.join(out)}." if out else said


def grid_chart(
    name: str, title: str, description: str, rows: Sequence[str], columns: Sequence[str], cells: Sequence[Sequence[int]]
) -> Html:
    """Squares as large as their counts, with the count in each; an empty cell has a small cross."""
    left, top, side = 76.0, 40.0, 26.0
    wide = min((STRIP_WIDTH - left) / max(len(columns), 1), 76.0)
    most = max((count for row in cells for count in row), default=0) or 1
    parts = []
    for place, words in enumerate(columns):
        lines = textwrap.wrap(words, max(int(wide / 5), 8))[:3]
        x = left + wide * (place + 0.5)
        parts += [text(x, top - 6 - 10 * (len(lines) - 1 - at), part, 8.5, "middle") for at, part in enumerate(lines)]
    for number, words in enumerate(rows):
        y = top + side * (number + 0.5)
        parts.append(text(left - 8, y + 3, words, 9, "end"))
        for place, count in enumerate(cells[number]):
            x = left + wide * (place + 0.5)
            if not count:
                parts.append(text(x, y + 3, "·", 9, "middle"))
                continue
            size = 10 + (side - 14) * (count / most) ** 0.5
            parts += [
                rect(x - size / 2, y - size / 2, size, size, PALE, INK),
                text(x, y + 3.2, count, 9, "middle", "600"),
            ]
    for place in range(len(columns) + 1):
        parts.append(line(left + wide * place, top, left + wide * place, top + side * len(rows), PALE, 0.6))
    for number in range(len(rows) + 1):
        parts.append(line(left, top + side * number, left + wide * len(columns), top + side * number, PALE, 0.6))
    return chart(name, title, description, left + wide * len(columns) + 4, top + side * len(rows) + 4, *parts)


def day_bars(name: str, title: str, description: str, days: Sequence[tuple[date, int, int]]) -> Html:
    """Scrapped castings a day as bars, of the castings poured: (day, scrapped, castings)."""
    height, top, bottom = 92.0, 26.0, 16.0
    most = nice_top(max((scrapped for _, scrapped, _ in days), default=0))
    parts = [text(0, 9, title, 9, weight="600"), *day_axis(height, bottom, [day for day, _, _ in days])]
    parts.append(axis_mark(DAYS_LEFT, top, f"{most:g}", STRIP_WIDTH))
    for day, scrapped, _ in days:
        tall = (height - top - bottom) * scrapped / most
        x = day_x(day)
        parts.append(rect(x - 6, height - bottom - tall, 12, tall))
        parts.append(text(x, height - bottom - tall - 2, scrapped, 8, "middle") if scrapped else Html())
    return chart(name, title, description, STRIP_WIDTH, height, *parts)


DAYS_LEFT, DAY_STEP = 52.0, 18.8


def day_x(day: date) -> float:
    return DAYS_LEFT + DAY_STEP * (day.day - 0.5)


def day_axis(height: float, bottom: float, days: Sequence[date]) -> list[Html]:
    """The line under a month, with the days that were poured on."""
    base = height - bottom
    return [
        line(DAYS_LEFT, base, STRIP_WIDTH, base),
        *(text(day_x(day), base + 10, day.day, 8, "middle") for day in days),
    ]


def strip_chart(
    name: str,
    title: str,
    description: str,
    days: Sequence[tuple[date, float, float, float, int]],
    bad_days: Sequence[date],
    ends: tuple[str, str],
    poured: Sequence[date],
) -> Html:
    """A reading day by day: (day, lowest, middle, highest, how many). A stroke from lowest to highest, a dot at the
    middle, hollow for a single reading; a grey band with a small triangle under it for a day with more scrap than most.

    `ends` are the lowest and the highest value of the month in words.
    """
    height, top, bottom = 68.0, 16.0, 15.0
    low, high = min(item[1] for item in days), max(item[3] for item in days)
    span = (high - low) or 1.0

    def y_of(value: float) -> float:
        return height - bottom - 4 - (height - top - bottom - 8) * ((value - low) / span if high > low else 0.5)

    parts = [text(0, 9, title, 9, weight="600")]
    for day in bad_days:
        parts.append(rect(day_x(day) - 8, top - 3, 16, height - bottom - top + 3, "#e4e4e4"))
        parts.append(triangle(day_x(day), height - bottom - 3, up=True, size=2.6))
    parts += day_axis(height, bottom, poured)
    parts += [text(DAYS_LEFT - 4, y_of(high) + 3, ends[1], 8, "end")]
    parts += [text(DAYS_LEFT - 4, y_of(low) + 3, ends[0], 8, "end")] if high > low else []
    for day, lowest, middle, top_value, count in days:
        x = day_x(day)
        parts.append(line(x, y_of(lowest), x, y_of(top_value), GREY, 2))
        parts.append(dot(x, y_of(middle), 2.6, hollow=count == 1))
    return chart(name, title, description, STRIP_WIDTH, height, *parts)
