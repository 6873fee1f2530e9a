"""Pages to print: elements whose every text is escaped, one stylesheet, and nothing that is fetched from anywhere.

A page stands alone in its file: no script, no address, no picture beside it. It is laid out for A4 and Letter, in black
and white; shades only repeat what a shape or a figure says already.
"""

import html
from collections.abc import Iterable, Sequence

from defectlog.report.page import shown

# Elements that have no end tag (HTML Living Standard, 13.1.2).
VOID = frozenset({"br", "col", "hr", "meta", "link", "img", "input"})


class Html(str):
    """Markup that is finished: it goes in as it stands. Any other text is escaped."""

    __slots__ = ()


def safe(text: object) -> Html:
    """Text as data: control and direction characters taken out, markup escaped."""
    return text if isinstance(text, Html) else Html(html.escape(shown(str(text)), quote=True))


def joined(parts: Iterable[object]) -> Html:
    return Html("".join(safe(part) for part in parts))


def element(name: str, /, *children: object, **attributes: object) -> Html:
    """<name attributes>children</name>. `class_` is class, `aria_label` is aria-label; None leaves an attribute out."""
    written = "".join(
        f' {key.rstrip("_").replace("_", "-")}="{safe(value)}"'
        for key, value in attributes.items()
        if value is not None
    )
    if name in VOID:
        return Html(f"<{name}{written}>")
    return Html(f"<{name}{written}>{joined(children)}</{name}>")


def data_table(
    caption: object,
    columns: Sequence[object],
    rows: Iterable[Sequence[object]],
    right: Iterable[int] = (),
    last_is_sum: bool = False,
) -> Html:
    """A table with a caption ("" for none), a header row, and the first cell of every row as its heading.

    `right` are the columns of figures.
    """
    figures = frozenset(right)
    head = element(
        "tr",
        *(element("th", column, scope="col", class_=figure(place, figures)) for place, column in enumerate(columns)),
    )
    body = [table_row(row, figures) for row in rows]
    foot = element("tfoot", body.pop()) if last_is_sum and body else Html()
    return element(
        "table",
        element("caption", caption) if caption else Html(),
        element("thead", head),
        element("tbody", *body),
        foot,
    )


def table_row(row: Sequence[object], figures: frozenset[int]) -> Html:
    first, *others = row
    return element(
        "tr",
        element("th", first, scope="row", class_=figure(0, figures)),
        *(element("td", cell, class_=figure(place, figures)) for place, cell in enumerate(others, 1)),
    )


def figure(place: int, figures: frozenset[int]) -> str | None:
    return "n" if place in figures else None


def bullets(items: Iterable[object]) -> Html:
    return element("ul", *(element("li", item) for item in items))


def with_picture(picture: Html, table: Html) -> Html:
    """A chart and the table that says the same, side by side where there is room."""
    return element("div", element("figure", picture), table, class_="pair")


def document(title: str, body: Iterable[object], style: str = "") -> str:
    """A whole page in British English. `title` is also what stands in the window."""
    head = element(
        "head",
        element("meta", charset="utf-8"),
        element("title", title),
        element("meta", name="viewport", content="width=device-width, initial-scale=1"),
        element("style", Html(STYLE + style)),
    )
    page = element("html", head, "\n", element("body", element("main", *body)), lang="en-GB")
    return f"<!DOCTYPE html>\n{page}\n"


STYLE = """
@page { size: auto; margin: 13mm 12mm; }
* { box-sizing: border-box; }
html { background: #fff; color: #000; font: 10.5pt/1.35 system-ui, "Segoe UI", "DejaVu Sans", Arial, sans-serif; }
body { margin: 0; }
main { max-width: 190mm; margin: 0 auto; padding: 5mm; }
h1 { font-size: 17pt; line-height: 1.15; margin: 0 0 1mm; }
h2 { font-size: 12.5pt; margin: 6mm 0 1.5mm; padding-bottom: .5mm; border-bottom: .4mm solid #000; break-after: avoid; }
h3 { font-size: 10.5pt; margin: 3.5mm 0 1mm; break-after: avoid; }
p { margin: 0 0 1.5mm; }
ul { margin: 0 0 2mm; padding-left: 5mm; }
.lead { font-size: 12pt; font-weight: 600; }
.quiet { color: #333; font-size: 9pt; }
table { border-collapse: collapse; width: 100%; margin: 0 0 2.5mm; font-size: 9pt; }
caption { text-align: left; font-weight: 600; padding: 0 0 .8mm; caption-side: top; break-after: avoid; }
th, td { text-align: left; vertical-align: top; padding: .5mm 2.6mm .5mm 0; border-bottom: .2mm solid #999; }
thead { display: table-header-group; }
thead th { border-bottom: .4mm solid #000; vertical-align: bottom; }
tbody th { font-weight: 400; }
tfoot th, tfoot td { border-top: .4mm solid #000; font-weight: 600; }
h2 + p, h3 + p { break-after: avoid; }
.n + td:not(.n), .n + th:not(.n) { padding-left: 2mm; }
.n { text-align: right; font-variant-numeric: tabular-nums; white-space: nowrap; }
tr, figure, li, svg { break-inside: avoid; }
figure { margin: 0 0 2mm; }
svg { display: block; max-width: 100%; height: auto; print-color-adjust: exact; -webkit-print-color-adjust: exact; }
svg text { font-family: inherit; fill: #000; }
.pair { display: flex; flex-wrap: wrap; gap: 1mm 5mm; align-items: flex-start; margin-bottom: 2mm; }
.pair { break-inside: avoid; }
.pair > figure { flex: 0 1 auto; }
.pair > table { flex: 1 1 62mm; width: auto; }
.pair tbody th, .d { white-space: nowrap; }
.narrow { break-inside: avoid; }
.narrow table { width: auto; }
.facts { display: grid; grid-template-columns: repeat(auto-fit, minmax(40mm, 1fr)); gap: 1.5mm; }
.facts { margin: 2mm .4mm 2mm 0; }
.facts div { border: .3mm solid #000; padding: 1mm 1.6mm; break-inside: avoid; }
.facts dt { font-size: 8pt; }
.facts dd { margin: 0; font-size: 14pt; line-height: 1.2; font-weight: 600; font-variant-numeric: tabular-nums; }
.facts small { display: block; font-size: 8.5pt; font-weight: 400; }
.write td, .write th { height: 9mm; border: .2mm solid #000; padding: 1mm; }
footer { margin-top: 6mm; border-top: .2mm solid #000; padding-top: 1mm; font-size: 8pt; }
@media screen and (max-width: 640px) { main { padding: 3mm; overflow-x: auto; } }
@media print { main { max-width: none; padding: 0; } }
"""
