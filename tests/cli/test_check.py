"""Is the book sound, on the command line."""

import json


def test_a_sound_book_gets_one_line_on_stderr_and_nothing_else(typed):
    typed("pattern add P-1 --impressions 4")
    answer = typed("check")
    assert (answer.code, answer.out) == (0, "")
    assert answer.err == "sound: nothing to look at, in 0 moulds\n"
    assert typed("check --json").out == "[]\n"


def test_problems_are_listed_with_their_place_and_end_with_1(typed):
    typed("pattern add P-1 --impressions 4 --min-section-mm 9 --max-section-mm 5")
    typed("mould add M-1 --pattern P-1 --made-at '2026-03-03 9:00' --poured-at '2026-03-02 9:00'")
    answer = typed("check")
    assert answer.code == 1
    assert "pattern P-1 A: thinnest wall 9 is more than thickest wall 5" in answer.out
    assert "mould M-1: poured 2026-03-02T09:00, before made 2026-03-03T09:00" in answer.out
    assert answer.err == "2 things to look at, in 1 mould\n"
    codes = {problem["code"] for problem in json.loads(typed("check --json").out)}
    assert codes == {"range-reversed", "dates-out-of-order"}


def test_a_path_mistyped_makes_no_empty_book(typed, book_path):
    answer = typed("check")
    assert answer.code == 3
    assert "there is no book here" in answer.err
    assert not book_path.exists()
