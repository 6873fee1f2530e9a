"""How often before, worked by hand on a handful of castings."""

from collections import Counter
from datetime import date, datetime, timedelta
from pathlib import Path

import pytest

from defectlog.book.acts import writing
from defectlog.book.open import open_book
from defectlog.jobs.recurrence import recurrence, spot
from defectlog.records.kinds import Finding, Mould, Pattern

DAY = date(2026, 3, 31)


@pytest.mark.parametrize(
    ("counts", "found"),
    [
        ({}, (None, 0, 0)),
        ({3: 1}, (None, 0, 1)),
        ({3: 3, 1: 1}, (3, 3, 4)),
        ({3: 2, 1: 2}, (3, 2, 4)),
        ({1: 2, 2: 1, 3: 1, 4: 1}, (None, 0, 5)),
    ],
)
def test_a_spot_is_named_where_half_of_them_are(counts: dict[int, int], found: tuple[int | None, int, int]) -> None:
    name, there, placed = spot(Counter(counts))
    assert (name, there) == found[:2]
    assert placed == found[2] or name is None


def test_only_the_thirty_days_the_pattern_and_poured_moulds_count(tmp_path: Path) -> None:
    """Cast 31 March: counts from 2 March on. Of five moulds one is older, one a trial, one of another pattern."""
    with open_book(tmp_path / "b.db") as book, writing(book, "x") as act:
        act.add(Pattern(pattern="P-1", impressions=4))
        act.add(Pattern(pattern="P-2", impressions=4))
        rows = []
        for name, pattern, back, trial in (
            ("M-1", "P-1", 0, None),
            ("M-2", "P-1", 29, None),
            ("M-3", "P-1", 30, None),
            ("M-4", "P-1", 1, True),
            ("M-5", "P-2", 1, None),
        ):
            moment = datetime(2026, 3, 31, 10) - timedelta(days=back)
            act.add(Mould(mould=name, pattern=pattern, poured_at=moment, trial=trial))
            rows.append(act.add(Finding(mould=name, impression=2, castings=2, defect="misrun", disposition="scrap")))
        found = recurrence(book, "P-1", "misrun", str, DAY, {rows[0]})
        assert found is not None
        assert (found.castings, found.moulds, found.new) == (4, 2, 2)
        assert (found.impression, found.there, found.placed) == (2, 4, 4)
        assert recurrence(book, "P-1", "misrun", str, DAY, {rows[3]}) is None
