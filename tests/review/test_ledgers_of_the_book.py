"""What the book counts for the review is what counting the records one by one gives. All shops here are invented."""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import replace
from datetime import date, datetime, timedelta
from pathlib import Path

import numpy as np
import pytest

from defectlog.book.acts import writing
from defectlog.book.ledgers import charges, month_ledger, mould_tallies, pattern_months
from defectlog.book.open import Book, open_book
from defectlog.records.counts import count_mould
from defectlog.records.kinds import DISPOSITIONS, FOUND, Finding, Mould, Pattern, Record, Remedy
from defectlog.records.ledgers import MarkedChange, PatternMonth
from defectlog.review.month import review_month
from tests.review.months import MARCH

MARCH_9, APRIL_2 = datetime(2026, 3, 9, 10), datetime(2026, 4, 2, 15)
CARDS = (
    Pattern(pattern="P-104", impressions=4, casting_kg=0.5, poured_kg=4.0),
    Pattern(pattern="P-7", impressions=2, poured_kg=3.0),
)


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Book]:
    with open_book(tmp_path / "book.db") as book:
        yield book


def write(book: Book, records: Iterable[Record]) -> None:
    with writing(book, "test") as act:
        for record in records:
            act.add(record)


def test_a_mould_and_its_findings_become_counts_and_charges(book: Book) -> None:
    write(
        book,
        [
            *CARDS,
            Mould(mould="M-1", pattern="P-104", poured_at=MARCH_9),
            Mould(mould="M-2", pattern="P-104", poured_at=MARCH_9, castings=3),
            Finding(mould="M-1", defect="gas holes", disposition="scrap", castings=2, impression=3, place="cope-face"),
            Finding(mould="M-1", defect="flash", disposition="scrap", primary=False),
            Finding(mould="M-2", seen="ragged hole", disposition="rework", found="machining", found_at=APRIL_2),
            Finding(mould="M-2", defect="flash"),
        ],
    )
    ledger = month_ledger(book, MARCH, defect_of=lambda written: {"gas holes": "gas-holes"}.get(written, ""))
    assert ledger.months == (
        PatternMonth(
            "P-104", MARCH, 2, 1, 7, 2, 1, 0, 1, castings_squared=25, scrapped_squared=4, scrapped_by_castings=8
        ),
    )
    first, reworked, open_still = ledger.charges
    assert (first.defect, first.castings, first.impression, first.impressions) == ("gas-holes", 2, 3, 4)
    assert (first.kg_each, first.poured_kg_each, first.found_on_known) == (0.5, 1.0, False)
    assert (reworked.defect, reworked.found_on, reworked.found) == ("", APRIL_2.date(), "machining")
    assert (open_still.defect, open_still.disposition) == ("flash", "undecided")
    assert [(metal.casting_kg, metal.poured_kg) for metal in ledger.metal] == [(3.5, 8.0)]


def test_a_late_find_belongs_to_the_month_cast_and_shows_in_the_month_found(book: Book) -> None:
    may_late = Finding(mould="M-1", defect="sink", disposition="scrap", found="customer", found_at=APRIL_2)
    write(book, [*CARDS, Mould(mould="M-1", pattern="P-104", poured_at=MARCH_9), may_late])
    april = month_ledger(book, date(2026, 4, 1))
    assert [row.month for row in april.months] == [MARCH]
    assert review_month(april).counts.scrapped == 0
    assert review_month(april, by="found").counts.scrapped == 1
    assert review_month(month_ledger(book, MARCH)).counts.scrapped == 1


def test_trials_lost_moulds_and_undated_ones_are_kept_out_and_counted(book: Book) -> None:
    write(
        book,
        [
            *CARDS,
            Mould(mould="M-1", pattern="P-104", poured_at=MARCH_9, trial=True),
            Mould(mould="M-2", pattern="P-104", made_at=MARCH_9, outcome="lost before pouring"),
            Mould(mould="M-3", pattern="P-104", outcome="poured"),
            Mould(mould="M-4", pattern="P-104", made_at=MARCH_9),
            Finding(mould="M-1", defect="sink", disposition="scrap"),
        ],
    )
    ledger = month_ledger(book, MARCH)
    assert (len(ledger.months), len(ledger.charges)) == (0, 0)
    assert (ledger.trials, ledger.lost_before_pouring, ledger.undated) == (1, 1, 1)


def test_an_unknown_weight_is_none_and_never_nothing(book: Book) -> None:
    mould = Mould(mould="M-1", pattern="P-7", poured_at=MARCH_9)
    write(book, [*CARDS, mould, Finding(mould="M-1", defect="sink", disposition="scrap")])
    ledger = month_ledger(book, MARCH)
    assert (ledger.metal[0].casting_kg, ledger.metal[0].poured_kg) == (None, 3.0)
    assert ledger.charges[0].kg_each is None
    assert review_month(ledger).kg.total is None


def test_more_castings_charged_than_poured_is_reported_by_mould(book: Book) -> None:
    too_many = [Finding(mould="M-1", defect=d, disposition="scrap", castings=3) for d in ("sink", "misrun")]
    write(book, [*CARDS, Mould(mould="M-1", pattern="P-104", poured_at=MARCH_9), *too_many])
    (found,) = month_ledger(book, MARCH).out_of_balance
    assert (found.mould, found.castings, found.charged) == ("M-1", 4, 6)


def test_a_remedy_has_its_moulds_before_and_since_split_at_the_mould_it_began_with(book: Book) -> None:
    moulds = [Mould(mould=f"M-{n}", pattern="P-104", poured_at=MARCH_9) for n in range(1, 9)]
    bad = [Finding(mould=f"M-{n}", defect="Sink", disposition="rework") for n in (1, 2, 3, 6)]
    remedy = Remedy(pattern="P-104", defect="sink", change="chill", from_mould="M-5", check_castings=40)
    write(book, [*CARDS, *moulds, *bad, remedy])
    (tally,) = month_ledger(book, MARCH, defect_of=str.lower).remedies
    assert (tally.before.moulds, tally.before.bad_moulds, tally.before.castings) == (4, 3, 16)
    assert (tally.after.moulds, tally.after.bad_moulds, tally.after.bad_castings) == (4, 1, 1)
    assert tally.started == MARCH_9.date()


def test_only_a_remedy_that_worked_marks_a_change_and_old_decided_ones_are_let_go(book: Book) -> None:
    sink = Remedy(pattern="P-104", defect="sink", change="")
    write(
        book,
        [
            *CARDS,
            Mould(mould="M-1", pattern="P-104", outcome="poured"),
            replace(sink, change="old and good", from_date=date(2025, 2, 3), verdict="worked"),
            replace(sink, change="no use", from_date=date(2026, 1, 12), verdict="no effect seen"),
            replace(sink, change="open for long", from_date=date(2025, 1, 8)),
            replace(sink, change="no day", from_mould="M-1"),
            replace(sink, change="still to come", from_date=date(2026, 4, 1)),
        ],
    )
    ledger = month_ledger(book, MARCH)
    assert ledger.changes == (MarkedChange("P-104", date(2025, 2, 3), "old and good"),)
    watched = ["old and good", "no use", "open for long", "no day"]
    assert [tally.remedy.change for tally in ledger.remedies] == watched
    shown = [row.tally.remedy.change for row in review_month(ledger).remedies]
    assert sorted(shown) == ["no day", "no use", "open for long"]


def test_what_is_withdrawn_does_not_count(book: Book) -> None:
    write(book, [*CARDS, Mould(mould="M-1", pattern="P-104", poured_at=MARCH_9)])
    with writing(book, "test") as act:
        row = act.add(Finding(mould="M-1", defect="sink", disposition="scrap"))
    with writing(book, "test") as act:
        act.withdraw(Finding, row)
    assert review_month(month_ledger(book, MARCH)).counts.scrapped == 0


def invented_records(seed: int) -> tuple[list[Mould], list[Finding]]:
    dice = np.random.default_rng(seed)
    moulds, findings = [], []
    for number in range(120):
        when = datetime(2026, 1, 1) + timedelta(hours=int(dice.integers(0, 24 * 120)))
        pattern = CARDS[int(dice.integers(2))]
        trial = True if dice.random() < 0.1 else None
        moulds.append(Mould(mould=f"M-{number}", pattern=pattern.pattern, poured_at=when, trial=trial))
        findings += [
            Finding(
                mould=f"M-{number}",
                defect=str(dice.choice(["sink", "misrun"])),
                castings=[None, 1, 2][int(dice.integers(3))],
                disposition=[None, *DISPOSITIONS][int(dice.integers(5))],
                found=[None, *FOUND][int(dice.integers(7))],
                found_at=when + timedelta(days=int(dice.integers(0, 50))) if dice.random() < 0.7 else None,
                primary=[None, True, False][int(dice.integers(3))],
            )
            for _ in range(int(dice.integers(3)))
        ]
    return moulds, findings


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_the_books_counts_are_those_of_the_records_one_by_one(book: Book, seed: int) -> None:
    moulds, findings = invented_records(seed)
    write(book, [*CARDS, *moulds, *findings])
    of_mould: dict[str, list[Finding]] = defaultdict(list)
    for finding in findings:
        of_mould[finding.mould].append(finding)
    expected: dict[tuple[str, date], list[int]] = defaultdict(lambda: [0] * 7)
    for mould in moulds:
        if mould.trial or mould.poured_at is None:
            continue
        count = count_mould(4 if mould.pattern == "P-104" else 2, of_mould[mould.mould])
        row = expected[mould.pattern, mould.poured_at.date().replace(day=1)]
        parts = (
            1,
            count.scrapped > 0,
            count.castings,
            count.scrapped,
            count.reworked,
            count.used_as_is,
            count.undecided,
        )
        for at, number in enumerate(parts):
            row[at] += number
    found = {
        (row.pattern, row.month): [
            *(row.moulds, row.moulds_with_scrap, row.castings),
            *(row.scrapped, row.reworked, row.used_as_is, row.undecided),
        ]
        for row in pattern_months(book, date(2026, 1, 1), date(2026, 6, 1))
    }
    assert found == expected
    tallies = [*mould_tallies(book, "P-104", date(2026, 1, 1), date(2026, 6, 1))]
    assert sum(t.scrapped for t in tallies) == sum(row[3] for key, row in expected.items() if key[0] == "P-104")
    assert [t.cast_at for t in tallies] == sorted(t.cast_at for t in tallies)


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_charges_and_counts_of_a_month_tie(book: Book, seed: int) -> None:
    moulds, findings = invented_records(seed)
    write(book, [*CARDS, *moulds, *findings])
    review = review_month(month_ledger(book, MARCH))
    assert review.counts.scrapped == sum(row.castings for row in review.defects) == sum(review.found.values())
    every = charges(book, date(2026, 1, 1), date(2026, 12, 1))
    months = [review_month(month_ledger(book, date(2026, month, 1)), by="found") for month in range(1, 8)]
    assert sum(month.counts.scrapped for month in months) == sum(c.castings for c in every if c.disposition == "scrap")
