"""Blank sheets to print, fill in by hand and type in: mould card, sand sheet, heat log, shakeout tally.

Each is one page of A4 or Letter, lying down, with rows high enough for a pencil held in a glove. Under every heading
stands the column that it is typed into, so that a sheet can be keyed by somebody who was not there.
"""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from defectlog.records.fields import OTHER_ENDINGS, UNIT_ENDINGS, FieldSpec, field_of
from defectlog.records.kinds import FOUND, Heat, Mould, Sand
from defectlog.report.html import Html, document, element, joined
from defectlog.report.page import Bullets, Page, Text, counted, next_step
from defectlog.report.values import label_of
from defectlog.units import symbol

ROWS, TALLY_ROWS = 15, 13
# Reading columns of each sheet; what hardly any shop measures stays off the paper.
SHEETS: dict[str, tuple[Any, tuple[str, ...]]] = {
    "mould-card": (
        Mould,
        ("mould", "pattern", "made_at", "sand", "hardness_b", "facing_riddled", "vented", "heat", "pour_order",
         "poured_at", "pour_c", "pour_s", "interrupted", "castings", "note"),
    ),
    "sand-sheet": (
        Sand,
        ("sand", "mixed_at", "squeeze", "compactability_pct", "moisture_pct", "permeability", "green_strength_kpa",
         "sand_c", "water_added_kg", "clay_added_kg", "new_sand_pct", "mull_min", "note"),
    ),
    "heat-log": (
        Heat,
        ("heat", "melted_at", "alloy", "ingot_lot", "returns_pct", "melt_c", "holding_min", "degas_min",
         "since_degassing_min", "density_index_pct", "skimmed", "modified", "refined", "note"),
    ),
}  # fmt: skip
TITLES = {"mould-card": "Mould card", "sand-sheet": "Sand sheet", "heat-log": "Heat log"}
WIDE = {
    "note": 2.2,
    "seen": 2.6,
    "defect": 1.9,
    "place": 1.7,
    "mould": 1.4,
    "mixed_at": 1.3,
    "melted_at": 1.3,
    "impression": 1.3,
}
SHORT = {
    "pour_order": "order in the heat",
    "castings": "castings, if not the plate's",
    "since_degassing_min": "degassed to first pour",
    "density_index_pct": "density index",
    "facing_riddled": "facing riddled",
    "note": "remarks",
    "skimmed": "skimmed",
    "hardness_b": "hardness, B scale",
    "heat": "heat",
    "pattern": "pattern",
    "made_at": "made at",
    "poured_at": "poured at",
    "mixed_at": "mixed at",
    "melted_at": "melted at",
    "squeeze": "hand test",
    "pour_c": "pour temp.",
    "sand_c": "sand temp.",
    "melt_c": "highest temp.",
    "compactability_pct": "compact- ability",
    "permeability": "perme- ability",
    "green_strength_kpa": "green strength",
    "new_sand_pct": "new sand",
    "returns_pct": "returns",
    "degas_min": "degassed",
    "modified": "modified",
    "refined": "refined",
}
TALLY_COLUMNS = (
    ("mould", "mould, or M-225..M-230"), ("good", "all good"), ("scrap", "scrap"), ("rework", "rework"),
    ("use_as_is", "use as is"), ("impression", "impression"), ("defect", "defect, in our words"),
    ("seen", "what it looks like"), ("place", "where on the casting"), ("found", "found at, if not shakeout"),
    ("note", "remarks"),
)  # fmt: skip
MOST_IMPRESSIONS_PRINTED = 12


@dataclass(frozen=True, slots=True)
class BlankTally:
    """A shakeout tally: `pattern` "" for any; `words` are the shop's own for its commonest defects."""

    pattern: str
    name: str
    impressions: int | None
    words: tuple[str, ...]
    places: tuple[str, ...]


def blank_sheets(tallies: Sequence[BlankTally], units: str = "metric") -> dict[str, str]:
    """File name → page, in the order in which a day needs them."""
    pages = {
        f"{name}.html": record_sheet(TITLES[name], kind, columns, units) for name, (kind, columns) in SHEETS.items()
    }
    for tally in tallies:
        pages[free_name(f"shakeout-tally{'-' if tally.pattern else ''}{file_word(tally.pattern)}", pages)] = (
            tally_sheet(tally)
        )
    return pages


def written_page(names: Sequence[str]) -> Page:
    """What was written, and what to do with it."""
    return (
        Text(f"{counted(len(names), 'blank sheet')} to print, one page each:"),
        Bullets(tuple(names)),
        next_step("defectlog shakeout --sheet tally.csv", "to type a filled tally in"),
    )


def file_word(name: str) -> str:
    """A name as part of a file's: letters, digits, dots within, dashes; no longer than a file's name may be."""
    return re.sub(r"[^\w.-]+", "-", name).strip(".-")[:40]


def free_name(stem: str, taken: Iterable[str]) -> str:
    there = set(taken)
    name, number = f"{stem}.html", 1
    while name in there:
        number += 1
        name = f"{stem}-{number}.html"
    return name


def record_sheet(title: str, kind: Any, columns: Sequence[str], units: str) -> str:
    specs = [field_of(kind, column) for column in columns]
    heads = [(typed_column(spec, units), words_of(spec, units)) for spec in specs]
    says = f"Typed into {kind.sheet}.csv. An empty cell means nobody measured it: that is allowed, and never a nought."
    return sheet_page(title, says, heads, ROWS, {})


def words_of(spec: FieldSpec, units: str) -> str:
    words = SHORT.get(spec.name, label_of(spec))
    unit = symbol(spec.quantity, units) if spec.holds == "number" else ""
    if spec.holds == "yes_no":
        return f"{words}? yes / no"
    if spec.choices:
        return f"{words}: {' / '.join(spec.choices)}"
    return f"{words}, {unit}" if unit else words


def typed_column(spec: FieldSpec, units: str) -> str:
    """The sheet's column: `pour_c`, and `pour_f` for a shop that reads Fahrenheit."""
    if units == "us" and spec.quantity in OTHER_ENDINGS:
        wanted = symbol(spec.quantity, "us").removeprefix("°").lower()
        for ending, unit in OTHER_ENDINGS[spec.quantity].items():
            if unit == wanted:
                return spec.name.removesuffix(UNIT_ENDINGS[spec.quantity]) + ending
    return spec.name


def tally_sheet(tally: BlankTally) -> str:
    title = f"Shakeout tally {tally.pattern} {tally.name}".strip()
    says = (
        "A line for moulds that came out all good, a line for every kind of fault. No cause: only what is seen. Typed "
        "in with: defectlog shakeout --sheet tally.csv"
    )
    key = joined(
        (
            element("p", element("strong", "Our words: "), " · ".join(tally.words)),
            element("p", element("strong", "Places: "), " · ".join(tally.places)),
            element("p", element("strong", "Found at: "), " · ".join(FOUND)),
        )
    )
    return sheet_page(title, says, TALLY_COLUMNS, TALLY_ROWS, {"impression": circles(tally.impressions)}, key)


def circles(impressions: int | None) -> str:
    """The plate's impressions to put a ring round; room to write where the plate is not known or very large."""
    if impressions is None or impressions > MOST_IMPRESSIONS_PRINTED:
        return ""
    return " ".join(str(number) for number in range(1, impressions + 1))


def sheet_page(
    title: str,
    says: str,
    heads: Sequence[tuple[str, str]],
    rows: int,
    printed: dict[str, str],
    key: Html | None = None,
) -> str:
    """`printed` is what stands in every cell of a column already."""
    shares = [WIDE.get(column, 1.0) for column, _ in heads]
    columns = [element("col", style=f"width:{100 * share / sum(shares):.2f}%") for share in shares]
    head = element("tr", *(element("th", words, element("code", column), scope="col") for column, words in heads))
    line = element("tr", *(element("td", printed.get(column, "")) for column, _ in heads))
    table = element(
        "table",
        element("caption", says),
        element("colgroup", *columns),
        element("thead", head),
        element("tbody", *[line] * rows),
    )
    top = element("p", "Day: ______________ Sheet: ____ Filled in by: ______________________", class_="top")
    body = [element("h1", title), top, *([element("div", key, class_="key")] if key else []), table]
    return document(title, body, STYLE)


STYLE = """
@page { size: landscape; margin: 8mm 9mm; }
main { max-width: 275mm; }
h1 { float: left; font-size: 15pt; }
.top { text-align: right; margin: 1.5mm 0 2mm; }
.key { clear: both; font-size: 8.5pt; } .key p { margin: 0 0 .6mm; }
table { clear: both; table-layout: fixed; font-size: 8pt; }
caption { font-weight: 400; font-size: 8pt; }
th, td { border: .25mm solid #000; padding: .6mm .8mm; overflow-wrap: break-word; }
thead th { line-height: 1.15; vertical-align: top; font-weight: 600; font-size: 7.5pt; }
thead code { display: block; font-weight: 400; font-size: 5.5pt; margin-top: .5mm; overflow-wrap: anywhere; }
tbody td { height: 9.3mm; word-spacing: .8mm; }
"""
