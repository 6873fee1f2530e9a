"""defectlog why: the answer on the invented quarter's book, and what is said to wrong typing."""

import json
import re
from pathlib import Path
from typing import Any

import pytest

from defectlog.cli.main import run
from defectlog.jobs.invented_shop import write_sheets
from tests.cli.conftest import Typed, Typing


@pytest.fixture(scope="module")
def quarter(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The invented quarter in a book; read only by the tests of this file."""
    folder = tmp_path_factory.mktemp("quarter")
    write_sheets(folder / "sheets")
    assert run(["--book", str(folder / "shop.db"), "import", str(folder / "sheets")]) == 0
    return folder / "shop.db"


@pytest.fixture
def asked(quarter: Path, typed: Typing) -> Typing:
    def ask(*words: str) -> Typed:
        import shlex

        return typed("--book", str(quarter), "why", *(shlex.split(words[0]) if len(words) == 1 else words))

    return ask


def document(answer: Typed) -> dict[str, Any]:
    assert answer.code == 0, answer.err
    found: dict[str, Any] = json.loads(answer.out)
    return found


def test_the_wet_sand_is_found_with_its_readings_side_by_side(asked: Typing) -> None:
    answer = asked("P-104")
    assert answer.code == 0
    assert "1. Sand too wet" in answer.out
    assert "moisture above 4.5 % on 12 of 14 bad batches of sand, on 3 of 75 good" in answer.out
    assert "CAUTION" in answer.out
    assert "defectlog verdict P-104 gas-holes sand-too-wet confirmed" in answer.out


def test_the_odd_impression_is_found_and_its_counts_are_shown(asked: Typing) -> None:
    first = document(asked("P-130 --defect cold-shut --json"))["defects"][0]
    assert first["causes"][0]["cause"] == "one-gate-bad"
    assert first["same_place"]["odds_of_luck"] < 1e-6


@pytest.mark.parametrize("rows", ["", " --table", " --explain sand-too-wet"])
def test_where_there_is_nothing_to_lay_out_it_says_why(typed: Typing, tmp_path: Path, rows: str) -> None:
    book = f"--book {tmp_path / 'new.db'}"
    typed(*f"{book} pattern add P-9 --impressions 1".split())
    answer = typed(*f"{book} why P-9{rows}".split())
    assert answer.code == 0
    assert "No mould of this pattern was poured in that time." in answer.out


def test_a_defect_that_was_not_found_is_told_from_nothing_found(asked: Typing) -> None:
    answer = asked("P-104 --defect sink")
    assert answer.code == 0
    assert "The defect that was asked for was not found on it in that time." in answer.out
    assert "Also found on it: gas holes" in answer.out


def test_the_other_patterns_of_the_same_sand_and_heats_are_counted_beside_it(asked: Typing) -> None:
    """Ten of their 644 moulds, by hand from the demo book; a fault of the plate spares them."""
    answer = asked("P-104")
    told = " ".join(answer.out.split())
    assert "other patterns out of the same sand or heats: bad in 10 of 644 moulds; this one in" in told
    plate = document(asked("P-130 --defect cold-shut --json"))["defects"][0]
    assert plate["alongside"] == {"moulds_bad": 0, "moulds": 676}


def test_the_document_has_every_key_that_scripts_read(asked: Typing) -> None:
    answer = document(asked("P-104 --json"))
    assert {"pattern", "since", "until", "moulds", "moulds_with_scrap", "castings", "scrapped", "scrap_rate",
            "interval", "defects"} <= set(answer)  # fmt: skip
    defect = answer["defects"][0]
    assert {"defect", "castings", "moulds", "causes", "stands_out", "unexplained", "same_place", "changed",
            "ask_next"} <= set(defect)  # fmt: skip
    cause = defect["causes"][0]
    assert {"cause", "name", "area", "acts_at", "share", "parts", "readings", "for", "against", "look_next",
            "remedies", "cautions", "sources", "cannot_be_told_from"} <= set(cause)  # fmt: skip
    assert set(cause["parts"]) == {"handbook", "looks", "place", "spread", "readings", "history"}
    assert set(cause["readings"][0]) == {
        "reading",
        "limit",
        "side",
        "bad",
        "good",
        "unit",
        "not_on_record",
        "hand_test",
    }


def test_shares_and_what_is_unexplained_add_up_to_one(asked: Typing) -> None:
    for defect in document(asked("P-104 --json"))["defects"]:
        total = sum(cause["share"] for cause in defect["causes"]) + defect["unexplained"]
        assert total == pytest.approx(1.0, abs=0.003)


def test_the_ranking_can_be_seen_without_past_verdicts(asked: Typing) -> None:
    with_it = document(asked("P-104 --defect gas-holes --json"))["defects"][0]["causes"][0]
    without = document(asked("P-104 --defect gas-holes --without-history --json"))["defects"][0]["causes"][0]
    assert with_it["parts"]["history"] > 0
    assert without["parts"]["history"] == 0


def test_explain_goes_down_to_the_rows_the_limit_and_its_source(asked: Typing) -> None:
    answer = asked("P-104 --explain sand-too-wet")
    assert "Limit: moisture above 4.5 %" in answer.out
    assert "Handbook weight" in answer.out
    assert "S-0" in answer.out


def test_the_table_says_where_it_is_and_where_it_is_not(asked: Typing) -> None:
    answer = asked("P-130 --defect cold-shut --table")
    assert re.search(r"which impression: 5 \(\d+ moulds\) – is not: 1, 2, 3, 4, 6", answer.out)


def test_us_units_are_printed_when_asked_for(asked: Typing) -> None:
    answer = asked("P-104", "--defect", "misrun", "--units", "us")
    assert answer.code == 0
    assert "°C" not in answer.out


def test_a_window_narrows_what_is_looked_at(asked: Typing) -> None:
    all_of_it = document(asked("P-104 --json"))
    march = document(asked("P-104 --since 2026-03 --until 2026-03 --json"))
    assert march["moulds"] < all_of_it["moulds"]
    assert march["since"] == "2026-03-01"
    assert march["until"] == "2026-03-31"


def test_a_month_without_moulds_is_said_plainly(asked: Typing) -> None:
    answer = asked("P-104 --since 2025-01 --until 2025-02")
    assert answer.code == 0
    assert "No mould of this pattern was poured in that time." in answer.out


def test_a_casting_of_which_only_the_look_is_known_counts_by_its_look(typed: Typing) -> None:
    assert typed("pattern add P-9 --impressions 2").code == 0
    assert typed('mould add M-1 --count 4 --pattern P-9 --sand "" --poured-at "2026-03-09 9:40"').code == 0
    assert typed('shakeout M-1 --scrap 1 --seen "round shiny holes just under the top skin"').code == 0
    answer = document(typed("why P-9 --json"))
    assert [(item["defect"], item["castings"], item["by_look"]) for item in answer["defects"]] == [("gas-holes", 1, 1)]


def test_a_defect_of_the_shops_own_is_counted_though_no_rule_explains_it(typed: Typing) -> None:
    typed("pattern add P-9 --impressions 2")
    typed('mould add M-1 --count 4 --pattern P-9 --poured-at "2026-03-09 9:40"')
    assert typed("shakeout M-1 --scrap 1 --defect zorple").code == 0
    answer = typed("why P-9")
    assert answer.code == 0
    assert "The rule base knows no cause of this defect." in answer.out


@pytest.mark.parametrize("near", ["104", "p104", "P104"])
def test_a_pattern_typed_short_is_taken_and_said(asked: Typing, near: str) -> None:
    answer = asked(near)
    assert answer.code == 0
    assert "P-104" in answer.err


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("P-999",), "P-999 is not in the book"),
        (("P-104", "--since", "04/03/2026"), "could be day first or month first"),
        (("P-104", "--until", "2026-02-30"), "there is no such day"),
        (("P-104", "--explain", "the moon"), "is no cause that the rules know"),
        (("[bold]P-104[/bold]",), "not in the book"),
        (("=1+1",), "not in the book"),
        (("<script>",), "not in the book"),
    ],
)
def test_wrong_typing_gets_one_message_and_exit_code_2(asked: Typing, words: tuple[str, ...], says: str) -> None:
    answer = asked(*words)
    assert answer.code == 2
    assert says in answer.err
    assert "Traceback" not in answer.err
    assert answer.out == ""


def test_a_book_that_is_not_there_is_not_made_by_asking(typed: Typing, book_path: Path) -> None:
    answer = typed("why P-104")
    assert answer.code == 3
    assert not book_path.exists()
