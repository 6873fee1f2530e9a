"""The pattern card on the command line: written, shown with its history, amended."""

import json

import pytest

CARD = (
    "pattern add P-104 --name housing --impressions 4 --casting-kg 0.42 --poured-kg 2.6 --alloy A356"
    " --choke-mm2 120 --gate-mm2 200 --sprue-height-mm 150"
)


def test_a_card_is_said_back_with_the_way_to_undo_it_and_the_next_step(typed):
    answer = typed("pattern add P-104 --impressions 4 --casting-kg '0.42 kg'")
    assert answer.code == 0
    assert "written: pattern P-104, revision A" in answer.out
    assert "weight of one casting: 0.42 kg" in answer.out
    assert "undo: defectlog undo 1" in answer.out
    assert "next: defectlog mould add --count 6 --pattern P-104" in answer.out
    assert "new book" in answer.err


def test_everything_that_is_missing_is_named_in_one_answer_and_nothing_is_written(typed):
    answer = typed("pattern add")
    assert answer.code == 2
    assert "no number is given" in answer.err
    assert "--impressions is needed" in answer.err
    assert "no pattern is on record" in typed("pattern list").out


def test_every_value_that_cannot_be_taken_is_named_in_one_answer(typed):
    answer = typed("pattern add P-1 --impressions 5,1 --casting-kg '3 mm' --in-force-from 2026-02-30")
    assert answer.code == 2
    assert "'5,1' is not a whole number" in answer.err
    assert "'3 mm' is in mm" in answer.err
    assert "there is no such day as '2026-02-30'" in answer.err


def test_at_a_terminal_what_is_missing_is_asked_for_until_it_can_be_taken(typed, monkeypatch):
    answers = iter(["four\n", "4\n"])
    monkeypatch.setattr("sys.stdin.isatty", lambda: True)
    monkeypatch.setattr("sys.stdin.readline", lambda: next(answers))
    answer = typed("pattern add P-104")
    assert answer.code == 0
    assert "castings on the plate?" in answer.err
    assert "'four' is not a whole number" in answer.err
    assert "castings on the plate: 4" in answer.out


def test_a_fast_gate_brings_a_caution_that_claims_no_proof(typed):
    # By hand: 0.8 × √(2 × 9.81 × 0.15) × 120/200 = 0.823 m/s. The critical 0.5 m/s: J. Campbell, Castings.
    answer = typed(CARD)
    assert "CAUTION: Worked out, the metal leaves the gates at 0.82 m/s" in answer.out
    assert "not proof" in " ".join(answer.out.split())
    assert "CAUTION" in typed("pattern show P-104").out
    assert "CAUTION" not in typed("pattern amend P-104 --gate-mm2 400").out


def test_the_same_card_twice_is_refused_with_the_way_to_correct_it(typed):
    typed(CARD)
    answer = typed("pattern add P-104 --impressions 6")
    assert answer.code == 2
    assert "P-104 A is already in the book" in answer.err
    assert "defectlog pattern amend P-104 A" in answer.err


def test_a_number_that_differs_only_in_its_hyphen_is_not_a_new_pattern(typed):
    typed(CARD)
    answer = typed("pattern add p104 --impressions 6")
    assert answer.code == 2
    assert "P-104 is in the book, and is written almost the same" in answer.err


def test_a_further_revision_begins_today_and_takes_over_what_is_not_typed(typed):
    typed(CARD)
    answer = typed("pattern add P-104 --revision B --as-before --gate-mm2 320")
    assert answer.code == 0
    assert "metal per mould: 2.6 kg" in answer.out
    assert "gate area, all gates of the mould: 320 mm²" in answer.out
    assert "in force from today (no day was typed)" in answer.out
    shown = json.loads(typed("pattern show P-104 --json").out)
    assert shown["revision"] == "B"
    assert [card["gate_mm2"] for card in shown["revisions"]] == [200, 320]
    assert json.loads(typed("pattern show P-104 a --json").out)["gate_mm2"] == 200


def test_as_before_without_a_card_before_is_refused(typed):
    answer = typed("pattern add P-9 --as-before")
    assert answer.code == 2
    assert "no card of P-9" in answer.err


def test_with_two_revisions_an_amendment_must_say_which(typed):
    typed(CARD)
    typed("pattern add P-104 --revision B --as-before")
    answer = typed("pattern amend P-104 --cores 2")
    assert answer.code == 2
    assert "name the revision too" in answer.err
    assert "amended: pattern P-104, revision B" in typed("pattern amend P-104 b --cores 2").out


def test_the_card_shows_what_was_made_of_it(typed):
    typed(CARD)
    typed("mould add M-1 --count 3 --pattern P-104")
    typed("mould amend M-1..M-2 --poured-at '2026-03-02 10:00'")
    typed("mould amend M-3 --outcome 'lost before pouring'")
    shown = json.loads(typed("pattern show P-104 --json").out)
    assert (shown["moulds"], shown["castings"], shown["good"]) == (2, 8, 8)
    assert (shown["lost_before_pouring"], shown["not_poured_yet"]) == (1, 0)
    assert shown["computed"]["casting_yield_pct"]["value"] > 64
    page = typed("pattern show P-104").out
    assert "2 moulds – 8 castings: 8 good first time" in page
    assert "moulds besides: 1 lost before pouring" in page
    assert "computed from 4 × 0.42 kg of castings" in " ".join(page.split())


def test_figures_are_shown_in_us_units_and_stay_what_they_are(typed):
    typed("pattern add P-1 --impressions 2 --casting-kg '5 lb' --pour-high-c '1330 F'")
    page = typed("pattern show P-1 --units us").out
    assert "5 lb" in page
    assert "1330 °F" in page
    # (1330 − 32) × 5/9, NIST SP 811.
    assert json.loads(typed("pattern show P-1 --json").out)["pour_high_c"] == pytest.approx(721.1111, abs=1e-4)


def test_a_misspelt_name_is_taken_when_it_is_clear_and_said(typed):
    typed(CARD)
    answer = typed("pattern show housng")
    assert answer.code == 0
    assert "taking P-104 for 'housng'" in answer.err


def test_names_that_could_be_markup_or_formulas_or_drive_a_terminal_stay_text(typed):
    name = "=1+1 <b>[red]"
    answer = typed("pattern", "add", name, "--impressions", "1", "--note", "[red] \u202e")
    assert typed("pattern", "add", "P-1", "--impressions", "1", "--note", "bell\x07 \x1b[31mred").code == 2
    assert answer.code == 0
    page = typed("pattern", "show", name).out
    assert name in page
    assert "\u202e" not in page
    assert f'defectlog mould add --count 6 --pattern "{name}"' in page
