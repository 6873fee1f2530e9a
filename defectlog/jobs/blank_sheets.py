"""Blank sheets for this shop: its own words for what it sees most, and a tally for every plate in use."""

from collections.abc import Sequence
from datetime import date, timedelta
from pathlib import Path

from defectlog.book.learned import learned
from defectlog.book.open import Book
from defectlog.book.records import find, resolve
from defectlog.errors import BadInput, Problem
from defectlog.jobs.commonest import commonest_defects, places, shown_name
from defectlog.jobs.files import write_file
from defectlog.records.kinds import Pattern
from defectlog.report.blank_sheets import BlankTally, blank_sheets
from defectlog.rulebase.shapes import RuleBase

IN_USE = timedelta(days=92)
MOST_TALLIES = 12
MOST_WORDS = 9
PATTERNS_IN_USE = """
SELECT pattern FROM mould WHERE withdrawn_by IS NULL AND coalesce(cast_at, made_at) >= ?
GROUP BY pattern ORDER BY count(*) DESC, pattern LIMIT ?
"""


def write_blank_sheets(
    book: Book, rules: RuleBase, folder: Path, *, today: date, patterns: Sequence[str] = (), units: str = "metric"
) -> tuple[Path, ...]:
    """The sheets as pages in `folder`, made where it is not; the files written. A tally for the plates in use in the
    last quarter of a year, or for `patterns`. Raises BadInput when one of them is there already; then none is written.
    """
    pages = blank_sheets(tallies_for(book, rules, today, patterns), units)
    there = [name for name in pages if (folder / name).exists()]
    if there:
        found, step = f"{there[0]} is there already", "type another folder"
        raise BadInput(Problem("file-there", str(folder), found, "allowed: a folder without these sheets", step))
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        found, step = f"it cannot be made ({error.strerror})", "type another folder"
        raise BadInput(
            Problem("file-not-written", str(folder), found, "allowed: a folder you may write in", step)
        ) from None
    for name, page in pages.items():
        write_file(str(folder / name), page.encode("utf-8"), str(folder))
    return tuple(folder / name for name in pages)


def tallies_for(book: Book, rules: RuleBase, today: date, patterns: Sequence[str]) -> list[BlankTally]:
    """One for any plate, then one a pattern."""
    named = [resolve(book, Pattern, typed).name for typed in patterns]
    if not named:
        named = [row[0] for row in book.rows(PATTERNS_IN_USE, ((today - IN_USE).isoformat(), MOST_TALLIES))]
    shop_words = learned(book)
    where = tuple(choice.shown for choice in places(rules))
    usual = sorted(rules.defects.values(), key=lambda item: (item.status != "in force", -item.usual, item.id))
    words = tuple(shown_name(item.id, rules, shop_words) for item in usual[:MOST_WORDS])
    return [BlankTally("", "", None, words, where), *(tally_for(book, rules, name, today, where) for name in named)]


def tally_for(book: Book, rules: RuleBase, pattern: str, today: date, where: tuple[str, ...]) -> BlankTally:
    card = find(book, Pattern, pattern=pattern)[-1].record
    words = tuple(choice.shown for choice in commonest_defects(book, rules, pattern, today))
    return BlankTally(pattern, card.name or "", card.impressions, words, where)
