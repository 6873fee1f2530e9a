"""`verdict` as it is typed: short and misspelt names, what is on record, and what is refused."""

import json
from pathlib import Path

import pytest

from defectlog.book.open import open_book
from defectlog.book.records import find
from defectlog.records.kinds import Verdict
from tests.cli.conftest import Typing
from tests.cli.small_shop import TODAY, acts_written, days_ago, fill


@pytest.fixture
def shop(book_path: Path) -> Path:
    fill(book_path)
    return book_path


def verdicts(path: Path) -> list[Verdict]:
    with open_book(path, read_only=True) as book:
        return [stored.record for stored in find(book, Verdict)]


def test_names_short_and_misspelt_are_settled_and_said(typed: Typing, shop: Path) -> None:
    answer = typed('verdict p104 "gas hols" "wet sand" confirmed --basis "dry batch: none" --by Ann')
    assert answer.code == 0
    expected = Verdict(
        pattern="P-104",
        defect="gas-holes",
        cause="sand-too-wet",
        verdict="confirmed",
        decided_on=TODAY,
        basis="dry batch: none",
        by="Ann",
    )
    assert verdicts(shop) == [expected]
    said = " ".join(answer.out.split())
    assert all(text in said for text in ("taking P-104", "taking gas holes", "taking sand-too-wet"))
    assert "undo: defectlog undo 2" in said
    assert "CAUTION:" in said
    assert 'remedy add P-104 gas-holes "what was changed" --cause sand-too-wet' in said


@pytest.mark.usefixtures("shop")
def test_the_example_of_the_help_page_runs(typed: Typing) -> None:
    line = typed("verdict -h").out.split("Example: defectlog ")[1].split("\n\n")[0]
    assert typed(" ".join(line.split())).code == 0


@pytest.mark.parametrize("word", ["ruled-out", "ruled out", "'Ruled Out'", "RULED_OUT"])
def test_ruled_out_in_every_spelling(typed: Typing, shop: Path, word: str) -> None:
    answer = typed(f"verdict P-104 gas-holes sand-too-wet {word} --on yesterday")
    assert answer.code == 0
    assert [(item.verdict, item.decided_on) for item in verdicts(shop)] == [("ruled out", days_ago(1).date())]


def test_the_same_verdict_twice_is_on_record_once(typed: Typing, shop: Path) -> None:
    typed("verdict P-104 gas-holes sand-too-wet confirmed")
    answer = typed("verdict P-104 gas-holes sand-too-wet confirmed")
    assert "on record already" in answer.out
    assert len(verdicts(shop)) == 1


@pytest.mark.usefixtures("shop")
def test_a_change_of_mind_keeps_both_and_says_so(typed: Typing) -> None:
    typed("verdict P-104 gas-holes sand-too-wet confirmed --on yesterday")
    answer = typed("verdict P-104 gas-holes sand-too-wet ruled-out")
    assert "before it stood: confirmed" in answer.out
    shown = typed("verdict P-104 gas-holes")
    assert [line.split()[0] for line in shown.out.splitlines() if line[:2] == "20"] == [
        TODAY.isoformat(),
        days_ago(1).date().isoformat(),
    ]


def test_a_cause_that_the_rules_do_not_name_for_the_defect_is_kept_and_said(typed: Typing, shop: Path) -> None:
    answer = typed("verdict P-104 misrun swabbed-wet confirmed")
    assert "the rules do not name swabbed-wet for misrun" in " ".join(answer.out.split())
    assert len(verdicts(shop)) == 1


@pytest.mark.usefixtures("shop")
def test_the_view_of_a_pattern(typed: Typing) -> None:
    assert "No verdict is on record for P-104" in typed("verdict P-104").out
    typed("verdict P-104 gas-holes sand-too-wet confirmed --basis '[b]=1+1'")
    assert "[b]=1+1" in typed("verdict P-104").out
    told = json.loads(typed("verdict P-104 --json").out)
    assert [item["cause"] for item in told["verdicts"]] == ["sand-too-wet"]
    assert json.loads(typed("verdict P-104 misrun --json").out)["verdicts"] == []


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("verdict P-999 gas-holes sand-too-wet confirmed", "P-999 is not in the book"),
        ("verdict P-104 blows sand-too-wet confirmed", "not one clear defect"),
        ("verdict P-104 gas-holes wet confirmed", "not one clear cause"),
        ("verdict P-104 gas-holes frobnicate confirmed", "no cause that the rules know"),
        ("verdict P-104 gas-holes sand-too-wet maybe", "'maybe' is not one of the choices"),
        ("verdict P-104 gas-holes sand-too-wet", "it is not said what was found"),
        ("verdict P-104 gas-holes sand-too-wet confirmed --on 2026-02-31", "there is no such day"),
        ("verdict P-104 gas-holes sand-too-wet confirmed --on 03/04/2026", "could be day first or month first"),
        ("verdict", "Missing argument"),
    ],
)
def test_what_cannot_be_taken(typed: Typing, shop: Path, line: str, said: str) -> None:
    answer = typed(line)
    assert answer.code == 2
    assert said in answer.err
    assert acts_written(shop) == 1


@pytest.mark.usefixtures("shop")
def test_a_verdict_of_tomorrow_is_refused(typed: Typing) -> None:
    answer = typed(f"verdict P-104 gas-holes sand-too-wet confirmed --on {days_ago(-1).date()}")
    assert answer.code == 2
    assert "still to come" in answer.err


@pytest.mark.usefixtures("shop")
def test_everything_wrong_is_said_at_once(typed: Typing) -> None:
    answer = typed("verdict P-999 blows frobnicate maybe --on 31/12/2026")
    assert all(text in answer.err for text in ("P-999", "'blows'", "'frobnicate'", "'maybe'", "--on"))


def test_no_book_is_made_for_a_verdict(typed: Typing, book_path: Path) -> None:
    assert typed("verdict P-104").code == 3
    assert not book_path.exists()
