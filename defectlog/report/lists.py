"""Records as a table, the newest first, and what to type to see more."""

from typing import Any

from defectlog.records.fields import field_of
from defectlog.records.kinds import Heat, Mould, Pattern, Sand
from defectlog.report.answers import Listed
from defectlog.report.moulds import poured
from defectlog.report.page import Page, Text, next_step, table
from defectlog.report.shell import shell_command
from defectlog.report.values import record_json, value_text
from defectlog.report.written import KIND_NAMES

# What tells one record of a kind from the next; everything else is on `show`.
COLUMNS: dict[Any, tuple[str, ...]] = {
    Pattern: ("pattern", "revision", "name", "alloy", "impressions", "in_force_from"),
    Sand: ("sand", "mixed_at", "compactability_pct", "moisture_pct", "permeability", "squeeze"),
    Heat: ("heat", "melted_at", "alloy", "ingot_lot", "melt_c", "density_index_pct"),
    Mould: ("mould", "pattern", "revision", "sand", "heat", "poured_at", "pour_c"),
}
FIRST_ONES = {
    Pattern: "defectlog pattern add P-104 --impressions 4",
    Sand: "defectlog sand add S-31 --compactability-pct 42",
    Heat: "defectlog heat add H-7 --alloy …",
    Mould: "defectlog mould add M-1 --count 6 --pattern …",
}


def listed_page(listed: Listed, units: str = "metric") -> Page:
    kind = KIND_NAMES[listed.kind]
    if not listed.records:
        return (Text(f"no {kind} is on record here"), next_step(FIRST_ONES[listed.kind], "to write one"))
    specs = [field_of(listed.kind, name) for name in COLUMNS[listed.kind]]
    titles = [spec.stem.replace("_", " ") for spec in specs]
    rows = [[value_text(spec, getattr(record, spec.name), units) for spec in specs] for record in listed.records]
    if listed.kind is Mould:
        titles.append("state")
        rows = [[*row, state(record)] for row, record in zip(rows, listed.records, strict=True)]
    shown = table(titles, rows)
    if not listed.more:
        return (shown,)
    command = shell_command(kind, "list", *listed.asked, "--limit", str(5 * len(rows)))
    return (shown, next_step(command, "there are more, the newest are shown"))


def state(mould: Mould) -> str:
    """ "waiting", "poured", "lost before pouring", with "trial" where it is one."""
    said = mould.outcome or ("poured" if poured(mould) else "waiting")
    return f"{said}, trial" if mould.trial else said


def listed_json(listed: Listed) -> list[dict[str, Any]]:
    return [record_json(record) for record in listed.records]
