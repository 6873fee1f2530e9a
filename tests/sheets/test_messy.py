"""Sheets as shops have them: what is taken, what is said about it, and what is refused unless somebody says how.

The sheets are invented; how people write such sheets is common practice, no source.
"""

import csv
import zipfile

import pytest

from defectlog.book.records import find
from defectlog.errors import BadInput
from defectlog.records.kinds import BY_SHEET, Finding, Mould, Pattern
from defectlog.sheets.days import iso_of
from defectlog.sheets.load import import_folder
from defectlog.sheets.read import read_path
from defectlog.sheets.refused import write_refused, write_report
from defectlog.sheets.titles import field_meant, kind_named
from defectlog.sheets.told import Told
from defectlog.sheets.workbook import workbook_rows
from defectlog.sheets.workbook_text import write_text

DAY_FIRST = Told(dates="day-first")


def said_of(path, told=DAY_FIRST):
    return "\n".join(read_path(path, told).said)


def codes(path, told=DAY_FIRST):
    return [(problem.code, problem.where) for problem in read_path(path, told).problems]


@pytest.mark.parametrize(
    ("sheet", "title", "field", "unit"),
    [
        ("moulds", "Mould No", "mould", ""),
        ("moulds", "MOLD #", "mould", ""),
        ("moulds", "Pattern #", "pattern", ""),
        ("moulds", "Part No.", "pattern", ""),
        ("moulds", "Pour Temp F", "pour_c", "f"),
        ("moulds", "Pour temp (°F)", "pour_c", "f"),
        ("moulds", "Pouring temperature [deg C]", "pour_c", "c"),
        ("moulds", "Date", "poured_at", ""),
        ("moulds", "Pour time, sec", "pour_s", "sec"),
        ("moulds", "Comments", "note", ""),
        ("patterns", "Casting Wt lbs", "casting_kg", "lbs"),
        ("patterns", "# of cavities", "impressions", ""),
        ("patterns", "Min section in", "min_section_mm", "in"),
        ("sand", "Moisture %", "moisture_pct", "%"),
        ("sand", "Green Strength (psi)", "green_strength_kpa", "psi"),
        ("heats", "Heat No", "heat", ""),
        ("heats", "Melt temp °F", "melt_c", "f"),
        ("findings", "Qty", "castings", ""),
        ("findings", "Defect code", "defect", ""),
        ("findings", "Remarks", "note", ""),
    ],
)
def test_a_title_as_people_write_it(sheet, title, field, unit):
    spec, meant = field_meant(BY_SHEET[sheet], title)
    assert (spec.name, meant) == (field, unit)


@pytest.mark.parametrize("title", ["zorp", "pour temp kg", "operator shoe size", "°F", "#", ""])
def test_a_title_that_means_nothing_here(title):
    assert field_meant(Mould, title) is None


@pytest.mark.parametrize(
    ("name", "kind"),
    [
        ("Melt log 2026", "heats"),
        ("Scrap", "findings"),
        ("MOULDS", "moulds"),
        ("Pattern cards", "patterns"),
        ("Q1", ""),
    ],
)
def test_a_sheet_by_its_name(name, kind):
    assert kind_named(name) == kind


def test_title_rows_blank_rows_other_titles_and_totals(folder):
    """Anything taken in another way than it is written is said; what is no record is named with its row."""
    path = folder(
        moulds="Invented foundry,,,\nMoulds of March,,,\n,,,\nMold No, Pattern # ,Date,Pour Temp (°F)\n"
        "M-1 ,P-1,09/03/2026,1330\n,,,\nM-2,  P-1,10/03/2026,n/a\nTotal,,,2660\n"
    )
    read = read_path(path, DAY_FIRST)
    assert read.problems == []
    sheet = read.sheets["moulds"]
    assert sheet.columns["mould"] == ["M-1", "M-2"]
    assert sheet.columns["pattern"] == ["P-1", "P-1"]
    assert sheet.columns["poured_at"] == ["2026-03-09", "2026-03-10"]
    assert sheet.columns["pour_c"] == [pytest.approx(721.1, abs=0.1), None]
    assert sheet.numbers == [5, 7]
    assert [(row.row, row.why) for row in read.left_out()] == [(8, "'Total': a row of totals at the end")]
    said = "\n".join(read.said)
    for words in (
        "the titles stand in row 4; above them, not read: 'Invented foundry'",
        "'Pour Temp (°F)' is taken as pour_c, in °F",
        "'n/a' in 'Pour Temp (°F)' is taken as not on record (1 rows)",
    ):
        assert words in said


def test_a_total_in_the_middle_is_a_row_like_any_other(folder):
    assert codes(folder(moulds="mould,pattern\nTotal,\nM-2,P-1\n")) == [
        ("cell-empty", "moulds.csv row 2, column pattern")
    ]


def test_semicolons_and_decimal_commas(folder):
    path = folder(patterns="Pattern #;Cavities;Casting Wt lbs\nP-1;4;2,5\nP-2;2;1.250\n")
    assert codes(path) == [("comma-unclear", "patterns.csv row 3, column Casting Wt lbs")]
    assert read_path(path).sheets["patterns"].columns["casting_kg"][0] == pytest.approx(1.134, abs=0.001)


@pytest.mark.parametrize(
    ("text", "order", "iso"),
    [
        ("04/03/2026", "day-first", "2026-03-04"),
        ("04/03/2026", "month-first", "2026-04-03"),
        ("4.3.26 14:20", "day-first", "2026-03-04T14:20"),
        ("3/4/2026 2:05 PM", "month-first", "2026-03-04T14:05"),
        ("3/4/2026 12:05 am", "month-first", "2026-03-04T00:05"),
        ("9-Mar-26", "", "2026-03-09"),
        ("9 March 2026 07:30", "", "2026-03-09T07:30"),
        ("Mar 9, 2026", "", "2026-03-09"),
        ("2026/03/09", "", "2026-03-09"),
        ("2026-03-09 14:20:05", "", "2026-03-09T14:20:05"),
        ("46090", "", "2026-03-09"),
        ("46090.5", "", "2026-03-09T12:00"),
        ("46090,25", "", "2026-03-09T06:00"),
        ("2026-03-09T14:20", "", "2026-03-09T14:20"),
        ("yesterday", "", "yesterday"),
        ("12345", "", "12345"),
    ],
)
def test_dates_of_sheets(text, order, iso):
    """46090 is 9 March 2026 as spreadsheets count days from 30 December 1899 (ECMA-376 part 1, 18.17.4.1)."""
    assert iso_of(text, order) == iso


@pytest.mark.parametrize(
    ("text", "order", "code"),
    [
        ("04/03/2026", "", "date-unclear"),
        ("25/03/2026", "", "date-unclear"),
        ("25/03/2026", "month-first", "date-impossible"),
        ("31.2.2026", "day-first", "date-impossible"),
        ("3/4/2026 14:20 pm", "month-first", "date-impossible"),
        ("14:20", "", "date-missing"),
        ("2:20 pm", "", "date-missing"),
    ],
)
def test_dates_that_are_refused_with_what_to_type(text, order, code):
    with pytest.raises(BadInput) as caught:
        iso_of(text, order)
    [problem] = caught.value.problems
    assert problem.code == code
    assert problem.next_step


def test_a_time_in_a_column_of_its_own_joins_its_day(folder):
    path = folder(heats="Heat No,Date,Time\nH-1,9-Mar-26,6:30\nH-2,2026-03-09,2:20 pm\nH-3,2026-03-09,\n")
    read = read_path(path)
    assert read.problems == []
    assert read.sheets["heats"].columns["melted_at"] == ["2026-03-09T06:30", "2026-03-09T14:20", "2026-03-09"]


def test_windows_1252_is_read_and_said(folder):
    path = folder(patterns="pattern,impressions,name\nP-1,4,Gehäuse 20° – ½\n".encode("cp1252"))
    read = read_path(path)
    assert read.problems == []
    assert read.sheets["patterns"].columns["name"] == ["Gehäuse 20° – ½"]
    assert "read as Windows-1252, which makes row 2 say 'Gehäuse 20° – ½'" in read.said[0]


def test_utf_16_as_spreadsheets_save_unicode_text(folder):
    path = folder(patterns="pattern\timpressions\tname\nP-1\t4\tžlab\n".encode("utf-16"))
    read = read_path(path)
    assert (read.problems, read.sheets["patterns"].columns["name"]) == ([], ["žlab"])


def test_merged_cells_are_filled_only_when_told(folder):
    path = folder(moulds="mould,pattern\nM-1,P-1\nM-2,\nM-3,P-2\nM-4,\n")
    assert [code for code, _ in codes(path)] == ["cell-empty", "cell-empty"]
    read = read_path(path, Told(fill_down=("pattern",)))
    assert read.sheets["moulds"].columns["pattern"] == ["P-1", "P-1", "P-2", "P-2"]
    assert "2 empty cells of 'pattern' filled with the value above" in read.said[0]


def test_a_column_is_what_it_was_told_to_be_or_left_out(folder):
    path = folder(moulds="Form,Modell,Ofen\nM-1,P-1,3\n")
    assert {code for code, _ in codes(path)} == {"column-unknown", "column-missing"}
    read = read_path(path, Told(columns={"Form": "mould", "Modell": "pattern", "Ofen": ""}))
    assert read.problems == []
    assert read.sheets["moulds"].columns == {"mould": ["M-1"], "pattern": ["P-1"]}
    assert "the column 'Ofen' is left out" in "\n".join(read.said)


def test_two_rows_that_are_the_same_come_once_and_are_named(book, folder):
    done = import_folder(book, folder(patterns="pattern,impressions\nP-1,4\nP-1,4\n"))
    assert (done.added, [(row.row, row.why) for row in done.left_out]) == (
        {"patterns": 1},
        [(3, "the same as row 2, word for word")],
    )


def test_findings_that_are_the_same_are_two_castings(book, folder):
    """Two lines for two castings with the same defect are not a slip of the pen."""
    path = folder(
        patterns="pattern,impressions\nP-1,4\n",
        moulds="mould,pattern\nM-1,P-1\n",
        findings="mould,defect\nM-1,misrun\nM-1,misrun\n",
    )
    assert import_folder(book, path).added["findings"] == 2


MESSY = {
    "patterns": "Pattern #,Cavities\nP-1,4\n",
    "moulds": "Mould No,Pattern #,Date,Pour Temp F\nM-1,P-1,9-Mar-26,1330\nM-2,P-1,9-Mar-26,hot\nM-3,P-9,9-Mar-26,\n",
    "findings": "Mould,Defect,Qty,Remarks\nM-1,blow holes,2,=1+1\nM-2,misrun,1,\nM-1,misrun,many,\n",
}


def test_one_bad_row_stops_all_unless_the_good_ones_are_asked_for(book, folder):
    path = folder(**MESSY)
    with pytest.raises(BadInput):
        import_folder(book, path)
    assert book.value("SELECT count(*) FROM act") == 0
    done = import_folder(book, path, take_good=True)
    assert done.added == {"patterns": 1, "moulds": 1, "findings": 1}
    assert [(row.kind, row.cells[0], row.problems[0].code) for row in done.refused] == [
        ("moulds", "M-2", "not-a-number"),
        ("moulds", "M-3", "pattern-unknown"),
        ("findings", "M-1", "not-a-count"),
        ("findings", "M-2", "mould-unknown"),
    ]
    assert [item.record.mould for item in find(book, Mould)] == ["M-1"]


def test_refused_rows_can_be_mended_and_read_in(book, folder, tmp_path):
    """Written as they were, with their reasons; nothing of them would run in a spreadsheet."""
    done = import_folder(book, folder(**MESSY), take_good=True)
    files = write_refused(done.refused, tmp_path / "sheets-refused")
    assert [file.name for file in files] == ["moulds.csv", "findings.csv"]
    text = files[0].read_text(encoding="utf-8-sig")
    assert text.startswith(
        "Mould No,Pattern #,Date,Pour Temp F,why refused\nM-2,P-1,9-Mar-26,hot,\"'hot' is not a number"
    )
    files[0].write_text(text.replace("hot,", "1340,").replace("P-9", "P-1"), encoding="utf-8")
    findings = files[1].read_text(encoding="utf-8-sig")
    files[1].write_text(findings.replace("many", "2"), encoding="utf-8")
    assert import_folder(book, tmp_path / "sheets-refused").added == {"moulds": 2, "findings": 2}


def test_the_report_has_a_line_for_every_reason(folder, tmp_path):
    problems = read_path(folder(moulds="mould,pattern,pour_c\n,P-1,hot\nM-2,,=1+1\n")).problems
    write_report(problems, tmp_path / "why.csv")
    with (tmp_path / "why.csv").open(encoding="utf-8-sig", newline="") as lines:
        rows = list(csv.DictReader(lines))
    assert len(rows) == len(problems) == 4
    assert {(row["sheet"], row["row"], row["column"], row["value"]) for row in rows} == {
        ("moulds.csv", "2", "mould", ""),
        ("moulds.csv", "2", "pour_c", "hot"),
        ("moulds.csv", "3", "pattern", ""),
        ("moulds.csv", "3", "pour_c", "'=1+1"),
    }
    assert all(row["why"] and row["allowed"] for row in rows)


def test_a_problem_of_the_whole_sheet_stops_the_good_rows_as_well(book, folder):
    with pytest.raises(BadInput) as caught:
        import_folder(book, folder(moulds="mould,zorp\nM-1,1\n"), take_good=True)
    assert {problem.code for problem in caught.value.problems} == {"column-unknown", "column-missing"}
    assert book.value("SELECT count(*) FROM act") == 0


@pytest.fixture
def workbook(tmp_path):
    """A function that writes a workbook: workbook({"Melt log": [["Heat No", "Date"], ["H-1", 46090]]})."""

    def write(sheets):
        import xlsxwriter

        path = tmp_path / "log.xlsx"
        with xlsxwriter.Workbook(path) as made:
            for name, rows in sheets.items():
                sheet = made.add_worksheet(name)
                for number, row in enumerate(rows):
                    sheet.write_row(number, 0, row)
        return path

    return write


def test_sheets_of_a_workbook_under_other_names_one_a_month(workbook, book):
    title = ["Invented foundry"]
    header = ["Mold No", "Part #", "Date", "Pour Temp F"]
    path = workbook(
        {
            "Parts": [["Part No", "Cavities"], ["P-1", 4]],
            "Jan": [title, header, ["M-1", "P-1", 46030, 1330], ["Total", "", "", 1330]],
            "Feb": [header, ["M-2", "P-1", 46060.5, 1325], ["M-3", "P-1", "soon", 1325]],
            "Notes": [["call the alloy man"]],
        }
    )
    read = read_path(path)
    assert [(problem.code, problem.where) for problem in read.problems] == [
        ("date-unknown", "log.xlsx Feb row 3, column Date")
    ]
    assert read.ignored == ("Notes",)
    assert [(row.sheet, row.row) for row in read.left_out()] == [("log.xlsx Jan", 4)]
    assert "log.xlsx Feb is taken as moulds, by its titles" in read.said
    done = import_folder(book, path, take_good=True)
    assert done.added == {"patterns": 1, "moulds": 2}
    assert [(item.record.mould, item.record.poured_at.isoformat()) for item in find(book, Mould)] == [
        ("M-1", "2026-01-08T00:00:00"),
        ("M-2", "2026-02-07T12:00:00"),
    ]


def test_a_sheet_is_what_it_was_told_to_be(folder):
    path = folder(log="heat,melted_at\nH-1,2026-03-09\n")
    assert list(read_path(path, Told(sheets={"log": "heats"})).sheets) == ["heats"]
    assert [code for code, _ in codes(path, Told(sheets={"log": "furnace"}))] == ["kind-unknown"]


def test_names_the_shop_has_for_defects_are_kept(book, folder):
    path = folder(**{**MESSY, "moulds": "mould,pattern\nM-1,P-1\n", "findings": "Mould,Reason\nM-1,Blow holes (big)\n"})
    import_folder(book, path)
    assert find(book, Finding)[0].record.defect == "Blow holes (big)"
    assert find(book, Pattern)[0].record.impressions == 4


def test_a_workbook_that_would_fill_the_memory_is_refused(tmp_path):
    """A packed file says how large it becomes; 2.5 GB are not unpacked."""
    bomb = tmp_path / "bomb.xlsx"
    with zipfile.ZipFile(bomb, "w", zipfile.ZIP_DEFLATED) as packed:
        packed.writestr("xl/sharedStrings.xml", "x")
        packed.infolist()[0].file_size = 2_500_000_000
    with pytest.raises(BadInput, match="would unpack to 2 GB"):
        workbook_rows(bomb)


@pytest.mark.parametrize(
    "text",
    [
        "<r><t>x</t></r>",
        "<r></si><f>1+1</f></r>",
        "_x0041_x0042_x0043_",
        "_x005F_x0041_",
        "<r>" + "&" * 31_000 + "</r>",
    ],
)
def test_a_text_that_looks_like_the_inside_of_a_workbook_is_text(tmp_path, text):
    import xlsxwriter

    path = tmp_path / "x.xlsx"
    with xlsxwriter.Workbook(path) as made:
        write_text(made.add_worksheet("a"), 0, 0, text)
    assert workbook_rows(path)["a"] == [[text]]
    with zipfile.ZipFile(path) as packed:
        assert b"<f>" not in b"".join(packed.read(name) for name in packed.namelist())
