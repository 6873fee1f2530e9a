"""Taking back on the command line."""

import json


def test_the_last_act_is_taken_back_and_can_be_had_back(typed):
    typed("pattern add P-1 --impressions 4")
    typed("mould add M-1 --count 12 --pattern P-1")
    answer = typed("undo")
    assert answer.code == 0
    assert "taken back: act 2" in answer.out
    assert "mould M-1..M-12: withdrawn" in answer.out
    assert "to have it back: defectlog undo 3" in answer.out
    assert typed("mould list --json").out == "[]\n"
    typed("undo 3")
    assert len(json.loads(typed("mould list --json").out)) == 12


def test_the_old_value_is_back_and_why_is_kept(typed):
    typed("heat add H-7 --alloy A356")
    typed("heat amend H-7 --alloy A357")
    answer = typed("undo --why 'read the wrong label'")
    assert "heat H-7: alloy was A357, became A356" in answer.out
    assert json.loads(typed("heat show H-7 --json").out)["alloy"] == "A356"
    assert "read the wrong label" in typed("history H-7").out


def test_a_dry_run_takes_nothing_back(typed):
    typed("heat add H-7")
    answer = typed("undo --dry-run")
    assert "tried out, nothing written" in answer.out
    assert typed("heat show H-7").code == 0


def test_what_others_rest_on_is_not_taken_back(typed):
    typed("heat add H-7")
    typed("pattern add P-1 --impressions 4")
    typed("mould add M-1 --pattern P-1 --heat H-7")
    answer = typed("undo 1")
    assert answer.code == 2
    assert "defectlog undo 3" in answer.err


def test_a_long_act_is_summed_up(typed):
    typed("pattern add P-1 --impressions 4")
    typed("mould add M-1 --count 12 --pattern P-1")
    typed("mould amend M-1..M-12 --pour-order 1")
    answer = typed("undo")
    assert "and 4 lines more, see: defectlog history act 3" in answer.out


def test_an_act_that_is_not_there_and_nothing_to_undo_are_said(typed):
    typed("heat add H-7")
    assert "there is no act 99" in typed("undo 99").err
    typed("undo")
    answer = typed("undo")
    assert answer.code == 2
    assert typed("undo zero").code == 2
