"""Moulds on the command line: runs, pouring a range, corrections."""

import json

import pytest


@pytest.fixture
def shop(typed):
    """A pattern of four, a sand batch, a heat."""
    typed("pattern add P-104 --impressions 4 --name housing")
    typed("sand add S-31 --mixed-at '2026-03-02 6:30'")
    typed("heat add H-7 --melted-at '2026-03-02 9:10' --alloy A356")
    return typed


def one_line(text):
    """Without the line ends that the width of the terminal put in."""
    return " ".join(text.split())


def mould(typed, number):
    return json.loads(typed(f"mould show {number} --json").out)


def test_the_day_in_the_life_of_a_dozen_moulds(shop):
    """A run is made, poured and ready for shakeout in two commands."""
    made = shop("mould add M-225 --count 12 --pattern 104 --sand s31")
    assert made.code == 0
    assert "taking P-104 for '104'" in made.err
    assert "taking S-31 for 's31'" in made.err
    said = "written: mould M-225..M-236 (12 moulds) of pattern P-104 housing, revision A – 48 castings"
    assert said in one_line(made.out)
    poured = shop("mould amend M-225..M-236 --heat H-7 --poured-at '2026-03-02 10:00' --pour-c 715 --pour-order 1")
    assert poured.code == 0
    assert "pouring temperature: 715 °C (was not on record)" in poured.out
    assert "pour order 1 to 12, in the order they were named" in poured.out
    assert "undo: defectlog undo 5" in poured.out
    assert "next: defectlog shakeout M-225..M-236 --good" in poured.out
    assert [mould(shop, number)["pour_order"] for number in ("M-225", "M-236")] == [1, 12]
    assert mould(shop, "M-230")["heat"] == "H-7"


def test_now_is_the_minute_on_the_clock(shop):
    shop("mould add M-1 --pattern P-104")
    shop("mould amend M-1 --poured-at now")
    at = mould(shop, "M-1")["poured_at"]
    assert len(at) in (len("2026-03-02T10:00"), len("2026-03-02"))


def test_the_next_number_is_taken_when_none_is_typed(shop):
    shop("mould add M-007 --pattern P-104")
    answer = shop("mould add --count 2 --pattern P-104")
    assert "M-008..M-009" in answer.out
    assert "the next after the last mould in the book" in answer.out


def test_the_next_number_passes_over_numbers_that_are_taken(shop):
    shop("mould add M-5 --pattern P-104")
    shop("mould add M-3 --pattern P-104")
    assert "M-6..M-8" in shop("mould add --count 3 --pattern P-104").out


def test_in_a_book_without_moulds_the_first_is_number_one(shop):
    """As the answer to a new pattern card says to type next."""
    answer = shop("mould add --count 6 --pattern P-104")
    assert answer.code == 0
    assert "M-1..M-6" in answer.out
    assert "numbers: the first of this book" in one_line(answer.out)


def test_where_the_last_mould_has_no_number_one_must_be_typed(shop):
    shop("mould add Monday --pattern P-104")
    answer = shop("mould add --pattern P-104")
    assert answer.code == 2
    assert "type it: defectlog mould add M-1" in answer.err


def test_a_range_is_a_run_too(shop):
    assert "M-1..M-3 (3 moulds)" in shop("mould add M-1..M-3 --pattern P-104").out
    assert "M-4..M-6 (3 moulds)" in shop("mould add M-4..6 --pattern P-104").out


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ("M-9..M-3", "is not a run of moulds"),
        ("M-1..X-3", "is not a run of moulds"),
        ("'M-1, M-2'", "has a blank, a comma or two dots"),
        ("M-1 --count 0", "0 moulds cannot be made"),
        ("M-1 --count 9999", "no run of 9999"),
        ("side --count 3", "no run of 3 can begin at 'side'"),
    ],
)
def test_a_number_that_could_not_be_named_again_is_refused(shop, wrong, said):
    answer = shop(f"mould add {wrong} --pattern P-104")
    assert answer.code == 2
    assert said in answer.err
    assert "no mould is on record" in shop("mould list").out


def test_a_run_over_numbers_that_are_taken_writes_none_of_them(shop):
    shop("mould add M-3 --pattern P-104")
    answer = shop("mould add M-1 --count 5 --pattern P-104")
    assert answer.code == 2
    assert "in the book already: M-3" in answer.err
    assert [item["mould"] for item in json.loads(shop("mould list --json").out)] == ["M-3"]


def test_an_unknown_pattern_and_sand_are_named_together(shop):
    answer = shop("mould add M-1 --pattern P-999 --sand S-99")
    assert answer.code == 2
    assert "P-999 is not in the book" in answer.err
    assert "S-99 is not in the book" in answer.err


def test_the_pattern_is_needed(shop):
    answer = shop("mould add M-1")
    assert answer.code == 2
    assert "--pattern is needed" in answer.err


def test_gaps_in_a_range_are_left_out_and_said(shop):
    shop("mould add M-1 --pattern P-104")
    shop("mould add M-3 --pattern P-104")
    answer = shop("mould amend M-1..M-3 --heat H-7")
    assert answer.code == 0
    assert "left out, because not in the book: M-2" in answer.out


def test_a_range_is_amended_all_or_none(shop):
    shop("mould add M-1 --count 3 --pattern P-104")
    answer = shop("mould amend M-1..M-3 --revision Z")
    assert answer.code == 2
    assert "there is no revision 'Z'" in answer.err
    assert mould(shop, "M-1")["revision"] is None


def test_several_moulds_cannot_get_one_number(shop):
    shop("mould add M-1 --count 2 --pattern P-104")
    answer = shop("mould amend M-1 M-2 --mould M-9")
    assert answer.code == 2
    assert "2 moulds cannot all be called M-9" in answer.err


def test_what_was_different_before_is_counted(shop):
    shop("mould add M-1 --count 3 --pattern P-104 --pour-c 700")
    shop("mould amend M-2 --pour-c ''")
    answer = shop("mould amend M-1..M-3 --pour-c 720")
    assert "pouring temperature: 720 °C (was 700 °C on 2, not on record on 1)" in answer.out


def test_what_is_odd_is_written_and_pointed_out(shop):
    shop("mould add M-1 --count 2 --pattern P-104")
    answer = shop("mould amend M-1..M-2 --heat H-7 --poured-at '2026-03-02 8:00'")
    assert answer.code == 0
    assert "worth a look – mould M-1..M-2: poured 2026-03-02T08:00, before its heat was melted" in one_line(answer.out)


def test_nothing_to_change_and_an_unknown_option_say_what_to_type(shop):
    shop("mould add M-1 --pattern P-104")
    assert "nothing is said that should change" in shop("mould amend M-1").err
    unknown = shop("mould amend M-1 --pour-temp 700")
    assert unknown.code == 2
    assert "type: defectlog mould amend -h" in unknown.err


def test_a_mould_shows_what_was_worked_out_and_what_comes_next(shop):
    shop("mould add M-1 --pattern P-104 --made-at '2026-03-02 7:00'")
    assert "not poured yet" in shop("mould show 1").out
    shop("mould amend 1 --poured-at '2026-03-02 10:00' --heat H-7")
    page = shop("mould show 1").out
    assert "time the mould stood before pouring: 3 h" in page
    assert "when shaken out: defectlog shakeout M-1 --good" in page


def test_the_list_is_narrowed_and_says_how_to_see_more(shop):
    shop("pattern add P-2 --impressions 1")
    shop("mould add M-1 --count 3 --pattern P-104 --poured-at 2026-03-02")
    shop("mould add X-1 --pattern P-2 --trial yes --poured-at 2026-04-02")
    answer = shop("mould list --pattern 104 --limit 2")
    assert "X-1" not in answer.out
    assert "defectlog mould list --pattern P-104 --limit 10" in answer.out
    assert "poured, trial" in shop("mould list --since 2026-04-01").out
    assert "M-1" not in shop("mould list --since 2026-04-01").out


def unanswered(typed, monkeypatch, *words):
    """Stopped between writing and answering, by a program that is gone."""

    def broken(*_):
        raise KeyboardInterrupt

    with monkeypatch.context() as stopping:
        stopping.setattr("defectlog.cli.records.answer_added", broken)
        assert typed(*words).code == 130
    monkeypatch.setattr("defectlog.book.unanswered.runs", lambda _: False)


def numbers(typed):
    return sorted(item["mould"] for item in json.loads(typed("mould list --json").out))


def test_a_run_without_a_number_that_got_no_answer_is_written_once(shop, monkeypatch):
    """The next numbers after the last mould would be others the second time."""
    shop("mould add M-5 --pattern P-104")
    unanswered(shop, monkeypatch, "mould add --count 2 --pattern P-104")
    assert numbers(shop) == ["M-5", "M-6", "M-7"]
    again = shop("mould add --count 2 --pattern P-104")
    assert again.code == 0
    assert "already in: mould M-6..M-7, written by act 5; nothing was changed" in one_line(again.out)
    assert "undo: defectlog undo 5" in again.out
    assert numbers(shop) == ["M-5", "M-6", "M-7"]
    assert "M-8..M-9" in shop("mould add --count 2 --pattern P-104").out


def test_a_run_that_was_taken_back_meanwhile_is_not_written_again(shop, monkeypatch):
    unanswered(shop, monkeypatch, "mould add M-1 --pattern P-104")
    shop("undo 4")
    again = one_line(shop("mould add M-1 --pattern P-104").out)
    assert "mould M-1: written by act 4 and taken back by act 5; nothing was changed" in again
    assert "to have it back: defectlog undo 5" in again
    assert numbers(shop) == []


def test_json_says_that_a_run_was_in_already(shop, monkeypatch):
    unanswered(shop, monkeypatch, "mould add M-1 --pattern P-104 --json")
    told = json.loads(shop("mould add M-1 --pattern P-104 --json").out)
    assert (told["act"], told["already_in"], told["added"]) == (4, ["M-1"], [])
