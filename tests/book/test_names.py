"""Moulds named by ranges and runs, and names typed short or misspelt: taken when clear, else the nearest are listed."""

from datetime import datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from defectlog.book.acts import writing
from defectlog.book.names import expand, new_run, next_name
from defectlog.book.records import get, resolve
from defectlog.errors import Ambiguous, BadInput, NotFound
from defectlog.records.kinds import Mould, Pattern, Sand


@pytest.fixture
def shop(book):
    with writing(book, "start") as act:
        act.add(Pattern(pattern="P-104", impressions=4, name="pump bracket"))
        act.add(Pattern(pattern="P-110", impressions=1, name="lamp base"))
        act.add(Sand(sand="S-1", mixed_at=datetime(2026, 3, 9)))
        for name in [*new_run("M-225", 16), "T-099", "T-100", "M-1000"]:
            act.add(Mould(mould=name, pattern="P-104"))
    return book


def test_a_range_is_the_moulds_of_the_book_in_the_order_of_their_numbers(shop):
    found = expand(shop, "M-238..M-242")
    assert found.names == ("M-238", "M-239", "M-240")
    assert found.missing == ("M-241", "M-242")


@pytest.mark.parametrize(
    ("typed", "names"),
    [
        ("M-231", ("M-231",)),
        ("M-231, M-233 M-231", ("M-231", "M-233")),
        ("m-239..240", ("M-239", "M-240")),
        ("M-239 .. M-240 T-099..T-100", ("M-239", "M-240", "T-099", "T-100")),
        ("231", ("M-231",)),
        ("m 231", None),
    ],
)
def test_ways_to_name_moulds(shop, typed, names):
    if names is None:
        with pytest.raises((NotFound, Ambiguous)):
            expand(shop, typed)
    else:
        assert expand(shop, typed).names == names


@pytest.mark.parametrize("typed", ["M-240..M-225", "M-225..T-230", "a..b", "M-1..M-99999", "", ",", ".."])
def test_ranges_that_are_none(shop, typed):
    with pytest.raises(BadInput):
        expand(shop, typed)


def test_a_range_with_nothing_in_it_names_the_nearest(shop):
    with pytest.raises(NotFound, match="M-300 is not in the book"):
        expand(shop, "M-300..M-310")


@given(st.text("MT-", max_size=3), st.integers(0, 10**6), st.integers(1, 50))
def test_a_run_counts_on_and_keeps_its_zeros(prefix, first, count):
    run = new_run(f"{prefix}{first:04d}", count)
    assert len(set(run)) == count
    assert [int(name[len(prefix) :]) for name in run] == list(range(first, first + count))
    assert all(len(name) >= len(prefix) + 4 for name in run)


def test_a_run_that_cannot_begin():
    with pytest.raises(BadInput):
        new_run("first", 3)
    assert new_run("first", 1) == ("first",)


def test_the_next_mould_follows_the_last_written(shop):
    assert next_name(shop) == "M-1001"


@pytest.mark.parametrize(
    ("typed", "name"),
    [("P-104", "P-104"), ("p104", "P-104"), ("104", "P-104"), ("pump braket", "P-104"), ("Lamp Base", "P-110")],
)
def test_one_clear_match_is_taken_and_said(shop, typed, name):
    found = resolve(shop, Pattern, typed)
    assert found.name == name
    assert (found.said == "") == (typed == name)


def test_a_mould_with_another_number_is_never_taken_for_it(shop):
    with pytest.raises(NotFound) as caught:
        get(shop, Mould, "M-999")
    [problem] = caught.value.problems
    assert problem.found == "M-999 is not in the book"
    assert problem.allowed.startswith("nearest: ")
    assert problem.next_step == "to see them: defectlog mould list"
    with pytest.raises(NotFound):
        resolve(shop, Mould, "M-2310")


def test_several_matches_are_listed_and_none_is_taken(shop):
    with writing(shop, "another") as act:
        act.add(Mould(mould="X231", pattern="P-104"))
    with pytest.raises(Ambiguous, match="M-231") as caught:
        resolve(shop, Mould, "231")
    assert "X231" in str(caught.value)


def test_a_name_of_several_cards_needs_its_revision(shop):
    with writing(shop, "B") as act:
        act.add(Pattern(pattern="P-104", revision="B", impressions=6))
    with pytest.raises(Ambiguous, match="on record: A, B"):
        get(shop, Pattern, "P-104")
    assert get(shop, Pattern, ("P-104", "B")).record.impressions == 6
    assert resolve(shop, Pattern, "p-104").name == "P-104"
