"""Any text at all into what reads texts: a value, or one refusal in plain words; never another exception."""

from datetime import date, datetime

from hypothesis import example, given
from hypothesis import strategies as st

from defectlog.book.tables import stored_value
from defectlog.dates import parse_day, parse_month, parse_when
from defectlog.errors import BadInput
from defectlog.records.cells import parse_cell, write_cell
from defectlog.records.fields import fields_of
from defectlog.records.kinds import KINDS
from defectlog.sheets.days import iso_of
from defectlog.sheets.encodings import text_of
from defectlog.sheets.guard import guarded, unguarded
from defectlog.sheets.sheet import QUICK
from defectlog.sheets.titles import field_meant, kind_named
from defectlog.sheets.told import DATE_ORDERS
from defectlog.units import METRIC, parse_quantity
from tests.fuzz.settings import examples
from tests.hostile.strings import KEPT, REFUSED

TODAY = date(2026, 3, 20)
SHORT_HOSTILE = [text for text in (*KEPT.values(), *REFUSED.values()) if len(text) < 500]
# Bits out of which people, and things that go wrong, make dates, numbers and units.
BITS = st.sampled_from(
    [
        *"0123456789-/.,:; +−'\"°%eETZ",
        *[
            "20",
            "2026",
            "99999",
            "mar",
            "Mai",
            "mon",
            "th",
            "am",
            "pm",
            "F",
            "psi",
            "kg",
            "in²",
            "today",
            "١٢",
            "½",
            "０",
            "nan",
            "inf",
        ],
        *("last ", "\u00a0", "\u202e", "\x00", "\ud800", "\n"),
    ]
)
TEXTS = st.one_of(
    st.lists(BITS, max_size=12).map("".join),
    st.text(max_size=40),
    st.sampled_from(SHORT_HOSTILE),
    st.text("0123456789", max_size=400),
)
SPECS = [spec for kind in KINDS for spec in fields_of(kind)]


def or_refused(act):
    """What `act` gives, or None when it refuses in plain words."""
    try:
        return act()
    except BadInput as error:
        assert error.problems
        assert all(problem.found and problem.code for problem in error.problems)
        str(error)
        return None


@examples(3)
@given(st.sampled_from(SPECS), TEXTS, st.sampled_from(["", "f", "lb", "psi"]), st.sampled_from([None, TODAY]))
def test_a_cell(spec, text, unit, today):
    unit = unit if spec.holds == "number" else ""
    value = or_refused(lambda: parse_cell(spec, text, "here", unit=unit, today=today))
    if value is not None:
        assert parse_cell(spec, write_cell(spec, value)) == value


@examples(2)
@given(TEXTS, st.sampled_from(sorted(METRIC)))
@example("1" * 400, "mass")
@example("1e999", "mass")
def test_a_quantity(text, quantity):
    value = or_refused(lambda: parse_quantity(text, quantity))
    assert value is None or value == value


@examples(2)
@given(TEXTS, st.dates(date(1900, 1, 1), date(2199, 12, 31)))
def test_a_date_as_it_is_spoken(text, today):
    when = or_refused(lambda: parse_when(text, today))
    assert when is None or isinstance(when, datetime)
    day = or_refused(lambda: parse_day(text, today))
    assert day is None or 1899 <= day.year <= 2200
    month = or_refused(lambda: parse_month(text, today))
    assert month is None or month.day == 1


@examples(2)
@given(TEXTS, st.sampled_from(["", *DATE_ORDERS]))
def test_a_date_of_a_sheet(text, order):
    told = or_refused(lambda: iso_of(text, order))
    assert told is None or isinstance(told, str)


@examples(2)
@given(st.one_of(st.binary(max_size=200), TEXTS.map(lambda text: text.encode("utf-8", "surrogatepass"))))
def test_the_bytes_of_a_file(raw):
    told = or_refused(lambda: text_of(raw, "x.csv"))
    assert told is None or isinstance(told[0], str)


@examples(2)
@given(TEXTS, st.sampled_from(SPECS))
@example("'=1", SPECS[0])
@example(" M-1", SPECS[0])
def test_the_quick_way_gives_what_the_careful_way_gives(text, spec):
    quick = QUICK[spec.holds](text) if spec.holds in QUICK else None
    if quick is not None:
        assert quick == stored_value(parse_cell(spec, unguarded(text)))


@examples(2)
@given(TEXTS)
def test_titles_and_guards(text):
    for kind in KINDS:
        field_meant(kind, text)
    kind_named(text)
    assert unguarded(guarded(text)) == text
    assert not guarded(text).startswith(tuple("=@\t\r＝＠"))
