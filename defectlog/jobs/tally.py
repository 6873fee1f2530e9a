"""A day's paper tally, typed in: one row a line of the paper, all of it or nothing, and nothing twice."""

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any, ClassVar

from defectlog.book.open import Book
from defectlog.errors import BadInput, NotFound, Problem
from defectlog.jobs.shakeout import Told, shake_out
from defectlog.jobs.shares import FLAGS
from defectlog.records.fields import choice, count, moment, text, yes_no
from defectlog.records.kinds import DISPOSITIONS, FOUND
from defectlog.report.shakeout_answers import ShakenOut
from defectlog.rulebase.shapes import RuleBase
from defectlog.sheets.read import read_csv
from defectlog.sheets.sheet import UNREADABLE, Sheet

LARGEST_SHEET = 5_000_000  # bytes; a day's tally is a page
COLUMNS = "mould, good, scrap, rework, use_as_is, undecided, impression, defect, seen, place, found, found_at, by, note"
EXAMPLE = "mould,good,scrap,impression,seen\nM-225..M-230,yes,,,\nM-231,,1,3,round shiny holes"


@dataclass(frozen=True, slots=True, kw_only=True)
class TallyRow:
    """One line of the paper."""

    sheet: ClassVar[str] = "tally"
    key: ClassVar[tuple[str, ...]] = ()

    mould: str = text("mould, several, or a range M-225..M-240", required=True)
    good: bool | None = yes_no("broken out with nothing bad")
    scrap: int | None = count("castings scrapped", most=500)
    rework: int | None = count("castings to rework", most=500)
    use_as_is: int | None = count("castings used as they are", most=500)
    undecided: int | None = count("castings put aside", most=500)
    castings: int | None = count("castings that the disposition is of; 1 when left out", least=1, most=500)
    disposition: str | None = choice("what becomes of them", *DISPOSITIONS)
    impression: str | None = text("impression, or several: 3 4")
    defect: str | None = text("defect")
    seen: str | None = text("what it looks like")
    place: str | None = text("where on the casting")
    found: str | None = choice("where it was found", *FOUND)
    found_at: datetime | None = moment("when it was found")
    secondary: bool | None = yes_no("a second defect on a casting that is charged already")
    by: str | None = text("who found it")
    note: str | None = text("anything else")


def log_sheet(
    book: Book,
    rules: RuleBase,
    path: Path,
    *,
    command: str,
    now: datetime,
    who: str | None = None,
    usual: Told | None = None,
    dry_run: bool = False,
) -> ShakenOut:
    """Read the sheet and log every row. `usual` holds what was said for the whole sheet (found, found_at, by).

    Its token comes from what stands in it, so the same sheet a second time, under any name, changes nothing. Raises
    NotFound, or BadInput with every problem of every row.
    """
    sheet = read_sheet(path)
    told, problems = told_by(sheet, usual or Told(moulds=""))
    try:
        if problems:
            # The rows that can be read are looked through all the same, so that everything is said at once.
            shake_out(book, rules, told, command=command, now=now, dry_run=True)
        else:
            token = token_of(sheet)
            return shake_out(book, rules, told, command=command, now=now, who=who, token=token, dry_run=dry_run)
    except BadInput as error:
        problems = [*problems, *error.problems]
    raise BadInput(sorted(problems, key=row_number))


def row_number(problem: Problem) -> int:
    digits = problem.where.partition(" row ")[2].split(",")[0]
    return int(digits) if digits.isdigit() else 0


def read_sheet(path: Path) -> Sheet:
    """Raises NotFound, or BadInput for what is no sheet at all."""
    if not path.is_file():
        found = "there is no such file"
        raise NotFound(
            Problem(
                "path-missing", str(path), found, f"allowed: a CSV file with the columns {COLUMNS}", "look at the path"
            )
        )
    try:
        large = path.stat().st_size > LARGEST_SHEET
        sheet = None if large else read_csv(path, TallyRow)
    except OSError as error:
        found = f"the file cannot be read ({error.strerror})"
        raise BadInput(Problem("path-unreadable", str(path), found, "allowed: a file that you may read")) from None
    if sheet is None:
        raise BadInput(
            Problem("tally-large", str(path), "the file is over 5 MB", "allowed: a day's tally", "split it by days")
        )
    if not sheet.columns:
        raise BadInput(sheet.problems or [nothing_in(path)])
    if not len(sheet) and not sheet.problems:
        raise BadInput(nothing_in(path))
    return sheet


def nothing_in(path: Path) -> Problem:
    return Problem("sheet-empty", path.name, "there is no row in it", f"such as: {EXAMPLE.splitlines()[2]}")


def told_by(sheet: Sheet, usual: Told) -> tuple[list[Told], list[Problem]]:
    """What each row says; rows with a cell that cannot be read are left out, their problems kept."""
    told: list[Told] = []
    problems = list(sheet.problems)
    for index in range(len(sheet)):
        row = {name: values[index] for name, values in sheet.columns.items()}
        if UNREADABLE in row.values() or not row.get("mould"):
            continue
        try:
            told.append(told_in(row, sheet.where(index), usual))
        except BadInput as error:
            problems += error.problems
    return told, problems


def told_in(row: dict[str, Any], where: str, usual: Told) -> Told:
    """Raises BadInput: good and bad at once, a count told twice, nothing told, an impression that is none."""
    counts = {name: row.get(name.replace(" ", "_")) or 0 for name in FLAGS}
    castings, disposition = row.get("castings"), row.get("disposition")
    if (castings or disposition) and any(counts.values()):
        found = "castings and disposition say the same as scrap, rework, use_as_is and undecided"
        raise BadInput(Problem("told-twice", where, found, "allowed: one way or the other in a row"))
    if castings or disposition:
        counts[disposition or "undecided"] = castings or 1
    impressions = tuple(impressions_in(row.get("impression") or "", where))
    if castings is None and len(impressions) > 1 and disposition:
        counts[disposition] = len(impressions)
    good = bool(row.get("good"))
    bad = any(counts.values()) or impressions or row.get("defect") or row.get("seen")
    if good and bad:
        raise BadInput(Problem("good-and-bad", where, "the row says good, and something bad as well", "one of the two"))
    if not good and not bad:
        found = f"nothing is told of {row['mould']}"
        raise BadInput(Problem("nothing-told", where, found, "needed: good, or a count, an impression, defect or seen"))
    found_at = row.get("found_at")
    return Told(
        moulds=row["mould"],
        good=good,
        counts={name: number for name, number in counts.items() if number},
        impressions=impressions,
        defect=row.get("defect") or "",
        seen=row.get("seen") or "",
        place=row.get("place") or "",
        found=row.get("found") or usual.found,
        found_at=datetime.fromisoformat(found_at) if found_at else usual.found_at,
        by=row.get("by") or usual.by,
        note=row.get("note") or usual.note,
        secondary=bool(row.get("secondary")),
        where=where,
    )


def impressions_in(typed: str, where: str) -> Iterator[int]:
    """ "3", "3,4" or "3 4". Raises BadInput."""
    for part in typed.replace(",", " ").replace(";", " ").replace("+", " ").split():
        if not (part.isascii() and part.isdigit() and 1 <= int(part) <= 500):
            allowed = "allowed: a whole number from 1 to 500, or several: 3,4"
            raise BadInput(Problem("not-a-count", where, f"{part!r} is not an impression", allowed))
        yield int(part)


def token_of(sheet: Sheet) -> str:
    """The same for the same rows in the same order, however the file is named or its cells are separated."""
    digest = hashlib.sha256()
    for name in sorted(sheet.columns):
        digest.update(repr((name, sheet.columns[name])).encode("utf-8", "surrogateescape"))
    return f"tally-{digest.hexdigest()[:32]}"
