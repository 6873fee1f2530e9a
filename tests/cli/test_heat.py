"""Heats on the command line."""

import json
from datetime import date


def test_a_heat_takes_the_clock_of_today_and_a_temperature_in_fahrenheit(typed):
    answer = typed("heat add H-7 --melted-at 0:10 --alloy A356 --melt-c '1360 F' --skimmed yes")
    assert answer.code == 0
    heat = json.loads(typed("heat show H-7 --json").out)
    assert heat["melted_at"] == f"{date.today().isoformat()}T00:10"
    # (1360 − 32) × 5/9, NIST SP 811.
    assert abs(heat["melt_c"] - 737.7778) < 1e-3
    assert heat["skimmed"] is True
    assert heat["modified"] is None


def test_the_moulds_that_wait_stand_in_the_command_that_comes_next(typed):
    typed("pattern add P-1 --impressions 2")
    typed("mould add M-225 --count 12 --pattern P-1")
    answer = typed("heat add H-7")
    said = "next: defectlog mould amend M-225..M-236 --heat H-7 --poured-at now --pour-c …"
    assert said in " ".join(answer.out.split())


def test_a_date_that_can_be_read_two_ways_is_refused(typed):
    answer = typed("heat add H-7 --melted-at 04/03/2026")
    assert answer.code == 2
    assert "day first or month first" in answer.err


def test_a_moment_ahead_of_the_clock_is_written_and_pointed_out(typed):
    answer = typed("heat add H-7 --melted-at 2199-01-01T10:00")
    assert answer.code == 0
    said = "worth a look – --melted-at: 2199-01-01T10:00 is later than this machine's clock"
    assert said in " ".join(answer.out.split())


def test_a_heat_is_renamed_with_its_moulds(typed):
    typed("pattern add P-1 --impressions 2")
    typed("heat add 7")
    typed("mould add M-1 --pattern P-1 --heat 7")
    answer = typed("heat amend 7 --heat H-7 --why 'number was mistyped'")
    assert answer.code == 0
    assert json.loads(typed("mould show M-1 --json").out)["heat"] == "H-7"
    assert "number was mistyped" in typed("history H-7").out


def test_an_amendment_that_changes_nothing_writes_nothing(typed):
    typed("heat add H-7 --alloy A356")
    answer = typed("heat amend H-7 --alloy A356")
    assert answer.code == 0
    assert "nothing changed" in answer.out
    assert json.loads(typed("history --json").out)[0]["act"] == 1


def test_a_heat_that_is_not_there_is_not_made_up(typed):
    typed("heat add H-7")
    answer = typed("heat amend H-9 --alloy A356")
    assert answer.code == 2
    assert "H-9 is not in the book" in answer.err


def test_json_of_a_write_holds_the_act_and_the_record(typed):
    written = json.loads(typed("heat add H-7 --alloy A356 --json").out)
    assert written["act"] == 1
    assert written["added"][0]["alloy"] == "A356"
    assert written["assumed"] == ["when it was melted: now (no time was typed)"]
    amended = json.loads(typed("heat amend H-7 --alloy A357 --json").out)
    assert amended["changed"] == {"H-7": {"alloy": {"was": "A356", "is": "A357"}}}
