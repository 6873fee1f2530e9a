"""Sand batches on the command line."""

import json
from datetime import date


def test_a_batch_without_a_time_was_mulled_now_and_that_is_said(typed):
    answer = typed("sand add S-31 --moisture-pct '3,4 %' --squeeze Holds")
    assert answer.code == 0
    assert "when it was mulled: now (no time was typed)" in answer.out
    batch = json.loads(typed("sand show S-31 --json").out)
    assert batch["mixed_at"].startswith(date.today().isoformat())
    assert (batch["moisture_pct"], batch["squeeze"], batch["permeability"]) == (3.4, "holds", None)


def test_a_number_is_needed(typed):
    answer = typed("sand add --moisture-pct 3")
    assert answer.code == 2
    assert "no number is given" in answer.err


def test_a_reading_off_its_scale_is_refused_and_the_choices_are_named(typed):
    answer = typed("sand add S-1 --moisture-pct 400 --squeeze crumbls")
    assert answer.code == 2
    assert "'400' is impossible for moisture" in answer.err
    assert "did you mean 'crumbles'" in answer.err


def test_a_value_is_cleared_by_an_empty_text_and_a_needed_one_cannot_be(typed):
    typed("sand add S-31 --moisture-pct 3.4")
    answer = typed("sand amend S-31 --moisture-pct ''")
    assert "moisture: cleared (was 3.4 %)" in answer.out
    assert json.loads(typed("sand show S-31 --json").out)["moisture_pct"] is None
    refused = typed("sand amend S-31 --mixed-at ''")
    assert refused.code == 2
    assert "needed: when it was mulled" in refused.err


def test_the_newest_stand_first_and_the_way_to_more_is_said(typed):
    for number in (1, 2, 3):
        typed(f"sand add S-{number} --mixed-at 2026-03-0{number}")
    answer = typed("sand list --limit 2")
    assert answer.out.index("S-3") < answer.out.index("S-2")
    assert "S-1" not in answer.out
    assert "defectlog sand list --limit 10" in answer.out
    since = json.loads(typed("sand list --since 2026-03-02 --json").out)
    assert [batch["sand"] for batch in since] == ["S-3", "S-2"]


def test_a_batch_shows_the_moulds_made_from_it(typed):
    typed("pattern add P-1 --impressions 2")
    typed("sand add S-31")
    assert "no mould names it" in typed("sand show S-31").out
    typed("mould add M-1 --count 3 --pattern P-1 --sand S-31")
    page = typed("sand show 31").out
    assert "M-1..M-3" in page
    assert "not poured yet: M-1..M-3" in page


def test_a_list_of_nothing_says_how_to_begin(typed):
    typed("heat add H-1")
    assert "to write one: defectlog sand add" in typed("sand list").out
    assert typed("sand list --json").out == "[]\n"


def test_a_limit_below_nothing_is_refused(typed):
    typed("sand add S-1")
    assert typed("sand list --limit -3").code == 2
