"""python -m tests.bench.bench_review --moulds 1000000: a month's review beside the one SQL statement that it needs.

Ten years of an invented shop with 500 patterns. The statement counts moulds, castings and scrap by pattern and month
over the month and its past, out of the records themselves. Both are timed in turn, so that a busy machine slows both;
the middle times and their ratio are printed. Nothing is asserted here.
"""

import argparse
import statistics
import tempfile
import time
from collections.abc import Callable, Iterator, Sequence
from datetime import date, datetime, timedelta
from pathlib import Path
from random import Random

from defectlog.book.acts import Act, writing
from defectlog.book.ledgers import month_ledger, window
from defectlog.book.open import open_book
from defectlog.book.tables import table_of
from defectlog.dates import month_after
from defectlog.jobs.review import review_of
from defectlog.jobs.rules import the_rules
from defectlog.records.cells import moment_text
from defectlog.records.fields import fields_of
from defectlog.records.kinds import Finding, Mould, Pattern
from defectlog.review.month import review_month
from defectlog.review.month_json import month_as_json
from defectlog.review.usual import LOOK_BACK_MONTHS, month_before

PATTERNS, YEARS, PATTERNS_A_DAY = 500, 10, 20
LAST_DAY, REVIEWED = date(2026, 3, 31), date(2026, 3, 1)
DEFECTS = ("gas-holes", "misrun", "sand-inclusion", "shrinkage-cavity", "dross", "cold-shut", "sticker")
BAD_ONE_IN = 16
DAYS_AN_ACT = 250

NEEDED = """
SELECT m.pattern, substr(m.cast_at, 1, 7) AS month,
    count(*), sum(m.castings_in_it), sum(m.castings_in_it * m.castings_in_it),
    sum(f.scrapped > 0), sum(f.scrapped), sum(f.scrapped * f.scrapped), sum(f.scrapped * m.castings_in_it)
FROM mould m LEFT JOIN (
    SELECT mould_id, sum(iif(disposition = 'scrap', coalesce(castings, 1), 0)) AS scrapped
    FROM finding WHERE withdrawn_by IS NULL AND coalesce("primary", 1) = 1 GROUP BY mould_id
) f ON f.mould_id = m.id
WHERE m.counted = 1 AND m.cast_at >= ? AND m.cast_at < ? GROUP BY m.pattern, month
"""


def main(arguments: Sequence[str] | None = None) -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--moulds", type=int, default=1_000_000)
    parser.add_argument("--runs", type=int, default=9, help="pairs of runs")
    parser.add_argument("--book", type=Path, help="keep the book here, and use it when it is there")
    asked = parser.parse_args(arguments)
    with tempfile.TemporaryDirectory() as folder:
        place = asked.book or Path(folder) / "shop.db"
        if not place.exists():
            began = time.perf_counter()
            make_book(place, asked.moulds)
            print(f"{asked.moulds} moulds written in {time.perf_counter() - began:.0f} s")
        measure(place, asked.runs)


def measure(place: Path, runs: int) -> None:
    rules = the_rules(place)
    span = window(month_before(REVIEWED, LOOK_BACK_MONTHS), month_after(REVIEWED))
    with open_book(place, read_only=True) as book:
        ledger = month_ledger(book, REVIEWED)
        steps: dict[str, Callable[[], object]] = {
            "the one statement": lambda: book.rows(NEEDED, span),
            "its ledger from the book": lambda: month_ledger(book, REVIEWED),
            "the reckoning alone": lambda: month_as_json(review_month(ledger)),
            "the whole review": lambda: month_as_json(review_of(book, rules, REVIEWED).review),
        }
        times: dict[str, list[float]] = {name: [] for name in steps}
        for _ in range(runs):
            for name, step in steps.items():
                times[name].append(seconds(step))
    floor = times["the one statement"]
    for name, taken in times.items():
        ratio = statistics.median(one / other for one, other in zip(taken, floor, strict=True))
        print(f"{name:26s} {1000 * statistics.median(taken):6.0f} ms, {ratio:.2f} times the statement")


def seconds(step: Callable[[], object]) -> float:
    began = time.perf_counter()
    step()
    return time.perf_counter() - began


def make_book(place: Path, moulds: int) -> None:
    """Working days of ten years, each with a score of patterns in it; the same every time."""
    chance = Random(20260331)
    days = [day for day in all_days() if day.weekday() < 5]
    a_day = -(-moulds // len(days))
    with open_book(place) as book:
        book.connection.execute("PRAGMA synchronous = off")  # nothing of this is worth waiting for a disc
        with writing(book, "cards") as act:
            for number in range(1, PATTERNS + 1):
                act.add(Pattern(pattern=f"P-{number}", impressions=1 + number % 6, casting_kg=0.5, poured_kg=4.0))
        for first in range(0, len(days), DAYS_AN_ACT):
            with writing(book, f"days from {first}") as act:
                fill(act, days[first : first + DAYS_AN_ACT], a_day, first * a_day, chance)
        book.connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")


def all_days() -> Iterator[date]:
    day = date(LAST_DAY.year - YEARS, LAST_DAY.month, LAST_DAY.day) + timedelta(days=1)
    while day <= LAST_DAY:
        yield day
        day += timedelta(days=1)


def fill(act: Act, days: Sequence[date], a_day: int, before: int, chance: Random) -> None:
    rows = []
    for place, day in enumerate(days):
        patterns = chance.sample(range(1, PATTERNS + 1), PATTERNS_A_DAY)
        for number in range(a_day):
            poured = datetime.combine(day, datetime.min.time()) + timedelta(minutes=420 + number * 600 // a_day)
            rows.append(
                {
                    "mould": f"M-{before + place * a_day + number + 1}",
                    "pattern": f"P-{patterns[number * PATTERNS_A_DAY // a_day]}",
                    "poured_at": moment_text(poured),
                    "outcome": "poured",
                }
            )
    written = add(act, Mould, rows)
    bad = [row for row in written if chance.randrange(BAD_ONE_IN) == 0]
    add(act, Finding, [finding(row, chance) for row in bad])


def finding(mould: int, chance: Random) -> dict[str, object]:
    return {
        "mould": mould,
        "castings": 1,
        "impression": 1,
        "defect": chance.choice(DEFECTS),
        "disposition": "scrap",
        "found": "shakeout",
        "primary": 1,
    }


def add(act: Act, kind: type, rows: Sequence[dict[str, object]]) -> range:
    names = [spec.name for spec in fields_of(kind)]
    return act.add_rows(table_of(kind), [[row.get(name) for name in names] for row in rows])


if __name__ == "__main__":
    main()
