"""Undo: after any acts, taking them back one by one shows the book as it stood before each."""

from datetime import date, datetime

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from defectlog.book.acts import writing
from defectlog.book.journal import history, last_acts
from defectlog.book.open import open_book
from defectlog.book.records import count, find, get
from defectlog.book.tables import TABLES, WORKED_OUT, select
from defectlog.book.undo import undo
from defectlog.errors import BadInput
from defectlog.records.kinds import Finding, Heat, Mould, Pattern, Sand

NAMES = st.sampled_from(["1", "2", "3"])
DAYS = st.sampled_from([None, datetime(2026, 3, 9), datetime(2026, 4, 2, 10)])
RECORDS = st.one_of(
    st.builds(
        Pattern,
        pattern=NAMES,
        revision=st.sampled_from([None, "B"]),
        in_force_from=st.sampled_from([None, date(2026, 4, 1)]),
        impressions=st.integers(1, 6),
    ),
    st.builds(Sand, sand=NAMES, mixed_at=st.just(datetime(2026, 3, 9))),
    st.builds(Heat, heat=NAMES, melted_at=st.just(datetime(2026, 3, 9))),
    st.builds(
        Mould,
        mould=NAMES,
        pattern=NAMES,
        sand=st.none() | NAMES,
        heat=st.none() | NAMES,
        revision=st.sampled_from([None, None, "B"]),
        made_at=DAYS,
        castings=st.none() | st.integers(0, 4),
        trial=st.none() | st.booleans(),
    ),
    st.builds(Finding, mould=NAMES, seen=st.sampled_from(["holes", "lump"]), castings=st.none() | st.integers(1, 4)),
)
AMENDMENTS = st.one_of(
    st.tuples(
        st.just(Mould), NAMES, st.fixed_dictionaries({}, optional={"mould": NAMES, "pour_c": st.none() | st.just(7.5)})
    ),
    st.tuples(st.just(Mould), NAMES, st.fixed_dictionaries({"sand": st.none() | NAMES, "made_at": DAYS})),
    st.tuples(st.just(Sand), NAMES, st.fixed_dictionaries({"sand": NAMES})),
    st.tuples(
        st.just(Pattern),
        st.tuples(NAMES, st.sampled_from("AB")),
        st.fixed_dictionaries({"impressions": st.integers(1, 6)}),
    ),
    st.tuples(
        st.just(Pattern),
        st.tuples(NAMES, st.sampled_from("AB")),
        st.fixed_dictionaries({"revision": st.sampled_from([None, "B"])}),
    ),
    st.tuples(st.just(Finding), st.integers(1, 3), st.fixed_dictionaries({"mould": NAMES})),
)
WITHDRAWALS = st.one_of(
    st.tuples(st.sampled_from([Sand, Heat, Mould]), NAMES),
    st.tuples(st.just(Pattern), st.tuples(NAMES, st.sampled_from("AB"))),
    st.tuples(st.just(Finding), st.integers(1, 3)),
)
STEPS = st.lists(st.one_of(st.lists(RECORDS, min_size=1, max_size=4), AMENDMENTS, WITHDRAWALS), max_size=12)


def visible(book):
    """Every live record, with what is worked out beside it."""
    shown = {}
    for table in TABLES:
        extra = ", ".join(f"t.{column}" for column in WORKED_OUT.get(table.name, ()))
        shown[table.name] = book.rows(f"{select(table, extra)} WHERE t.withdrawn_by IS NULL ORDER BY t.id")
    return shown


def do(book, step):
    """One act of one step; False when it was refused or changed nothing."""
    try:
        with writing(book, "step") as act:
            if isinstance(step, list):
                for record in step:
                    act.add(record)
            elif len(step) == 3:
                act.amend(*step)
            else:
                act.withdraw(*step)
    except BadInput:
        return False
    return act.wrote


@settings(max_examples=60, deadline=None)
@given(STEPS)
def test_taking_back_one_act_after_another_shows_what_was_before(tmp_path_factory, steps):
    with open_book(tmp_path_factory.mktemp("book") / "book.db") as book:
        before = []
        for step in steps:
            shown = visible(book)
            if do(book, step):
                before.append((book.value("SELECT max(id) FROM act"), shown))
            else:
                assert visible(book) == shown
        after = visible(book)
        undone = []
        for act, shown in reversed(before):
            done = undo(book)
            assert done.act.id == act
            assert visible(book) == shown
            undone.append(done.by)
        for by in reversed(undone):
            undo(book, by)
        assert visible(book) == after
        assert_journal_is_whole(book)


def assert_journal_is_whole(book):
    """Each row was added by the act that says so; each cell's journal is one unbroken chain to what it holds now."""
    for table in TABLES:
        rows = dict(book.rows(f"SELECT id, added_by FROM {table.name}"))
        runs = book.rows("SELECT act, first_row, last_row FROM added WHERE kind = ?", (table.name,))
        assert rows == {row: act for act, first, last in runs for row in range(first, last + 1)}
        held = {}
        for row, field, was, became in book.rows(
            "SELECT row, field, was, became FROM change WHERE kind = ? ORDER BY id", (table.name,)
        ):
            assert held.get((row, field), was) == was
            assert was != became
            held[row, field] = became
        for (row, field), value in held.items():
            assert book.value(f'SELECT "{field}" FROM {table.name} WHERE id = ?', (row,)) == value


@pytest.fixture
def shop(book):
    with writing(book, "first") as act:
        act.add(Pattern(pattern="P-1", impressions=4))
        act.add(Sand(sand="S-1", mixed_at=datetime(2026, 3, 9, 6)))
    with writing(book, "mould add M-1") as act:
        act.add(Mould(mould="M-1", pattern="P-1", sand="S-1"))
    return book


def refused(book, act):
    with pytest.raises(BadInput) as caught:
        undo(book, act)
    return caught.value.problems


def test_what_later_acts_build_on_is_refused_by_their_names(shop):
    problems = refused(shop, 1)
    assert {problem.code for problem in problems} == {"depended-on"}
    assert "act 2 (mould add M-1) rests on it" in problems[0].found
    assert problems[0].next_step == "defectlog undo 2"


def test_a_record_that_was_amended_since_is_not_withdrawn_under_it(shop):
    with writing(shop, "mould amend M-1") as act:
        act.amend(Mould, "M-1", {"pour_c": 700.0})
    assert "act 3 (mould amend M-1) changed it" in refused(shop, 2)[0].found
    undo(shop, 3)
    undo(shop, 2)
    assert count(shop, Mould) == 0


def test_a_cell_that_was_changed_again_is_not_put_back(shop):
    for value in (700.0, 710.0):
        with writing(shop, f"mould amend M-1 --pour-c {value}") as act:
            act.amend(Mould, "M-1", {"pour_c": value})
    assert "act 4" in refused(shop, 3)[0].found
    assert get(shop, Mould, "M-1").record.pour_c == 710.0


def test_a_name_that_was_given_away_since_is_not_taken_back(shop):
    with writing(shop, "rename") as act:
        act.amend(Mould, "M-1", {"mould": "M-9"})
    with writing(shop, "mould add M-1") as act:
        act.add(Mould(mould="M-1", pattern="P-1"))
    assert "given the name" in refused(shop, 3)[0].found


def test_a_withdrawn_name_can_be_used_again(shop):
    undo(shop)
    with writing(shop, "mould add M-1 anew") as act:
        act.add(Mould(mould="M-1", pattern="P-1", castings=2))
    assert get(shop, Mould, "M-1").record.castings == 2
    assert [entry.what for entry in history(shop, Mould, "M-1")] == ["added", "withdrawn", "added"]


def test_a_bare_undo_goes_further_back_each_time_and_then_says_so(shop):
    assert [undo(shop).act.id, undo(shop).act.id] == [2, 1]
    with pytest.raises(BadInput) as caught:
        undo(shop)
    assert caught.value.problems[0].code == "nothing-to-undo"
    assert find(shop, Pattern) == []
    assert [line.undone_by for line in last_acts(shop)] == [None, None, 3, 4]


def test_an_act_is_undone_once_and_its_undo_can_be_undone(shop):
    first = undo(shop, 2)
    assert refused(shop, 2)[0].code == "undone-already"
    undo(shop, first.by)
    assert count(shop, Mould) == 1
    assert undo(shop).act.id == 2


def test_a_dry_run_tells_what_would_happen(shop):
    done = undo(shop, dry_run=True)
    assert done.lines == ("withdrawn: mould M-1",)
    assert done.by == 0
    assert count(shop, Mould) == 1


def test_an_act_that_is_not_there(shop):
    assert refused(shop, 99)[0].code == "act-unknown"


def test_taking_back_again_with_the_same_token_takes_nothing_more_back(book):
    """A bare undo whose answer was lost, typed again: it must not take back the act before."""
    for name in ("H-1", "H-2"):
        with writing(book, f"heat add {name}") as act:
            act.add(Heat(heat=name, melted_at=datetime(2026, 3, 9)))
    first = undo(book, token="t")
    again = undo(book, token="t")
    assert (again.act.id, again.by, again.lines) == (first.act.id, first.by, ())
    assert [stored.record.heat for stored in find(book, Heat)] == ["H-1"]
