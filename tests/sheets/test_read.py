"""Sheets as people make them: separators, other units, blank rows – and every bad cell told in one pass."""

from datetime import datetime

import pytest

from defectlog.errors import BadInput, NotFound
from defectlog.records.kinds import BY_SHEET
from defectlog.sheets.read import read_path


def problems(path):
    return [(problem.code, problem.where) for problem in read_path(path).problems]


def test_the_invented_shop_is_read_whole(small_shop):
    read = read_path(small_shop)
    assert read.problems == []
    assert {name: len(records) for name, records in read.records().items()} == {
        "patterns": 3,
        "sand": 3,
        "heats": 3,
        "moulds": 12,
        "findings": 6,
        "causes": 2,
        "remedies": 2,
    }
    assert set(read.sheets) == set(BY_SHEET)


@pytest.mark.parametrize(
    "text",
    [
        "mould,pattern,pour_c,poured_at\nM-1,P-1,720.5,2026-03-09T11:00\n",
        "\ufeffmould,pattern,pour_c,poured_at\r\nM-1,P-1,720.5,2026-03-09T11:00\r\n",
        "mould;pattern;pour_c;poured_at\nM-1;P-1;720,5;2026-03-09 11:00\n",
        "mould\tpattern\tpour_c\tpoured_at\nM-1\tP-1\t720.5\t2026-03-09T11:00\n",
        "Mould, Pattern ,Pour-C,Poured At\n\n,,,\n M-1 ,P-1,720.5 C,2026-03-09T11:00:00\n\n",
        '"pour_f","poured_at","mould","pattern"\n"1328.9","2026-03-09T11:00","M-1","P-1"\n',
        "pour_f,poured_at,mould,pattern\n720.5 C,2026-03-09T11:00,M-1,P-1\n",
    ],
)
def test_one_mould_written_in_many_ways(folder, text):
    [mould] = read_path(folder(moulds=text)).records()["moulds"]
    assert (mould.mould, mould.pattern, mould.poured_at) == ("M-1", "P-1", datetime(2026, 3, 9, 11))
    assert mould.pour_c == pytest.approx(720.5, abs=1e-9)


def test_columns_in_other_units(folder):
    sheet = "pattern,impressions,casting_lb,poured_g,choke_in2,min_section_in\nP-1,4,2,900,0.5,0.25\n"
    [card] = read_path(folder(patterns=sheet)).records()["patterns"]
    assert card.casting_kg == pytest.approx(0.90718474)
    assert card.poured_kg == pytest.approx(0.9)
    assert card.choke_mm2 == pytest.approx(322.58)
    assert card.min_section_mm == pytest.approx(6.35)


def test_every_bad_cell_is_told_with_its_row_and_column(folder):
    """Rows are numbered as a spreadsheet shows them: the header is row 1, blank rows count."""
    path = folder(
        moulds="mould,pattern,pour_c,castings,vented,outcome\nM-1,P-1,hot,4,yes,\n\n,P-1,5000,1.5,maybe,melted\n",
        patterns="pattern,impressions\nP-1,0\n",
    )
    assert sorted(problems(path)) == sorted(
        [
            ("not-a-number", "moulds.csv row 2, column pour_c"),
            ("cell-empty", "moulds.csv row 4, column mould"),
            ("impossible", "moulds.csv row 4, column pour_c"),
            ("not-a-count", "moulds.csv row 4, column castings"),
            ("not-yes-or-no", "moulds.csv row 4, column vented"),
            ("not-a-choice", "moulds.csv row 4, column outcome"),
            ("impossible", "patterns.csv row 2, column impressions"),
        ]
    )
    assert "'hot' is not a number" in [problem.found for problem in read_path(path).problems]


def test_a_bad_cell_is_told_for_each_row_it_stands_in(folder):
    path = folder(moulds="mould,pattern,pour_c\nM-1,P-1,hot\nM-2,P-1,720\nM-3,P-1,hot\n")
    assert [where for _, where in problems(path)] == [
        "moulds.csv row 2, column pour_c",
        "moulds.csv row 4, column pour_c",
    ]


@pytest.mark.parametrize(
    ("header", "code", "words"),
    [
        ("mould,pattern,poor_c", "column-unknown", "did you mean 'pour_c'"),
        ("mould,pour_c", "column-missing", "'pattern'"),
        ("mould,pattern,pour_c,pour_f", "column-twice", "'pour_c' and 'pour_f'"),
    ],
)
def test_headers_that_cannot_be(folder, header, code, words):
    [problem] = read_path(folder(moulds=f"{header}\n")).problems
    assert problem.code == code
    assert words in problem.found


def test_a_comma_that_could_mean_two_things(folder):
    assert problems(folder(moulds='mould,pattern,pour_c\nM-1,P-1,"1,150"\n')) == [
        ("comma-unclear", "moulds.csv row 2, column pour_c")
    ]
    both = "mould;pattern;pour_c\nM-1;P-1;720,5\nM-2;P-1;1.150\n"
    assert problems(folder(moulds=both)) == [("comma-unclear", "moulds.csv row 3, column pour_c")]


@pytest.mark.parametrize(
    ("content", "code"),
    [
        (b"mould,pattern\nM-1,P\xfe\xfdlz\n", "not-utf-8"),
        ("mould,pattern\nM-1,P\u00e4lz\n".encode() + b"M-2,P\xe4lz\n", "not-utf-8"),
        (b"mould,pattern\nM-1,P\0lz\n", "not-text"),
        (b"", "sheet-empty"),
        (b'mould,pattern\nM-1,"P-1\n', "row-torn"),
        (b"mould,pattern\nM-1,P-1,x\n", "row-too-long"),
    ],
)
def test_files_that_cannot_be_read(folder, content, code):
    assert [problem.code for problem in read_path(folder(moulds=content)).problems] == [code]


def test_other_files_are_left_alone_and_named(folder):
    path = folder(moulds="mould,pattern\n", notes="whatever")
    (path / "truth.toml").write_text("x = 1")
    read = read_path(path)
    assert read.problems == []
    assert read.ignored == ("notes.csv",)


def test_one_file_alone(small_shop):
    assert list(read_path(small_shop / "heats.csv").sheets) == ["heats"]


def test_places_with_no_sheet(tmp_path, folder):
    with pytest.raises(NotFound):
        read_path(tmp_path / "away")
    with pytest.raises(BadInput) as caught:
        read_path(folder(notes="x"))
    assert caught.value.problems[0].code == "no-sheets"
    (tmp_path / "moulds.docx").write_text("x")
    with pytest.raises(BadInput) as caught:
        read_path(tmp_path / "moulds.docx")
    assert caught.value.problems[0].code == "not-a-sheet"
