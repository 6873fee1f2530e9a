"""One cell of text to a value and back, for every field of every kind."""

from datetime import date, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from defectlog.errors import BadInput
from defectlog.records.cells import folded, parse_cell, write_cell
from defectlog.records.fields import field_of, fields_of
from defectlog.records.kinds import KINDS, Finding, Mould, Pattern, Sand

SPECS = [spec for kind in KINDS for spec in fields_of(kind)]
MOMENTS = st.datetimes(datetime(1900, 1, 1), datetime(2199, 12, 31)).map(lambda moment: moment.replace(microsecond=0))


def values_of(spec):
    """Every value that a record may hold in a field."""
    if spec.holds == "number":
        return st.floats(spec.least if spec.least is not None else -1e9, spec.most if spec.most is not None else 1e9)
    if spec.holds == "count":
        return st.integers(int(spec.least or 0), int(spec.most or 10**9))
    if spec.holds == "yes_no":
        return st.booleans()
    if spec.holds == "choice":
        return st.sampled_from(spec.choices)
    if spec.holds == "moment":
        return MOMENTS
    if spec.holds == "day":
        return st.dates(date(1900, 1, 1), date(2199, 12, 31))
    return st.text(st.characters(codec="utf-8", exclude_categories=["Cc"])).map(str.strip).filter(bool)


@given(st.sampled_from(SPECS).flatmap(lambda spec: st.tuples(st.just(spec), values_of(spec))))
def test_what_is_written_reads_back(pair):
    spec, value = pair
    assert parse_cell(spec, write_cell(spec, value)) == value


@given(st.sampled_from(SPECS), st.text())
def test_any_text_is_a_value_or_one_plain_refusal(spec, text):
    """Nothing but BadInput comes out, and what is taken stays the same when it is written and read again."""
    try:
        value = parse_cell(spec, text, "here")
    except BadInput as error:
        assert all(problem.where == "here" and problem.found for problem in error.problems)
        return
    assert parse_cell(spec, write_cell(spec, value)) == value or (value is None and not spec.required)


@pytest.mark.parametrize(
    ("kind", "name", "text", "value"),
    [
        (Mould, "pour_c", "1330 F", 721.1111),
        (Mould, "pour_c", " 720,5 ", 720.5),
        (Mould, "pour_c", "", None),
        (Mould, "vented", "Y", True),
        (Mould, "vented", "no", False),
        (Mould, "outcome", "Lost-Before Pouring", "lost before pouring"),
        (Mould, "castings", "4.0", 4),
        (Finding, "disposition", "Use As Is", "use as is"),
        (Pattern, "in_force_from", "2026-03-09", date(2026, 3, 9)),
        (Sand, "mixed_at", "2026-03-09 06:30", datetime(2026, 3, 9, 6, 30)),
        (Mould, "note", "a\r\nb", "a\nb"),
        (Mould, "note", "\u202eabc\u200b 🏭", "\u202eabc\u200b 🏭"),
    ],
)
def test_is_taken(kind, name, text, value):
    taken = parse_cell(field_of(kind, name), text)
    assert taken == (pytest.approx(value, rel=1e-6) if isinstance(value, float) else value)


@pytest.mark.parametrize(
    ("kind", "name", "text", "code", "allowed"),
    [
        (Mould, "pour_c", "5000", "impossible", "allowed: a number from 0 °C to 1200 °C"),
        (Mould, "castings", "5,1", "not-a-count", "allowed: a whole number from 0 to 500"),
        (Mould, "castings", "1,000", "not-a-count", "allowed: a whole number from 0 to 500"),
        (Mould, "castings", "-1", "not-a-count", "allowed: a whole number from 0 to 500"),
        (Pattern, "impressions", "0", "impossible", "allowed: a whole number from 1 to 500"),
        (Pattern, "impressions", "", "cell-empty", "needed: castings on the plate"),
        (Mould, "vented", "maybe", "not-yes-or-no", "allowed: yes, no, or empty for not on record"),
        (Mould, "outcome", "pored", "not-a-choice", "allowed: poured, lost before pouring"),
        (Mould, "poured_at", "yesterday", "date-unknown", "allowed: 2026-03-09T14:20 or 2026-03-09"),
        (Mould, "poured_at", "03/09/2026", "date-unknown", "allowed: 2026-03-09T14:20 or 2026-03-09"),
        (Pattern, "in_force_from", "2026-03-09T10:00", "date-with-time", "allowed: 2026-03-09"),
    ],
)
def test_is_refused_with_what_is_allowed(kind, name, text, code, allowed):
    with pytest.raises(BadInput) as caught:
        parse_cell(field_of(kind, name), text, "moulds.csv row 7")
    [problem] = caught.value.problems
    assert (problem.code, problem.allowed) == (code, allowed)


@pytest.mark.parametrize(
    ("text", "code"),
    [("a\x00b", "text-unseen"), ("\x1b[31mred", "text-unseen"), ("\udcff", "text-unseen"), ("\x9b2J", "text-unseen"),
     ("a" * 32_001, "text-long")],
)  # fmt: skip
def test_a_text_that_no_record_can_keep_is_refused(text, code):
    with pytest.raises(BadInput) as caught:
        parse_cell(field_of(Mould, "note"), text, "here")
    assert [problem.code for problem in caught.value.problems] == [code]


def test_a_choice_that_is_misspelt_is_named():
    with pytest.raises(BadInput, match="did you mean 'poured'"):
        parse_cell(field_of(Mould, "outcome"), "pored")


@pytest.mark.parametrize(
    ("kind", "name", "said", "choice"),
    [
        (Sand, "squeeze", "Falls apart", "crumbles"),
        (Sand, "squeeze", "sticks-to-the-palm", "sticks"),
        (Finding, "found", "knock out", "shakeout"),
        (Finding, "disposition", "Remelt", "scrap"),
    ],
)
def test_what_people_say_for_a_choice_is_taken_for_it(kind, name, said, choice):
    assert parse_cell(field_of(kind, name), said) == choice


def test_what_is_said_leads_to_a_choice_of_its_field_and_is_none_itself():
    for kind in (Sand, Finding):
        for spec in fields_of(kind):
            assert set(spec.said.values()) <= set(spec.choices)
            assert not set(spec.said) & {folded(choice) for choice in spec.choices}
            assert all(folded(word) == word for word in spec.said)


def test_a_column_in_another_unit_and_a_cell_with_its_own():
    spec = field_of(Mould, "pour_c")
    assert parse_cell(spec, "1330", unit="f") == pytest.approx(721.11, abs=0.01)
    assert parse_cell(spec, "720 C", unit="f") == 720.0


def test_dates_are_spoken_only_where_today_is_known():
    spec = field_of(Mould, "poured_at")
    assert parse_cell(spec, "yesterday 14:20", today=date(2026, 3, 10)) == datetime(2026, 3, 9, 14, 20)
