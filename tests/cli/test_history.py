"""Who changed what, on the command line."""

import json

import pytest


@pytest.fixture
def shop(typed, monkeypatch):
    typed("pattern add P-1 --impressions 4")
    typed("heat add H-7 --melted-at 2026-03-02")
    typed("mould add M-1 --count 3 --pattern P-1")
    monkeypatch.setenv("DEFECTLOG_WHO", "Ann")
    typed("mould amend M-1..M-3 --heat H-7 --pour-c 715 --why 'from the tally'")
    return typed


def test_a_mould_tells_every_value_it_had_who_changed_it_and_why(shop):
    life = json.loads(shop("history M-1 --json").out)
    assert [act["act"] for act in life["acts"]] == [3, 4]
    assert life["acts"][0]["did"] == ["added"]
    assert life["acts"][1]["did"] == [
        "heat was not on record, became H-7",
        "pour_c was not on record, became 715 °C",
    ]
    assert (life["acts"][1]["who"], life["acts"][1]["why"]) == ("Ann", "from the tally")
    page = " ".join(shop("history M-1").out.split())
    assert "act 4" in page
    assert ", Ann: defectlog" in page
    assert "why: from the tally" in page
    assert "to take back act 4: defectlog undo 4" in page


def test_an_act_tells_what_it_did_to_all_at_once(shop):
    page = shop("history act 4").out
    assert "mould M-1..M-3: pour_c was not on record, became 715 °C" in page
    assert "added mould M-1 to mould M-3, 3 in all" in shop("history 3").out


def test_the_last_acts_are_listed_the_latest_first(shop):
    shop("undo")
    acts = json.loads(shop("history --limit 2 --json").out)
    assert [act["act"] for act in acts] == [5, 4]
    assert acts[1]["undone_by"] == 5
    assert "taken back by 5: defectlog" in shop("history --limit 2").out


def test_a_number_that_is_an_act_and_a_heat_is_asked_back(shop):
    shop("heat add 3")
    answer = shop("history 3")
    assert answer.code == 2
    assert "could be act 3 or heat 3" in answer.err
    assert shop("history heat 3").code == 0


def test_a_number_that_is_no_act_is_a_short_name(shop):
    answer = shop("history 7")
    assert answer.code == 0
    assert "taking H-7 for '7'" in answer.err


@pytest.mark.parametrize("what", ["act x", "act 99", "nonesuch", "heat H-99"])
def test_what_is_not_there_is_said(shop, what):
    assert shop(f"history {what}").code == 2


def test_a_card_that_moves_its_moulds_says_so_in_their_history(shop):
    shop("pattern amend P-1 --impressions 6")
    assert "castings it is counted with was 4, became 6" in shop("history M-1").out
