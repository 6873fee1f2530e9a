"""Out and in without loss: sheets read into a new book and written again are the same bytes."""

from datetime import date, datetime

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from defectlog.book.acts import writing
from defectlog.book.open import open_book
from defectlog.book.records import find
from defectlog.errors import BadInput
from defectlog.records.fields import fields_of
from defectlog.records.kinds import BY_SHEET, KINDS, Finding, Heat, Mould, Pattern, Sand
from defectlog.sheets.load import import_folder
from defectlog.sheets.workbook import export_workbook, workbook_rows
from defectlog.sheets.write import export_folder

TEXTS = st.text(st.characters(codec="utf-8", exclude_categories=["Cc"], include_characters="\n\t"), max_size=12)
NOTES = st.none() | st.one_of(TEXTS, st.text("'=+-@1, \";\n", max_size=5)).map(str.strip).filter(bool)
MOMENTS = st.datetimes(datetime(1950, 1, 1), datetime(2100, 1, 1)).map(lambda moment: moment.replace(microsecond=0))


def optional(kind, *but):
    """Any values for the optional fields of a kind, within their bounds."""
    strategies = {}
    for spec in fields_of(kind):
        if spec.required or spec.refers_to or spec.name in but:
            continue
        if spec.holds == "number":
            values = st.floats(
                spec.least if spec.least is not None else -100, spec.most if spec.most is not None else 1e6
            )
        elif spec.holds == "count":
            values = st.integers(int(spec.least or 0), int(spec.most or 100))
        elif spec.holds == "choice":
            values = st.sampled_from(spec.choices)
        elif spec.holds == "day":
            values = st.dates(date(1950, 1, 1), date(2100, 1, 1))
        else:
            values = {"yes_no": st.booleans(), "moment": MOMENTS}.get(spec.holds, NOTES)
        strategies[spec.name] = st.none() | values
    return st.fixed_dictionaries(strategies)


BOOKS = st.fixed_dictionaries(
    {
        "card": optional(Pattern),
        "sand": optional(Sand),
        "heat": optional(Heat),
        "moulds": st.lists(optional(Mould, "revision"), max_size=3),
        "findings": st.lists(optional(Finding), max_size=3),
    }
)


def fill(book, values):
    with writing(book, "start") as act:
        act.add(Pattern(pattern="=P", impressions=4, **values["card"]))
        act.add(Sand(sand="-1", mixed_at=datetime(2026, 3, 9), **values["sand"]))
        act.add(Heat(heat="'H", melted_at=datetime(2026, 3, 9, 5, 5, 5), **values["heat"]))
        for number, mould in enumerate(values["moulds"]):
            act.add(Mould(mould=f"{number}", pattern="=P", sand="-1", heat="'H", **mould))
        for finding in values["findings"]:
            if values["moulds"]:
                act.add(Finding(mould="0", **{**finding, "seen": finding["seen"] or "hole"}))


def files(path):
    return {item.name: item.read_bytes() for item in path.iterdir()}


@settings(max_examples=60, deadline=None)
@given(BOOKS)
def test_any_book_comes_back_from_its_sheets(tmp_path_factory, values):
    path = tmp_path_factory.mktemp("round")
    with open_book(path / "one.db") as one, open_book(path / "two.db") as two:
        fill(one, values)
        export_folder(one, path / "one")
        import_folder(two, path / "one")
        export_folder(two, path / "two")
        for kind in KINDS:
            assert [item.record for item in find(two, kind)] == [item.record for item in find(one, kind)]
    assert files(path / "one") == files(path / "two")


@settings(max_examples=20, deadline=None)
@given(BOOKS)
def test_any_book_comes_back_from_its_workbook(tmp_path_factory, values):
    path = tmp_path_factory.mktemp("round")
    with open_book(path / "one.db") as one, open_book(path / "two.db") as two:
        fill(one, values)
        export_workbook(one, path / "one.xlsx")
        import_folder(two, path / "one.xlsx")
        for kind in KINDS:
            assert [item.record for item in find(two, kind)] == [item.record for item in find(one, kind)]


def test_the_invented_shop_comes_back(new_book, small_shop, tmp_path):
    one, two, three = new_book(), new_book(), new_book()
    import_folder(one, small_shop)
    export_folder(one, tmp_path / "one")
    export_workbook(one, tmp_path / "one.xlsx")
    import_folder(two, tmp_path / "one")
    import_folder(three, tmp_path / "one.xlsx")
    export_folder(two, tmp_path / "two")
    export_folder(three, tmp_path / "three")
    assert files(tmp_path / "one") == files(tmp_path / "two") == files(tmp_path / "three")


def test_what_was_typed_goes_out_and_not_what_was_worked_out(book, small_shop, tmp_path):
    import_folder(book, small_shop)
    export_folder(book, tmp_path / "out")
    header, first, *_ = (tmp_path / "out" / "moulds.csv").read_text(encoding="utf-8-sig").splitlines()
    row = dict(zip(header.split(","), first.split(","), strict=True))
    assert (row["mould"], row["revision"], row["castings"], row["made_at"]) == ("M-001", "", "", "2026-03-09T08:00")


def test_a_formula_in_a_note_is_text_in_the_sheet_and_in_the_workbook(book, small_shop, tmp_path):
    import_folder(book, small_shop)
    export_folder(book, tmp_path / "out")
    assert "'=holes again" in (tmp_path / "out" / "findings.csv").read_text(encoding="utf-8-sig")
    export_workbook(book, tmp_path / "out.xlsx")
    sheet = workbook_rows(tmp_path / "out.xlsx")["findings"]
    assert "=holes again, see M-005" in [cell for row in sheet for cell in row]


def test_sheets_that_are_there_are_not_replaced_unsaid(book, tmp_path):
    export_folder(book, tmp_path / "out")
    export_workbook(book, tmp_path / "out.xlsx")
    for again in (lambda: export_folder(book, tmp_path / "out"), lambda: export_workbook(book, tmp_path / "out.xlsx")):
        with pytest.raises(BadInput) as caught:
            again()
        assert caught.value.problems[0].code == "sheets-there"
    assert set(export_folder(book, tmp_path / "out", replace=True)) == set(BY_SHEET)


def test_a_workbook_that_is_none(tmp_path):
    (tmp_path / "x.xlsx").write_text("not a workbook")
    with pytest.raises(BadInput) as caught:
        workbook_rows(tmp_path / "x.xlsx")
    assert caught.value.problems[0].code == "workbook-torn"


def test_without_the_extra_a_workbook_is_refused_with_what_to_install(book, tmp_path, monkeypatch):
    monkeypatch.setitem(__import__("sys").modules, "xlsxwriter", None)
    with pytest.raises(BadInput, match=r"defectlog\[xlsx\]"):
        export_workbook(book, tmp_path / "x.xlsx")
