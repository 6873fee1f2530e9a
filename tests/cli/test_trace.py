"""Tracing on the command line: what shares a heat, a batch, a mould, a pattern or a lot, and what is at risk."""

import csv
import io
import json

import pytest

# Two heats of one ingot lot, two sand batches; worked out by hand below.
SHEETS = {
    "patterns": "pattern,impressions\nP-1,4\nP-2,1\n",
    "sand": "sand,mixed_at\nS-1,2026-03-02\nS-2,2026-03-03\n",
    "heats": "heat,melted_at,ingot_lot\nH-1,2026-03-02,77\nH-2,2026-03-03,77\nH-3,2026-03-04,78\n",
    "moulds": (
        "mould,pattern,sand,heat,poured_at,pour_order,outcome,trial\n"
        "M-1,P-1,S-1,H-1,2026-03-02T10:00,2,,\n"
        "M-2,P-1,S-1,H-1,2026-03-02T10:10,1,,\n"
        "M-3,P-2,S-2,H-2,2026-03-03T10:00,,,yes\n"
        "M-4,P-1,S-1,,,,,\n"
        "M-5,P-1,S-2,,,,lost before pouring,\n"
        "M-6,P-1,S-2,H-3,2026-03-04T10:00,,,\n"
    ),
    "findings": (
        "mould,castings,defect,disposition,found,primary\n"
        "M-1,2,gas-holes,scrap,shakeout,yes\n"
        "M-1,1,dross,rework,machining,yes\n"
        "M-1,1,misrun,scrap,shakeout,no\n"
        "M-3,1,gas-holes,scrap,customer,yes\n"
    ),
}


@pytest.fixture
def shop(typed, tmp_path):
    folder = tmp_path / "sheets"
    folder.mkdir()
    for name, text in SHEETS.items():
        (folder / f"{name}.csv").write_text(text, encoding="utf-8")
    assert typed("import", str(folder)).code == 0
    return typed


def traced(typed, what):
    return json.loads(typed(f"trace {what} --json").out)


def test_a_heat_gathers_its_moulds_in_the_order_of_pouring(shop):
    found = traced(shop, "H-1")
    assert [item["mould"] for item in found["moulds"]] == ["M-2", "M-1"]
    # By hand: two moulds of four, two castings scrapped; a secondary defect is not counted twice.
    assert (found["castings"], found["scrapped"], found["not_scrapped"]) == (8, 2, 6)
    assert found["found"] == {"shakeout": 2, "machining": 1}


def test_a_sand_batch_tells_what_can_still_be_stopped(shop):
    found = traced(shop, "S-1")
    assert found["not_poured_yet"] == ["M-4"]
    assert "can still be stopped, not poured yet: M-4" in shop("trace S-1").out
    assert traced(shop, "S-2")["lost_before_pouring"] == ["M-5"]


def test_a_lot_of_ingot_joins_the_heats_made_of_it_and_trials_are_in_it(shop):
    found = traced(shop, "lot 77")
    assert [heat["heat"] for heat in found["heats"]] == ["H-1", "H-2"]
    assert [item["mould"] for item in found["moulds"]] == ["M-2", "M-1", "M-3"]
    assert found["castings"] == 9
    assert traced(shop, "77")["what"] == {"kind": "lot", "name": "77"}


def test_a_mould_names_what_each_other_shares_with_it(shop):
    shares = {item["mould"]: item["shares"] for item in traced(shop, "M-1")["moulds"]}
    assert shares == {
        "M-4": ["sand S-1"],
        "M-2": ["heat H-1", "sand S-1"],
        "M-1": ["the mould itself", "heat H-1", "sand S-1"],
    }


def test_a_pattern_is_traced_too(shop):
    assert {item["mould"] for item in traced(shop, "P-1")["moulds"]} == {"M-1", "M-2", "M-4", "M-5", "M-6"}


def test_the_page_says_how_many_castings_are_at_risk_and_does_not_claim_to_know_where_they_are(shop):
    page = " ".join(shop("trace H-1").out.split())
    assert "2 moulds poured – 8 castings: 5 good first time, 2 scrapped, 1 reworked" in page
    assert "at risk: 6 castings poured and not scrapped. The book does not hold where they are now" in page
    assert "castings with something found: 2 at shakeout, 1 at machining" in page


def test_the_sheet_goes_to_the_screen_or_to_a_new_file(shop, tmp_path):
    rows = list(csv.DictReader(io.StringIO(shop("trace H-1 --csv -").out)))
    assert [(row["mould"], row["good"], row["scrapped"], row["found"]) for row in rows] == [
        ("M-2", "4", "0", ""),
        ("M-1", "1", "2", "shakeout machining"),
    ]
    path = tmp_path / "trace.csv"
    assert shop("trace", "H-1", "--csv", str(path)).code == 0
    written = path.read_text(encoding="utf-8-sig")
    again = shop("trace", "H-1", "--csv", str(path))
    assert again.code == 2
    assert "there is a file here already" in again.err
    assert path.read_text(encoding="utf-8-sig") == written
    nowhere = shop("trace", "H-1", "--csv", str(tmp_path / "no" / "x.csv"))
    assert nowhere.code == 2
    assert "cannot be written" in nowhere.err


def test_a_cell_that_a_spreadsheet_would_take_for_a_formula_is_guarded(typed):
    typed("pattern", "add", "=1+1", "--impressions", "1")
    typed("mould", "add", "M-1", "--pattern", "=1+1")
    assert "M-1,'=1+1," in typed("trace M-1 --csv -").out


def test_a_name_of_two_things_is_asked_back_with_the_command(typed):
    typed("heat add 7")
    typed("sand add 7")
    answer = typed("trace 7")
    assert answer.code == 2
    assert "'7' could be heat 7 or sand 7" in answer.err
    assert "defectlog trace heat 7" in answer.err
    assert typed("trace sand 7").code == 0


def test_a_heat_of_which_nothing_was_poured_says_so(typed):
    typed("heat add H-1")
    assert "no mould names it" in typed("trace H-1").out


def test_short_names_are_taken_when_one_thing_only_answers(shop):
    answer = shop("trace h1 --json")
    assert "taking H-1 for 'h1'" in answer.err
    assert json.loads(answer.out)["what"]["kind"] == "heat"


def test_what_is_not_there_is_said_with_where_it_was_looked_for(shop):
    answer = shop("trace nonesuch")
    assert answer.code == 2
    assert "looked for as: mould, heat, sand, pattern, lot" in answer.err
    assert shop("trace lot 99").code == 2


def test_a_book_that_is_not_there_is_not_made_by_looking(typed, book_path):
    answer = typed("trace H-1")
    assert answer.code == 3
    assert not book_path.exists()
