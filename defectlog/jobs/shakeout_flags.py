"""The flags of one shakeout command, read: every one that cannot be taken is said at once."""

from collections.abc import Iterable, Mapping
from datetime import datetime
from typing import Any

from defectlog.errors import BadInput, Problem
from defectlog.jobs.shakeout import Told
from defectlog.jobs.tally import impressions_in
from defectlog.jobs.typed import typed_value
from defectlog.records.cells import seen_text
from defectlog.records.fields import field_of
from defectlog.records.kinds import DISPOSITIONS, Finding

WHAT_TO_TYPE = (
    'allowed: --good, or such as --scrap 1 --impression 3 --seen "round shiny holes"; at a terminal it asks by itself'
)
# What says that something was bad.
TELLING = (*DISPOSITIONS, "impression", "defect", "seen")


def told_by_flags(
    moulds: str, flags: Mapping[str, str], now: datetime, *, good: bool = False, secondary: bool = False
) -> Told:
    """`flags` is option → text, by the names of Told and the dispositions. Raises BadInput."""
    problems: list[Problem] = []
    texts = {}
    for name, text in flags.items():
        try:
            texts[name] = seen_text(text, "--" + name.replace(" ", "-").replace("_", "-"))
        except BadInput as error:
            problems += error.problems
    counts: dict[str, int] = {}
    values: dict[str, Any] = {}
    for name in (*DISPOSITIONS, "found", "found_at"):
        field = "castings" if name in DISPOSITIONS else name
        where = "--" + name.replace(" ", "-").replace("_", "-")
        try:
            value = typed_value(field_of(Finding, field), texts.get(name, "") or "", where, now)
        except BadInput as error:
            problems += error.problems
            continue
        if value is not None:
            (counts if name in DISPOSITIONS else values)[name] = value
    try:
        values["impressions"] = tuple(impressions_in(texts.get("impression", ""), "--impression"))
    except BadInput as error:
        problems += error.problems
    bad = [name for name in TELLING if texts.get(name)]
    if good and bad:
        found = f"--good says that nothing is bad, and --{bad[0].replace(' ', '-')} that something is"
        problems.append(Problem("good-and-bad", "shakeout", found, "allowed: one of the two"))
    if values.get("found_at") is not None and values["found_at"] > now:
        problems.append(Problem("date-to-come", "--found-at", "that is still to come", "allowed: now or earlier"))
    if problems:
        raise BadInput(problems)
    values |= {name: texts.get(name, "") for name in ("defect", "seen", "place", "by", "note")}
    return Told(moulds=moulds, good=good, counts=counts, secondary=secondary, **values)


def tells_something(told: Told) -> bool:
    return told.good or bool(told.counts or told.impressions or told.defect or told.seen)


def beside_sheet(told: Told) -> Problem | None:
    """With a sheet, only what holds for all of it may be typed."""
    if not (told.moulds or tells_something(told) or told.place or told.secondary):
        return None
    found = "moulds and what was seen on them stand in the sheet, and are typed as well"
    allowed, step = "allowed beside it: --found, --found-at, --by, --note", "leave the others out, or the sheet"
    return Problem("sheet-and-flags", "--sheet", found, allowed, step)


def nothing_told(moulds: str) -> Problem:
    found = f"nothing is told of {moulds}" if moulds else "no mould is named"
    return Problem("nothing-told", "shakeout", found, WHAT_TO_TYPE, "all of it: defectlog shakeout -h")


def words_unquoted(told: Told, problems: Iterable[Problem]) -> list[Problem]:
    """Unknown moulds without any digit beside --seen and the like are most likely words that lost their quotes."""
    stray = [word for word in told.moulds.split() if not any(letter.isdigit() for letter in word) and word != ".."]
    unknown = any(problem.code == "mould-unknown" for problem in problems)
    if not (stray and unknown and (told.seen or told.defect or told.place)):
        return []
    found = f"{' '.join(stray)!r} is read as the names of moulds"
    return [Problem("words-unquoted", "shakeout", found, 'several words go in quotes: --seen "round holes"')]
