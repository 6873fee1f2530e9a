"""How often this was seen before on the same pattern, and whether in the same spot: the thanks for logging it."""

from collections import Counter
from collections.abc import Callable, Collection
from datetime import date, timedelta
from typing import TypeVar

from defectlog.book.histories import pattern_history
from defectlog.book.open import Book
from defectlog.report.shakeout_answers import Recurrence

T = TypeVar("T")
DAYS = 30
# A spot is named when it holds at least so many castings and so large a part of those whose spot is on record.
FEWEST_AT_A_SPOT = 2
SHARE_AT_A_SPOT = 0.5


def recurrence(
    book: Book,
    pattern: str,
    defect: str,
    defect_of: Callable[[str], str],
    until: date,
    new_rows: Collection[int],
    *,
    if_so: bool = False,
) -> Recurrence | None:
    """None when none of the new findings counts (trials, moulds without a day).

    `new_rows` are the findings just logged; with `if_so` they are counted as `defect` though it is not on them yet.
    """
    history = pattern_history(book, pattern, until - timedelta(days=DAYS - 1), until, defect_of)
    found = [item for item in history.findings if item.defect == defect or (if_so and item.finding in new_rows)]
    new = sum(item.castings for item in found if item.finding in new_rows)
    if not new:
        return None
    impressions = Counter[int]()
    places = Counter[str]()
    for item in found:
        if item.impression is not None:
            impressions[item.impression] += item.castings
        if item.place:
            places[item.place] += item.castings
    where = spot(impressions)
    impression, there, placed = where
    place = None
    if impression is None:
        by_place = spot(places)
        place, there, placed = by_place
    moulds = len({item.mould for item in found})
    castings = sum(item.castings for item in found)
    return Recurrence(pattern, defect, castings, moulds, new, DAYS, impression, place or "", there, placed, if_so)


def spot(counts: Counter[T]) -> tuple[T | None, int, int]:
    """The spot that holds most, how many there and of how many; None where they wander."""
    placed = counts.total()
    for name, there in counts.most_common(1):
        if there >= FEWEST_AT_A_SPOT and there >= SHARE_AT_A_SPOT * placed:
            return name, there, placed
    return None, 0, placed
