"""The review on the command line: read aloud, in every form, and typed wrong. The shop is invented."""

import csv
import io
import json
from pathlib import Path

import pytest

from defectlog.cli.main import run
from defectlog.jobs.invented_shop import write_sheets
from tests.cli.conftest import Typing

# Counted by hand below: three patterns over four months, with a trial, a lost mould, a late find and a breach.
SHEETS = {
    "patterns": "pattern,impressions,casting_kg,poured_kg\nP-1,4,0.5,4\nP-2,1,2.0,5\nP-3,2,,\n",
    "moulds": (
        "mould,pattern,poured_at,outcome,trial\n"
        "M-1,P-1,2026-01-05T10:00,,\n"
        "M-2,P-1,2026-02-03T10:00,,\n"
        "M-3,P-1,2026-03-02T10:00,,\n"
        "M-4,P-1,2026-03-03T10:00,,\n"
        "M-5,P-2,2026-03-03T10:10,,\n"
        "M-6,P-3,2026-03-04T10:00,,\n"
        "M-7,P-1,2026-03-05T10:00,,yes\n"
        "M-8,P-2,2026-03-05T10:10,lost before pouring,\n"
    ),
    "findings": (
        "mould,castings,impression,defect,place,disposition,found,found_at,primary\n"
        "M-2,1,2,misrun,thin-section,scrap,customer,2026-03-20,\n"
        "M-3,2,3,gas-holes,cope-face,scrap,shakeout,2026-03-02,\n"
        "M-3,1,3,dross,cope-face,scrap,shakeout,2026-03-02,no\n"
        "M-4,1,,gas-holes,,rework,machining,2026-04-02,\n"
        "M-5,1,1,dross,cope-face,scrap,customer,2026-04-09,\n"
        "M-6,3,1,flash,parting-line,scrap,shakeout,2026-03-04,\n"
    ),
    "remedies": "pattern,defect,change,from_date\nP-1,misrun,hotter metal,2026-03-01\n",
}


@pytest.fixture
def shop(typed: Typing, tmp_path: Path) -> Typing:
    folder = tmp_path / "sheets"
    folder.mkdir()
    for name, text in SHEETS.items():
        (folder / f"{name}.csv").write_text(text, encoding="utf-8")
    assert typed("import", str(folder)).code == 0
    return typed


@pytest.fixture(scope="module")
def quarter_book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("quarter")
    write_sheets(folder / "sheets")
    assert run(["--book", str(folder / "shop.db"), "import", str(folder / "sheets")]) == 0
    return folder / "shop.db"


@pytest.fixture
def quarter(typed: Typing, quarter_book: Path, book_path: Path) -> Typing:
    book_path.write_bytes(quarter_book.read_bytes())
    return typed


def answer(typed: Typing, line: str) -> dict:
    told = typed(f"review {line} --json")
    assert told.code == 0, told.err
    return json.loads(told.out)


def test_the_month_counted_by_hand(shop: Typing) -> None:
    """March: M-3, M-4 (8 castings of P-1), M-5 (1 of P-2), M-6 (2 of P-3): 11 castings in 4 moulds.

    Scrapped 2 + 1 + 3, one of P-1 reworked; M-6 has one casting charged too many, so 11 − 7 + 1 = 5 are good.
    """
    march = answer(shop, "2026-03")
    assert (march["moulds"], march["castings"], march["scrapped"], march["reworked"]) == (4, 11, 6, 1)
    assert (march["first_pass"], march["charged_too_many"], march["returned"]) == (5, 1, 1)
    assert (march["trials"], march["lost_before_pouring"]) == (1, 1)
    assert march["kg"] == 2 * 0.5 + 1 * 2.0 and march["kg_left_out"] == 3
    assert [(row["mould"], row["charged"], row["castings"]) for row in march["out_of_balance"]] == [("M-6", 3, 2)]
    assert {row["defect"]: row["castings"] for row in march["defects"]} == {"flash": 3, "gas-holes": 2, "dross": 1}
    assert march["found"]["customer"] == 1 and march["found"]["machining"] == 0


def test_by_the_month_found_the_late_finds_move(shop: Typing) -> None:
    """Found in March: M-2 (cast in February), M-3 and M-6; the finds on M-4 and M-5 are April's."""
    march = answer(shop, "2026-03 --by found")
    assert (march["scrapped"], march["reworked"], march["returned"], march["first_pass"]) == (6, 0, 1, None)
    assert {row["defect"]: row["castings"] for row in march["defects"]} == {"flash": 3, "gas-holes": 2, "misrun": 1}
    april = answer(shop, "2026-04 --by found")
    assert (april["scrapped"], april["reworked"], april["castings"]) == (1, 1, 0)


def test_the_page_says_the_balance_and_what_does_not_balance(shop: Typing) -> None:
    out = " ".join(shop("review 2026-03").out.split())
    assert "Poured 11 = good first time 5 (45 %), scrapped 6, reworked 1, used as is 0, undecided 0, less 1" in out
    assert "M-6 (P-3, 2026-03-04): 3 castings charged of 2" in out
    assert "look at it: defectlog mould show M-6" in out
    assert "Returned by customers: 1 casting." in out
    assert "Kept out of the rates: 1 trial mould and 1 mould lost before pouring." in out


def test_many_months_are_a_table_and_its_sum(shop: Typing) -> None:
    found = answer(shop, "2026-01..2026-03")
    assert [month["month"] for month in found["months"]] == ["2026-01", "2026-02", "2026-03"]
    assert [month["scrapped"] for month in found["months"]] == [0, 1, 6]
    assert (found["castings"], found["scrapped"], found["first_pass"]) == (19, 7, 12)
    lines = shop("review 2026-01..2026-03").out.splitlines()
    assert [line.split()[:4] for line in lines if line.startswith("sum")] == [["sum", "6", "19", "7"]]
    assert answer(shop, "jan..mar")["from"].endswith("-01")


def test_costs_follow_the_shops_own_rates_and_say_their_method(shop: Typing) -> None:
    """By hand: gas holes 2 × 0.5 kg × (3 − 1), dross 1 × (2 kg × 2 + 10 found by the customer): 2 + 14 = 16."""
    kept = shop("review --rate metal_per_kg=3 --rate remelt_per_kg=1,0 --rate spent_at_customer=10 --rate currency=EUR")
    assert kept.code == 0 and "metal_per_kg" in kept.out and "undo: defectlog undo" in kept.out
    march = answer(shop, "2026-03")
    assert (march["cost"], march["cost_left_out"], march["currency"]) == (pytest.approx(16.0), 3, "EUR")
    by_defect = {row["defect"]: row["cost"] for row in march["defects"]}
    assert by_defect == {"gas-holes": pytest.approx(2.0), "dross": pytest.approx(14.0), "flash": None}
    page = " ".join(shop("review 2026-03").out.split())
    assert "They cost 16.00 EUR (3 castings without a cost left out)." in page
    assert "metal at 3 a kg; taken off for remelt: 1 a kg; 10 a casting found at customer" in page
    assert [row["defect"] for row in answer(shop, "2026-03 --order cost")["defects"]] == ["dross", "gas-holes", "flash"]
    assert [row["defect"] for row in answer(shop, "2026-03 --order kg")["defects"]] == ["dross", "gas-holes", "flash"]


def test_without_rates_there_is_no_cost_at_all(shop: Typing) -> None:
    assert answer(shop, "2026-03")["cost"] is None
    out = shop("review 2026-03").out
    assert "They cost" not in out and "How the cost" not in out
    assert shop("review --rate metal_per_kg=3").code == 0
    assert shop("undo").code == 0
    assert answer(shop, "2026-03")["cost"] is None


def test_a_rate_is_taken_out_again_and_wrong_ones_are_all_said(shop: Typing) -> None:
    shop("review --rate metal_per_kg=3")
    assert "No rate is kept" in shop("review --rate metal_per_kg=").out
    wrong = shop("review --rate steel=3 --rate melt_loss_pct=101 --rate metal_per_kg=3.20€ --rate labour_per_hour=-1")
    assert wrong.code == 2 and wrong.out == ""
    for part in ("'steel=3' names no rate", "'101' is not a rate", "'3.20€' is not a rate", "'-1' is not a rate"):
        assert part in wrong.err


def test_one_pattern_with_its_places_and_its_readings(quarter: Typing) -> None:
    out = quarter("review 2026-03 --pattern P-104").out
    assert out.startswith("Review of P-104 (pump cover): castings cast in March 2026")
    assert "Place map: castings not right first time, by impression and place" in out
    assert "Its months in a row" in out
    moisture = next(line for line in out.splitlines() if line.startswith("moisture, %"))
    assert "of 39 batches" in moisture
    found = answer(quarter, "2026-03 --pattern P-104")
    assert found["pattern"] == "P-104" and found["strip"]["readings"] and len(found["series"]) == 1
    cells = [cell["castings"] for item in found["place_maps"] for cell in item["cells"]]
    bad = found["scrapped"] + found["reworked"] + found["used_as_is"] + found["undecided"]
    assert sum(cells) == bad


def test_the_planted_change_is_marked_and_the_next_step_asks_why(quarter: Typing) -> None:
    out = quarter("review 2026-03").out
    assert "worse!" in next(line for line in out.splitlines() if line.startswith("P-104"))
    assert out.rstrip().endswith("next: defectlog why P-104")
    assert "answer due" in out and "to put the answer on record: defectlog remedy judge 1" in out


def test_files_are_written_once_and_over_only_when_asked(quarter: Typing, tmp_path: Path) -> None:
    names = {kind: str(tmp_path / f"march.{kind}") for kind in ("html", "xlsx", "csv")}
    line = ["review", "2026-03", *(word for kind, name in names.items() for word in (f"--{kind}", name))]
    first = quarter(*line)
    assert (first.code, first.out) == (0, "")
    assert [text for text in first.err.splitlines() if text.startswith("written")] == [
        f"written: {name}" for name in names.values()
    ]
    assert Path(names["html"]).read_text(encoding="utf-8").startswith("<!DOCTYPE html>")
    assert Path(names["xlsx"]).read_bytes()[:2] == b"PK"
    assert Path(names["csv"]).read_bytes().startswith(b"\xef\xbb\xbfkind,month")
    again = quarter(*line)
    assert again.code == 2 and "is there already" in again.err and "--force" in again.err
    assert quarter(*line, "--force").code == 0
    assert not list(tmp_path.glob("*.part"))


def test_csv_to_stdout_is_a_sheet(quarter: Typing) -> None:
    rows = list(csv.DictReader(io.StringIO(quarter("review 2026-03 --csv -").out)))
    assert rows[0]["kind"] == "month" and rows[0]["castings"] == "1252"


def test_json_beside_a_file_is_still_one_document(quarter: Typing, tmp_path: Path) -> None:
    told = quarter("review", "2026-03", "--json", "--html", str(tmp_path / "march.html"))
    assert json.loads(told.out)["month"] == "2026-03" and (tmp_path / "march.html").exists()


@pytest.mark.parametrize(
    ("line", "part"),
    [
        ("review 2026-13", "2026-13"),
        ("review 03/2026", "03/2026"),
        ("review 2026-03..2026-01", "ends before it begins"),
        ("review 1990-01..2026-03", "months"),
        ("review 2026-03..", "month"),
        ("review 2026-03 --by poured", "allowed: cast, found"),
        ("review 2026-03 --order money", "allowed: castings, kg, cost"),
        ("review 2026-03 --pattern P-999999", "P-999999"),
        ("review 2026-03 --html no-such-folder/march.html", "no-such-folder"),
        ("review 2026-03 --pattern '<b>[P]=1+1'", "<b>[P]=1+1"),
    ],
)
def test_typed_wrong_it_says_what_and_writes_nothing(quarter: Typing, line: str, part: str) -> None:
    told = quarter(line)
    assert told.code == 2
    assert part in told.err and told.out == ""
    assert "Traceback" not in told.err


def test_a_misspelt_pattern_is_taken_and_said(quarter: Typing) -> None:
    told = quarter("review 2026-03 --pattern p104")
    assert told.code == 0 and "P-104" in told.err and "Review of P-104" in told.out


def test_an_empty_book_says_what_to_type(typed: Typing) -> None:
    assert typed("pattern add P-1 --impressions 1").code == 0
    told = typed("review")
    assert told.code == 2 and "no mould is in the book yet" in told.err and "defectlog mould add -h" in told.err


def test_no_month_is_the_last_one_that_was_cast(quarter: Typing) -> None:
    assert quarter("review").out.startswith("Review: castings cast in March 2026")


def test_us_units_change_the_figures_shown_and_not_those_stored(quarter: Typing) -> None:
    assert " lb" in quarter("review 2026-03 --units us").out
    assert answer(quarter, "2026-03 --units us")["kg"] == answer(quarter, "2026-03")["kg"]


def test_no_person_is_named(quarter: Typing, tmp_path: Path) -> None:
    page = tmp_path / "march.html"
    quarter("review", "2026-03", "--html", str(page))
    texts = [quarter("review 2026-03").out, quarter("review 2026-03 --json").out, page.read_text(encoding="utf-8")]
    assert not [name for text in texts for name in ("first moulder", "second moulder") if name in text]


def test_the_example_of_the_help_page_works(quarter: Typing, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    assert "Example: defectlog review 2026-03 --html march.html" in quarter("review --help").out
    assert quarter("review 2026-03 --html march.html").code == 0
