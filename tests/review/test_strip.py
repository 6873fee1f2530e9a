"""The strip: a day's middle, lowest and highest reading with how many are on record, beside the day's scrap."""

from collections.abc import Iterator
from datetime import date, datetime
from pathlib import Path

import pytest

from defectlog.book.acts import writing
from defectlog.book.open import Book, open_book
from defectlog.book.strips import strip_ledger
from defectlog.records.kinds import Finding, Heat, Mould, Pattern, Sand
from defectlog.records.ledgers import ReadingDay, ScrapDay, StripLedger
from defectlog.review.not_enough import reading_gaps
from defectlog.review.strip import strip_of
from tests.review.months import MARCH

MONDAY, TUESDAY, WEDNESDAY = date(2026, 3, 2), date(2026, 3, 3), date(2026, 3, 4)


def small_strip() -> StripLedger:
    """Three days; the second has the scrap. The moisture of the third is not on record."""
    return StripLedger(
        scrap=(ScrapDay(MONDAY, 5, 0, 20, 0), ScrapDay(TUESDAY, 5, 2, 20, 3), ScrapDay(WEDNESDAY, 5, 0, 20, 0)),
        readings=(
            ReadingDay("moisture_pct", MONDAY, 2, (3.4, 3.6)),
            ReadingDay("moisture_pct", TUESDAY, 3, (5.0, 4.8, 5.6)),
            ReadingDay("moisture_pct", WEDNESDAY, 2, ()),
            ReadingDay("gfn", MONDAY, 2, ()),
        ),
        unit_of={"moisture_pct": "sand", "gfn": "sand"},
    )


def test_a_day_is_told_by_its_lowest_middle_and_highest() -> None:
    strip = strip_of(small_strip())
    (moisture,) = strip.rows
    days = [(day.low, day.middle, day.high, day.on_record, day.units) for day in moisture.days]
    assert days == [(3.4, 3.5, 3.6, 2, 2), (4.8, 5.0, 5.6, 3, 3), (None, None, None, 0, 2)]
    assert (moisture.low, moisture.middle, moisture.high) == (3.4, 4.8, 5.6)
    assert (moisture.on_record, moisture.units) == (5, 7)
    assert strip.missing == ("gfn",)


def test_the_days_with_more_scrap_than_most_stand_against_the_others() -> None:
    strip = strip_of(small_strip())
    assert strip.bad_days == {TUESDAY}
    assert strip.middles(strip.rows[0]) == (5.0, 3.5)


def test_days_all_alike_have_no_bad_ones() -> None:
    even = StripLedger((ScrapDay(MONDAY, 5, 1, 20, 1), ScrapDay(TUESDAY, 5, 1, 20, 1)), (), {})
    assert strip_of(even).bad_days == frozenset()
    assert strip_of(StripLedger((), (), {})).scrap == ()


def test_a_reading_seldom_on_record_is_a_gap() -> None:
    ledger = StripLedger((), (ReadingDay("moisture_pct", MONDAY, 5, (3.0, 3.2)),), {"moisture_pct": "sand"})
    (gap,) = reading_gaps(strip_of(ledger))
    assert (gap.what, gap.on_record, gap.of) == ("moisture_pct", 2, 5)
    assert reading_gaps(strip_of(small_strip())) == ()


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Book]:
    """Two patterns; P-7's mould was made of the wetter sand. One batch no mould names; one trial."""
    with open_book(tmp_path / "shop.db") as book:
        with writing(book, "test") as act:
            act.add(Pattern(pattern="P-104", impressions=4))
            act.add(Pattern(pattern="P-7", impressions=1))
            for name, moisture in (("S-1", 3.5), ("S-2", 5.5), ("S-3", 4.0)):
                act.add(Sand(sand=name, mixed_at=datetime(2026, 3, 2, 6), moisture_pct=moisture))
            act.add(Heat(heat="H-1", melted_at=datetime(2026, 3, 2, 8), melt_c=760.0))
            morning = datetime(2026, 3, 2, 10)
            act.add(Mould(mould="M-1", pattern="P-104", sand="S-1", heat="H-1", poured_at=morning, pour_c=720.0))
            act.add(Mould(mould="M-2", pattern="P-104", sand="S-1", heat="H-1", poured_at=morning))
            act.add(Mould(mould="M-3", pattern="P-7", sand="S-2", poured_at=morning, pour_c=700.0))
            act.add(Mould(mould="M-4", pattern="P-7", poured_at=morning, pour_c=100.0, trial=True))
            act.add(Finding(mould="M-1", defect="dross", castings=2, disposition="scrap"))
            act.add(Finding(mould="M-2", defect="dross", disposition="rework"))
        yield book


def readings(book: Book, pattern: str = "") -> dict[str, tuple[int, tuple[float, ...]]]:
    found = strip_ledger(book, MARCH, pattern).readings
    return {item.reading: (item.units, tuple(sorted(item.values))) for item in found}


def test_the_shops_strip_has_every_batch_and_heat_of_the_month(book: Book) -> None:
    found = readings(book)
    assert found["moisture_pct"] == (3, (3.5, 4.0, 5.5))
    assert found["melt_c"] == (1, (760.0,))
    assert found["pour_c"] == (3, (700.0, 720.0))
    assert strip_ledger(book, MARCH).scrap == (ScrapDay(MONDAY, 3, 1, 9, 2),)


def test_a_patterns_strip_has_the_batches_and_heats_of_its_moulds_once(book: Book) -> None:
    found = readings(book, "P-104")
    assert found["moisture_pct"] == (1, (3.5,))
    assert found["pour_c"] == (2, (720.0,))
    assert readings(book, "P-7")["moisture_pct"] == (1, (5.5,))
    assert strip_ledger(book, MARCH, "P-7").scrap == (ScrapDay(MONDAY, 1, 0, 1, 0),)


def test_another_month_has_nothing(book: Book) -> None:
    empty = strip_ledger(book, date(2026, 4, 1))
    assert (empty.scrap, empty.readings) == ((), ())
