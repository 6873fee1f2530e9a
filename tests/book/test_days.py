"""The sums by day and month are what a plain count of the records says, whatever was done in whatever order."""

import sqlite3
from datetime import date, datetime, timedelta
from random import Random

import pytest

from defectlog.book.acts import writing
from defectlog.book.checking import check_book
from defectlog.book.days import MOST_DAYS, SUMS, count_anew, defect_days, sums_that_differ
from defectlog.book.histories import shop_usual
from defectlog.book.records import find
from defectlog.book.soundness import file_problems
from defectlog.book.undo import undo
from defectlog.errors import BadInput
from defectlog.records.kinds import DISPOSITIONS, Finding, Mould, Pattern

DAY = datetime(2026, 3, 2, 11)


def rows(book, sql):
    return sorted(book.rows(sql))


def agree(book):
    for name, sql in SUMS.items():
        assert rows(book, f"SELECT * FROM {name}") == rows(book, sql), name


def start(book):
    with writing(book, "start") as act:
        for number in (1, 2, 3):
            act.add(Pattern(pattern=f"P-{number}", impressions=number))


def anything(chance, act):
    """One thing that people do, at random."""
    moulds = [stored.record.mould for stored in find(act.book, Mould)]
    found = [stored.row for stored in find(act.book, Finding)]
    moment = DAY + timedelta(days=chance.choice([0, 1, 40]))
    pattern = f"P-{1 + chance.randrange(3)}"
    what = chance.randrange(10)
    if what < 3 or not moulds:
        at = {"poured_at": moment} if chance.random() < 0.7 else {"made_at": moment}
        outcome = chance.choice([None, "poured", "lost before pouring"])
        act.add(Mould(mould=f"M-{chance.randrange(10**9)}", pattern=pattern, outcome=outcome, **at))
    elif what < 6:
        act.add(
            Finding(
                mould=chance.choice(moulds),
                defect=chance.choice([None, "misrun", "dross"]),
                seen="x",
                castings=chance.choice([None, 1, 2]),
                disposition=chance.choice([None, *DISPOSITIONS]),
                primary=chance.choice([None, True, False]),
            )
        )
    elif what == 6:
        field, value = chance.choice(
            [("pattern", pattern), ("poured_at", moment), ("poured_at", None), ("trial", True), ("castings", 9)]
        )
        act.amend(Mould, chance.choice(moulds), {field: value})
    elif what == 7:
        act.amend(Pattern, pattern, {"impressions": 1 + chance.randrange(5)})
    elif found:
        row = chance.choice(found)
        if what == 8:
            change = chance.choice(
                [
                    {"mould": chance.choice(moulds)},
                    {"defect": "misrun"},
                    {"castings": 3},
                    {"disposition": chance.choice(DISPOSITIONS), "primary": chance.choice([None, True, False])},
                ]
            )
            act.amend(Finding, row, change)
        else:
            act.withdraw(Finding, row)


@pytest.mark.parametrize("seed", range(4))
def test_the_sums_follow_whatever_is_done(book, seed):
    """The reference is the plain SQL over the records, run after every act."""
    start(book)
    chance = Random(seed)
    undone = 0
    for step in range(60):
        if step % 7 == 6:
            try:
                undo(book)
                undone += 1
            except BadInput:
                continue
        else:
            with writing(book, f"step {step}") as act:
                for _ in range(1 + chance.randrange(3)):
                    anything(chance, act)
        agree(book)
    assert undone > 0
    assert book.value("SELECT count(*) FROM day_bad") > 0
    assert book.value("SELECT count(*) FROM month_became") > 1
    assert file_problems(book) == []


def test_sums_that_were_meddled_with_are_found_and_counted_anew(book):
    start(book)
    with writing(book, "mould add") as act:
        act.add(Mould(mould="M-1", pattern="P-2", poured_at=DAY))
    with sqlite3.connect(book.path) as stranger:
        stranger.execute("UPDATE day_cast SET moulds = 7")
    stranger.close()
    assert sums_that_differ(book) == ["day_cast"]
    assert [problem.code for problem in check_book(book)] == ["sums-differ"]
    assert check_book(book) == []
    agree(book)


def test_they_can_be_made_again_from_the_records(book):
    start(book)
    with writing(book, "mould add") as act:
        act.add(Mould(mould="M-1", pattern="P-2", poured_at=DAY))
        act.add(Finding(mould="M-1", defect="misrun"))
    book.connection.execute("DELETE FROM day_cast")
    count_anew(book)
    assert book.rows("SELECT * FROM day_cast") == [("2026-03-02", "P-2", 1, 2, 4)]
    assert book.rows("SELECT * FROM day_bad") == [("2026-03-02", "P-2", "misrun", 1)]


def test_of_a_long_span_the_latest_days_are_read(book):
    start(book)
    with writing(book, "import") as act:
        for number in range(MOST_DAYS + 5):
            act.add(Mould(mould=f"M-{number}", pattern="P-1", poured_at=DAY + timedelta(days=number)))
        act.add(Finding(mould="M-7", defect="misrun"))
    days = defect_days(book, ("2000-01-01", "2100-01-01"), ["misrun"])
    assert len(days) == MOST_DAYS
    assert days[0].day == DAY.date() + timedelta(days=5)
    assert [day.bad for day in days[:4]] == [0, 0, 1, 0]


def test_reading_what_is_usual_does_not_read_every_mould(book):
    """The statements of the shop's usual run touch the sums; of moulds only the latest few thousand."""
    start(book)
    said = []
    book.connection.set_trace_callback(said.append)
    usual = shop_usual(book, date(2026, 1, 1), date(2026, 12, 31), readings=["moisture_pct"])
    assert dict(usual.days) == {}
    book.connection.set_trace_callback(None)
    assert said
    assert not [sql for sql in said if "FROM mould" in sql or "FROM finding" in sql]


def test_what_became_of_one_mould_is_read_from_its_own_findings_alone(book):
    """Each finding written asks for it several times; read from all findings, a long import would never end."""
    plan = [row[-1] for row in book.rows("EXPLAIN QUERY PLAN SELECT * FROM mould_became WHERE mould_id = 1")]
    assert any(step.startswith("SEARCH f USING INDEX finding_by_mould") for step in plan)
    assert not any(step.startswith(("SCAN f", "SCAN m ")) for step in plan)
