"""Any bytes and any table into the importer: rows in the book, or refusals with their places; all or nothing."""

import csv
import io
from pathlib import Path

from hypothesis import example, given
from hypothesis import strategies as st

from defectlog.book.acts import writing
from defectlog.book.open import open_book
from defectlog.errors import BadInput
from defectlog.records.fields import fields_of
from defectlog.records.kinds import BY_SHEET, Finding, Mould, Pattern
from defectlog.sheets.load import import_folder
from defectlog.sheets.read import read_path
from defectlog.sheets.refused import write_refused
from defectlog.sheets.told import Told
from defectlog.sheets.write import export_folder
from tests.fuzz.settings import examples
from tests.fuzz.test_parsers import TEXTS

TITLES = sorted({spec.name for kind in BY_SHEET.values() for spec in fields_of(kind)})
PEOPLES = ["Mould No", "Pattern #", "Date", "Time", "Pour Temp (°F)", "Qty", "Total", "why refused", "", "note"]
USUAL = [
    "P-1",
    "M-1",
    "M-2",
    "H-1",
    "S-1",
    "A",
    "4",
    "720",
    "1,5",
    "yes",
    "scrap",
    "misrun",
    "confirmed",
    "2026-03-09",
    "04/03/2026",
    "46090",
    "14:20",
    "n/a",
    "Total",
    "=1+1",
    "'=1",
]
CELLS = st.one_of(st.sampled_from(["", *USUAL]), TEXTS)
TOLD = st.builds(
    Told,
    dates=st.sampled_from(["", "day-first", "month-first"]),
    fill_down=st.sampled_from([(), ("pattern",)]),
    columns=st.sampled_from([{}, {"Qty": ""}, {"Date": "made_at"}]),
)


@st.composite
def tables(draw):
    """A sheet's text: mostly a header that means something, and rows that do more or less."""
    name = draw(st.sampled_from(sorted(BY_SHEET)))
    own = [spec.name for spec in fields_of(BY_SHEET[name])]
    needed = [spec.name for spec in fields_of(BY_SHEET[name]) if spec.required]
    more = draw(st.lists(st.sampled_from(own + PEOPLES + TITLES[:4]), max_size=4, unique=True))
    header = needed + [title for title in more if title not in needed] if draw(st.integers(0, 5)) else more
    rows = draw(st.lists(st.lists(CELLS, max_size=len(header) + 1), max_size=5))
    file = io.StringIO(newline="")
    writer = csv.writer(file, delimiter=draw(st.sampled_from(",;\t")))
    writer.writerows([*([["Log"]] if draw(st.booleans()) else []), header, *rows])
    coding = draw(st.sampled_from(["utf-8", "utf-8-sig", "utf-16", "cp1252"]))
    return name, file.getvalue().encode(coding, "replace")


FILES = st.one_of(tables(), st.tuples(st.sampled_from(sorted(BY_SHEET)), st.binary(max_size=300)))


def written(folder: Path, files) -> Path:
    folder.mkdir()
    for name, raw in files:
        (folder / f"{name}.csv").write_bytes(raw)
    return folder


@examples(2)
@given(files=st.lists(FILES, min_size=1, max_size=3), told=TOLD)
def test_whatever_a_folder_holds(tmp_path_factory, files, told):
    path = written(tmp_path_factory.mktemp("fuzz") / "in", files)
    try:
        read = read_path(path, told)
    except BadInput as error:
        assert all(problem.found for problem in error.problems)
        return
    for sheet in read.sheets.values():
        assert all(len(column) == len(sheet) for column in sheet.columns.values())


@examples(0.5)
@given(files=st.lists(FILES, min_size=1, max_size=3), told=TOLD, take_good=st.booleans())
def test_an_import_is_all_or_nothing_and_comes_back_the_same(tmp_path_factory, files, told, take_good):
    """What was taken goes out and in again the same; what was refused can be written; a second time changes nothing."""
    base = tmp_path_factory.mktemp("fuzz")
    path = written(base / "in", files)
    with open_book(base / "one.db") as book:
        try:
            done = import_folder(book, path, told=told, take_good=take_good)
        except BadInput:
            assert book.value("SELECT count(*) FROM act") == 0
            return
        if done.refused:
            write_refused(done.refused, base / "refused")
        assert sum(import_folder(book, path, told=told, take_good=take_good).added.values()) == 0
        export_folder(book, base / "one")
    with open_book(base / "two.db") as book:
        import_folder(book, base / "one")
        export_folder(book, base / "two")
    for file in (base / "one").iterdir():
        assert file.read_bytes() == (base / "two" / file.name).read_bytes()


@examples(0.5)
@given(files=st.lists(FILES, min_size=1, max_size=3), told=TOLD, take_good=st.booleans())
@example(files=[("moulds", b"mould,pattern,pour_c\nM-1,P-1,hot\n")], told=Told(), take_good=False)
def test_an_import_into_a_book_that_has_such_records_is_all_or_nothing(tmp_path_factory, files, told, take_good):
    """Rows that are there already, with the same values, with others and with cells that cannot be read."""
    base = tmp_path_factory.mktemp("fuzz")
    path = written(base / "in", files)
    with open_book(base / "one.db") as book:
        with writing(book, "start") as act:
            act.add(Pattern(pattern="P-1", impressions=4))
            act.add(Mould(mould="M-1", pattern="P-1", pour_c=720.0))
            act.add(Finding(mould="M-1", defect="misrun"))
        try:
            import_folder(book, path, told=told, take_good=take_good)
        except BadInput as error:
            assert all(problem.found for problem in error.problems)
            assert book.value("SELECT count(*) FROM act") == 1
        assert book.value("SELECT count(*) FROM change") == 0
        assert book.row("SELECT pour_c FROM mould WHERE mould = 'M-1'") == (720.0,)


@examples(0.5)
@given(raw=st.binary(max_size=400), ending=st.sampled_from([".xlsx", ".xls", ".ods", ".xlsm"]))
def test_any_bytes_that_call_themselves_a_workbook(tmp_path_factory, raw, ending):
    path = tmp_path_factory.mktemp("fuzz") / f"log{ending}"
    path.write_bytes((b"PK\x03\x04" if ending == ".xlsx" else b"") + raw)
    try:
        read_path(path)
    except BadInput as error:
        assert error.problems[0].found
