"""Small charts as inline SVG that a screen reader can say and a grey printer can show.

Every chart has role="img", a title and a description; its words are real text; what a shade says, a shape says too.
Sizes are in pixels of the screen, 96 to the inch; a chart shrinks where there is no room and never grows.
"""

from collections.abc import Sequence

from defectlog.report.html import Html, element, safe

INK, GREY, PALE = "#000", "#666", "#ccc"
SMALL = 9


def chart(name: str, title: str, description: str, width: float, height: float, *parts: object) -> Html:
    """`name` is its id on the page, letters and digits: title and description are tied to the picture by it."""
    return element(
        "svg",
        element("title", title, id=f"{name}-t"),
        element("desc", description, id=f"{name}-d"),
        *parts,
        role="img",
        aria_labelledby=f"{name}-t {name}-d",
        width=number(width),
        height=number(height),
        viewBox=f"0 0 {number(width)} {number(height)}",
    )


def number(value: float) -> str:
    """Two decimals at most: the same chart is the same text everywhere."""
    return f"{value:.2f}".rstrip("0").rstrip(".")


def text(
    x: float, y: float, words: object, size: float = SMALL, anchor: str = "start", weight: str | None = None
) -> Html:
    return element(
        "text", words, x=number(x), y=number(y), font_size=number(size), text_anchor=anchor, font_weight=weight
    )


def line(
    x1: float, y1: float, x2: float, y2: float, stroke: str = INK, width: float = 1, dash: str | None = None
) -> Html:
    return element(
        "line",
        x1=number(x1),
        y1=number(y1),
        x2=number(x2),
        y2=number(y2),
        stroke=stroke,
        stroke_width=number(width),
        stroke_dasharray=dash,
    )


def rect(x: float, y: float, width: float, height: float, fill: str = GREY, stroke: str | None = None) -> Html:
    return element(
        "rect",
        x=number(x),
        y=number(y),
        width=number(max(width, 0)),
        height=number(max(height, 0)),
        fill=fill,
        stroke=stroke,
    )


def dot(x: float, y: float, radius: float = 2.4, *, hollow: bool = False) -> Html:
    return element(
        "circle",
        cx=number(x),
        cy=number(y),
        r=number(radius),
        fill="#fff" if hollow else INK,
        stroke=INK,
        stroke_width="1",
    )


def triangle(x: float, y: float, *, up: bool, size: float = 5) -> Html:
    """Points up for too much, down for less."""
    tip = y - size if up else y + size
    foot = y + size * 0.7 if up else y - size * 0.7
    points = f"{number(x)},{number(tip)} {number(x - size)},{number(foot)} {number(x + size)},{number(foot)}"
    return element("polygon", points=points, fill=INK)


def path(points: Sequence[tuple[float, float]], width: float = 1, stroke: str = INK) -> Html:
    """A line through points; nothing for fewer than two."""
    if len(points) < 2:
        return Html()
    joined = " ".join(f"{number(x)},{number(y)}" for x, y in points)
    return element("polyline", points=joined, fill="none", stroke=stroke, stroke_width=number(width))


def nice_top(highest: float) -> float:
    """A round number at or above the highest value: 1, 2, 2.5 or 5 by a power of ten."""
    if highest <= 0:
        return 1.0
    power = 1.0
    while power * 10 <= highest:
        power *= 10
    while power > highest:
        power /= 10
    return next(step * power for step in (1, 1.5, 2, 2.5, 3, 4, 5, 6, 8, 10) if step * power >= highest * (1 - 1e-9))


def label(value: object, longest: int = 28) -> Html:
    """A text that fits beside a bar."""
    words = str(value)
    return safe(words if len(words) <= longest else words[: longest - 1] + "…")
