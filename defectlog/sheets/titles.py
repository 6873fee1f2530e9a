"""Titles as people write them: "Mould No", "Pour Temp (°F)", "Pattern #" for a column, "Melt log" for a sheet.

Words are compared without their order, case, signs and endings for "number". Common shop usage, no source.
"""

import re
from collections.abc import Iterable
from functools import cache
from typing import Any

from defectlog.records.fields import FieldSpec, fields_of
from defectlog.records.kinds import BY_SHEET
from defectlog.units import METRIC, SPELLINGS, TIME_IN_SECONDS

Words = tuple[str, ...]
KINDS_OF_SHEET: dict[str, Any] = dict(BY_SHEET)

# Words that say nothing about which column it is.
EMPTY_WORDS = frozenset({"no", "nr", "num", "number", "id", "of", "the", "ref", "at"})
SAME_WORDS = {
    "mold": "mould",
    "molds": "moulds",
    "molder": "moulder",
    "temperature": "temp",
    "temps": "temp",
    "wt": "weight",
    "wgt": "weight",
    "qty": "quantity",
    "pcs": "quantity",
    "pieces": "quantity",
    "pouring": "pour",
    "poured": "pour",
    "pattern": "pattern",
    "patt": "pattern",
    "rev": "revision",
    "remarks": "note",
    "remark": "note",
    "comments": "note",
    "comment": "note",
    "notes": "note",
    "perm": "permeability",
    "aluminum": "aluminium",
    "moist": "moisture",
    "percentage": "percent",
}
# What a title may end in to say its unit, beyond units.SPELLINGS.
UNIT_WORDS = {name: name for name in SPELLINGS if name.isalnum() or name == "%"} | {"secs": "sec", "hrs": "h"}

# Sheet → field → titles, besides the field's own name. The first of several fields that claim a title has it.
ALSO: dict[str, dict[str, tuple[str, ...]]] = {
    "patterns": {
        "pattern": ("part", "job"),
        "name": ("description", "part name", "pattern name", "casting name"),
        "alloy": ("metal", "material"),
        "impressions": ("cavities", "castings", "up", "castings per mould", "impressions per mould", "on plate"),
        "casting_kg": ("casting weight", "weight", "part weight"),
        "poured_kg": ("pour weight", "metal per mould", "shot weight"),
        "min_section_mm": ("min wall", "thinnest wall", "min section"),
        "max_section_mm": ("max wall", "thickest wall", "max section"),
        "in_force_from": ("date", "from", "since", "in force"),
        "pour_low_c": ("pour low", "min pour temp", "pour temp low", "pour temp min"),
        "pour_high_c": ("pour high", "max pour temp", "pour temp high", "pour temp max"),
    },
    "sand": {
        "sand": ("sand batch", "batch", "mix", "sand mix"),
        "mixed_at": ("date", "mixed", "mulled", "date mixed", "mix date", "sand date"),
        "compactability_pct": ("compactability", "compact"),
        "moisture_pct": ("moisture",),
        "green_strength_kpa": ("green strength", "gcs", "green compression strength", "compression strength"),
        "gfn": ("afs", "grain fineness", "afs gfn"),
        "active_clay_pct": ("active clay", "clay", "mb clay"),
        "loi_pct": ("loi", "loss on ignition"),
        "sand_c": ("sand temp", "temp"),
        "water_added_kg": ("water", "water added"),
        "clay_added_kg": ("bentonite", "clay added", "bentonite added"),
        "wood_flour_added_kg": ("wood flour", "wood flour added"),
        "mull_min": ("mull time", "mulling time"),
        "squeeze": ("squeeze test", "hand test"),
    },
    "heats": {
        "heat": ("melt", "charge"),
        "melted_at": ("date", "melted", "melt date", "heat date", "date melted"),
        "alloy": ("metal", "material"),
        "ingot_lot": ("lot", "ingot"),
        "returns_pct": ("returns",),
        "melt_c": ("melt temp", "max temp", "furnace temp", "temp"),
        "holding_min": ("hold time", "holding time", "hold"),
        "degas_min": ("degas", "degas time", "degassing time"),
        "density_index_pct": ("density index", "di"),
        "humidity_pct": ("humidity", "rh"),
    },
    "moulds": {
        "mould": ("mould",),
        "pattern": ("part", "job"),
        "poured_at": ("date", "pour date", "date pour", "cast date", "date cast", "pour"),
        "made_at": ("made", "date made", "mould date", "date mould"),
        "sand": ("sand batch", "batch"),
        "heat": ("melt", "charge"),
        "moulder": ("made by",),
        "hardness_b": ("hardness", "mould hardness"),
        "pour_order": ("order", "pour order"),
        "pour_c": ("pour temp", "temp", "metal temp"),
        "pour_s": ("pour time", "time pour"),
        "cooling_min": ("cooling", "cooling time", "shakeout time"),
        "castings": ("quantity", "castings in mould", "impressions", "quantity pour"),
        "poured_by": ("pourer", "pour by"),
    },
    "findings": {
        "mould": ("mould",),
        "impression": ("cavity", "position"),
        "castings": ("quantity", "scrap quantity", "bad", "rejects", "quantity bad"),
        "defect": ("defect code", "reason", "fault", "defect name", "scrap reason"),
        "seen": ("looks like", "description", "what was seen", "observation"),
        "place": ("where", "location", "where on casting"),
        "disposition": ("result", "action", "what becomes"),
        "found": ("found where", "found by stage", "stage", "operation"),
        "found_at": ("date", "date found", "found date", "found on"),
        "by": ("inspector", "found by", "who", "name"),
    },
    "causes": {"pattern": ("part",), "decided_on": ("date", "decided"), "by": ("who", "decided by")},
    "remedies": {
        "pattern": ("part",),
        "change": ("remedy", "action", "what was changed", "corrective action"),
        "from_date": ("date", "from", "since", "start date"),
        "owner": ("who", "by", "responsible"),
        "verdict": ("result", "did it work"),
    },
}
SHEET_NAMES: dict[str, tuple[str, ...]] = {
    "patterns": ("pattern", "pattern cards", "pattern list", "parts", "pattern card"),
    "sand": ("sand log", "sand tests", "sand lab", "sand batches", "mull log", "sand test"),
    "heats": ("heat", "melts", "melt", "melt log", "heat log", "furnace log"),
    "moulds": ("mould", "mould log", "moulding", "mould book", "pour log", "moulding log"),
    "findings": ("finding", "scrap", "scrap log", "defects", "rejects", "inspection", "defect log", "scrap book"),
    "causes": ("cause", "verdicts", "root causes"),
    "remedies": ("remedy", "actions", "corrective actions", "changes"),
}


@cache
def words_of(title: str) -> Words:
    """The words that count, in one order for all ways of writing them."""
    return tuple(sorted(plain_words(title)))


def plain_words(title: str) -> list[str]:
    bare = re.sub(r"[#№]", " number ", title.casefold())
    found = re.sub(r"[^\w%²]+|_", " ", re.sub("[°º˚]", "", bare)).split()
    words = [SAME_WORDS.get(word, word) for word in found]
    return [word for word in words if word not in EMPTY_WORDS] or words


@cache
def known_titles(kind: Any) -> dict[Words, FieldSpec]:
    """Words of a title → field, for every way of writing that is known."""
    titles: dict[Words, FieldSpec] = {}
    for spec in fields_of(kind):
        titles.setdefault(words_of(spec.name), spec)
    also = ALSO.get(kind.sheet, {})
    for spec in fields_of(kind):
        for title in also.get(spec.name, ()):
            titles.setdefault(words_of(title), spec)
    return titles


def field_meant(kind: Any, title: str) -> tuple[FieldSpec, str] | None:
    """The field that a person's title means and the unit that it names ("" for none), or None."""
    titles = known_titles(kind)
    words = plain_words(title)
    whole = titles.get(tuple(sorted(words)))
    if whole is not None:
        return whole, ""
    for length in (2, 1):
        unit = unit_at_end(words, length)
        if unit and len(words) > length:
            kept = words[:-length]
            spec = titles.get(tuple(sorted(kept))) or by_stem(kind, kept, SPELLINGS[unit].quantity)
            if spec is not None and may_be_in(spec, unit):
                return spec, unit
    return None


def unit_at_end(words: list[str], length: int) -> str:
    last = "".join(words[-length:])
    if length == 2:
        return {"degf": "f", "degc": "c", "sqin": "in2", "sqmm": "mm2", "in²": "in2"}.get(last, "")
    return {"degf": "f", "degc": "c"}.get(last, UNIT_WORDS.get(last, ""))


def by_stem(kind: Any, words: Iterable[str], quantity: str) -> FieldSpec | None:
    """ "density index %" and "min section in": the field's name without its own unit."""
    wanted = tuple(sorted(words))
    for spec in fields_of(kind):
        if spec.holds == "number" and spec.quantity == quantity and words_of(spec.stem) == wanted:
            return spec
    return None


def may_be_in(spec: FieldSpec, unit: str) -> bool:
    if spec.holds != "number" or spec.quantity not in METRIC:
        return False
    quantity = SPELLINGS[unit].quantity
    return quantity == spec.quantity or (quantity in TIME_IN_SECONDS and spec.quantity in TIME_IN_SECONDS)


def kind_named(name: str) -> str:
    """The kind of sheet that a name means, "" for none: "Melt log 2026" → "heats"."""
    words = tuple(sorted(word for word in plain_words(name) if not word.isdigit()))
    for kind, names in SHEET_NAMES.items():
        if words == words_of(kind) or any(words == words_of(other) for other in names):
            return kind
    return ""


def kind_of_header(rows: Iterable[Iterable[str]]) -> tuple[str, ...]:
    """The kinds whose needed columns are all in one of the rows, and which know the most of its titles."""
    best: dict[str, int] = {}
    for row in rows:
        titles = [cell for cell in row if cell.strip()]
        for name, kind in KINDS_OF_SHEET.items():
            meant = [found[0].name for title in titles if (found := field_meant(kind, title)) is not None]
            needed = {spec.name for spec in fields_of(kind) if spec.required}
            if needed <= set(meant) and len(set(meant)) > len(needed) - (len(needed) > 1):
                best[name] = max(best.get(name, 0), len(set(meant)))
    most = max(best.values(), default=0)
    return tuple(name for name, known in best.items() if known == most)
