"""`shakeout` as it is typed in the shop: what goes on record, what is said back, and what is refused."""

import json
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from defectlog.book.open import open_book
from defectlog.book.undo import undo
from defectlog.cli.session import Session
from tests.cli.conftest import Typed, Typing
from tests.cli.small_shop import acts_written, days_ago, fill, findings, mould_of


@pytest.fixture
def shop(book_path: Path) -> Path:
    fill(book_path)
    return book_path


def refused(answer: Typed, shop: Path) -> str:
    """The message of a command that was refused: exit 2, nothing on stdout, nothing in the journal but the filling."""
    assert answer.code == 2
    assert answer.out == ""
    assert "Traceback" not in answer.err
    assert acts_written(shop) == 1
    return answer.err


def test_a_run_of_good_moulds_is_on_record_as_poured_and_all_good(typed: Typing, shop: Path) -> None:
    answer = typed("shakeout M-225..M-230 --good")
    assert answer.code == 0
    assert "all good: M-225..M-230 (6 moulds, 24 castings)" in answer.out
    assert "undo: defectlog undo 2" in answer.out
    assert {mould_of(shop, f"M-{number}").outcome for number in range(225, 231)} == {"poured"}
    assert mould_of(shop, "M-231").outcome is None
    assert findings(shop) == []


def test_good_a_second_time_changes_nothing(typed: Typing, shop: Path) -> None:
    typed("shakeout M-225 --good")
    answer = typed("shakeout M-225 --good")
    assert "on record already" in answer.out
    assert acts_written(shop) == 2


def test_the_example_of_the_help_page_runs(typed: Typing, shop: Path) -> None:
    line = typed("shakeout -h").out.split("Example: defectlog ")[1].split("\n\n")[0]
    answer = typed(" ".join(line.split()))
    assert answer.code == 0
    assert len(findings(shop, "M-231")) == 1


def test_what_was_seen_is_kept_apart_from_what_it_is_believed_to_be(typed: Typing, shop: Path) -> None:
    answer = typed('shakeout M-231 --scrap 1 --impression 3 --seen "round shiny holes just under the top skin"')
    [finding] = findings(shop, "M-231")
    assert (finding.defect, finding.seen) == (None, "round shiny holes just under the top skin")
    assert (finding.castings, finding.impression, finding.disposition) == (1, 3, "scrap")
    assert "looks like gas holes" in answer.out
    assert '"shiny holes"' in answer.out
    assert "defectlog shakeout M-231 --impression 3 --is gas-holes" in " ".join(answer.out.split())
    assert "cause" not in answer.out + answer.err


def test_the_command_that_it_offers_settles_the_defect(typed: Typing, shop: Path) -> None:
    typed('shakeout M-231 --scrap 1 --impression 3 --seen "round shiny holes"')
    answer = typed("shakeout M-231 --impression 3 --is gas-holes")
    assert answer.code == 0
    assert [item.defect for item in findings(shop, "M-231")] == ["gas-holes"]
    again = typed("shakeout M-231 --is pinholes")
    assert again.code == 2
    assert "no finding on M-231 is without a defect's name" in again.err


@pytest.mark.usefixtures("shop")
def test_the_thanks_count_castings_moulds_and_the_spot(typed: Typing) -> None:
    """The line of the command surface: `4th gas-holes on P-104 in 30 days, 3 of 4 at impression 3 - try: …`."""
    assert (
        "first gas-holes on P-104 in 30 days" in typed("shakeout M-226 --scrap 1 --impression 3 --defect gas-holes").out
    )
    typed("shakeout M-229 --scrap 1 --impression 3 --defect gas-holes")
    typed("shakeout M-233 --scrap 1 --impression 1 --defect gas-holes")
    answer = typed("shakeout M-233 --rework 1 --impression 3 --defect gas-holes")
    said = " ".join(answer.out.split())
    assert "4th gas-holes on P-104 in 30 days (4 castings, 3 moulds), 3 of 4 at impression 3" in said
    assert "try: defectlog why P-104" in said


def test_a_misspelt_defect_is_taken_and_said(typed: Typing, shop: Path) -> None:
    answer = typed('shakeout M-232 --scrap 1 --defect "gas holez"')
    assert "taking gas holes for 'gas holez'" in answer.out
    assert findings(shop, "M-232")[0].defect == "gas-holes"


def test_a_name_that_two_defects_share_is_listed_and_nothing_is_done(typed: Typing, shop: Path) -> None:
    message = refused(typed("shakeout M-232 --scrap 1 --defect blows"), shop)
    assert "gas-holes" in message
    assert "core-blow" in message
    assert "--defect gas-holes" in message


def test_a_name_that_nobody_knows_is_kept_as_the_shops_own(typed: Typing, shop: Path) -> None:
    answer = typed("shakeout M-232 --scrap 1 --defect Zorpling")
    assert answer.code == 0
    assert findings(shop, "M-232")[0].defect == "Zorpling"
    assert "the shop's own name" in " ".join(answer.out.split())


def test_a_learned_word_is_a_name(typed: Typing, shop: Path) -> None:
    typed("identify blows --is gas-holes")
    typed("shakeout M-232 --scrap 1 --defect Blows")
    assert findings(shop, "M-232")[0].defect == "gas-holes"


@pytest.mark.parametrize(
    ("words", "place", "note"),
    [
        ("cope-face", "cope-face", None),
        ("Cope face", "cope-face", None),
        ("cope near gate", "cope-face, near-gate", "place as said: cope near gate"),
        ("behind the zorple", "behind the zorple", None),
    ],
)
def test_place_words_are_settled_and_never_lost(
    typed: Typing, shop: Path, words: str, place: str, note: str | None
) -> None:
    typed("shakeout", "M-231", "--scrap", "1", "--defect", "misrun", "--place", words)
    [finding] = findings(shop, "M-231")
    assert (finding.place, finding.note) == (place, note)


def test_several_moulds_with_the_same_finding(typed: Typing, shop: Path) -> None:
    answer = typed(
        "shakeout M-233 M-234 --rework 1 --impression 3 --defect misrun --by Ann --note late --found fettling"
    )
    assert answer.code == 0
    logged = findings(shop)
    assert [item.mould for item in logged] == ["M-233", "M-234"]
    assert {(item.by, item.note, item.found, item.found_at) for item in logged} == {("Ann", "late", "fettling", None)}
    assert all(item.recorded_at is not None and item.primary for item in logged)


def test_several_impressions_are_one_casting_each(typed: Typing, shop: Path) -> None:
    typed("shakeout M-233 --scrap 2 --impression 1,4 --defect misrun")
    assert [(item.impression, item.castings) for item in findings(shop)] == [(1, 1), (4, 1)]


def test_a_casting_thrown_on_the_heap_without_a_word_is_logged(typed: Typing, shop: Path) -> None:
    answer = typed("shakeout M-233 --scrap 1")
    assert answer.code == 0
    assert findings(shop)[0].seen == "not said"
    assert "defectlog shakeout M-233 --is" in answer.out


def test_with_no_count_it_is_one_casting_and_undecided(typed: Typing, shop: Path) -> None:
    typed("shakeout M-233 --defect misrun")
    assert [(item.castings, item.disposition) for item in findings(shop)] == [(1, "undecided")]


def test_a_second_defect_on_a_casting_is_not_charged_twice(typed: Typing, shop: Path) -> None:
    typed("shakeout M-233 --scrap 1 --impression 2 --defect misrun")
    answer = typed("shakeout M-233 --impression 2 --defect flash --secondary")
    assert answer.code == 0
    assert [(item.defect, item.primary, item.disposition) for item in findings(shop)] == [
        ("misrun", True, "scrap"),
        ("flash", False, None),
    ]


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("shakeout M-231 --scrap 5", "5 bad castings are told of; M-231 has 4 castings"),
        ("shakeout M-231 --scrap 1 --impression 7", "there is no impression 7"),
        ("shakeout M-231 --scrap 3 --impression 3", "3 castings are told of, and 1 impressions"),
        ("shakeout M-231 --scrap 1 --rework 1 --impression 1,2", "one command each"),
        ("shakeout M-231 --scrap 2 --impression 3,3", "impression 3 is named twice"),
        ("shakeout M-231 --impression 3 --defect flash --secondary", "no first defect is on record"),
        ("shakeout M-999 --scrap 1", "M-999 is not in the book"),
        ("shakeout M-240..M-225 --good", "runs backwards"),
        ("shakeout M-301 --scrap 1", "lost before pouring"),
        ("shakeout M-301 --good", "lost before pouring"),
        ("shakeout M-302 --good", "still to come"),
        ("shakeout M-231 --scrap 5,1", "'5,1' is not a whole number"),
        ("shakeout M-231 --scrap -1", "is not a whole number"),
        ("shakeout M-231 --scrap 1 --found nowhere", "'nowhere' is not one of the choices"),
        ("shakeout M-231 --scrap 1 --found-at 2026-02-31", "there is no such day"),
        ("shakeout M-231 --scrap 1 --found-at 2001-01-01", "but M-231 was cast"),
        ("shakeout M-231 --good --scrap 1", "allowed: one of the two"),
        ("shakeout M-231 --seen round shiny holes", "several words go in quotes"),
        ("shakeout M-231", "nothing is told of M-231"),
        ("shakeout", "no mould is named"),
    ],
)
def test_what_cannot_be_is_refused_in_plain_words(typed: Typing, shop: Path, line: str, said: str) -> None:
    assert said in refused(typed(line), shop)


def test_nothing_was_found_tomorrow(typed: Typing, shop: Path) -> None:
    tomorrow = days_ago(-1).date()
    message = refused(typed(f"shakeout M-231 --scrap 1 --found-at {tomorrow}"), shop)
    assert "that is still to come" in message


def test_every_flag_that_cannot_be_read_is_said_at_once(typed: Typing, shop: Path) -> None:
    message = refused(typed("shakeout M-231 --scrap 5,1 --impression x --found nowhere --found-at 31/12"), shop)
    assert all(flag in message for flag in ("--scrap", "--impression", "--found:", "--found-at"))


def test_the_same_impression_cannot_be_charged_twice(typed: Typing, shop: Path) -> None:
    typed("shakeout M-231 --scrap 1 --impression 3 --defect misrun")
    answer = typed("shakeout M-231 --scrap 1 --impression 3 --defect misrun")
    assert answer.code == 2
    assert "add --secondary" in answer.err
    assert len(findings(shop)) == 1


@pytest.mark.usefixtures("shop")
def test_a_range_of_good_ones_leaves_out_what_is_bad_lost_or_missing(typed: Typing) -> None:
    typed("shakeout M-231 --scrap 1 --defect misrun")
    answer = typed("shakeout M-230..M-246 --good")
    said = " ".join(answer.out.split())
    assert "all good: M-230, M-232..M-244 (14 moulds, 56 castings)" in said
    assert "left as they are, bad castings on record: M-231" in said
    assert "not in the book and left out: M-245..M-246" in said
    single = typed("shakeout M-231 --good")
    assert single.code == 2
    assert "so it is not all good" in single.err


def test_a_mould_with_no_pouring_on_record_is_taken_as_poured_and_said(typed: Typing, shop: Path) -> None:
    answer = typed("shakeout M-303 --good")
    assert "no pouring was on record for M-303: taken as poured" in " ".join(answer.out.split())
    assert mould_of(shop, "M-303").outcome == "poured"
    undated = typed("shakeout M-300 --scrap 1 --defect misrun")
    assert "no day is on record for M-300" in undated.out


def test_undo_takes_all_of_it_back(typed: Typing, shop: Path) -> None:
    typed("shakeout M-231 M-232 --scrap 1 --defect misrun")
    with open_book(shop) as book:
        undo(book, 2)
    assert findings(shop) == []
    assert mould_of(shop, "M-231").outcome is None


def test_a_dry_run_says_it_and_writes_nothing(typed: Typing, shop: Path) -> None:
    answer = typed("shakeout M-231 --scrap 1 --defect misrun --dry-run")
    assert "1 scrap: misrun" in answer.out
    assert "first misrun on P-104" in answer.out
    assert "dry run: nothing was written" in answer.out
    assert acts_written(shop) == 1


def test_the_same_token_writes_once(typed: Typing, shop: Path) -> None:
    first = typed("shakeout M-231 --scrap 1 --defect misrun --token 3f2a")
    second = typed("shakeout M-231 --scrap 1 --defect misrun --token 3f2a")
    assert (first.code, second.code) == (0, 0)
    assert "already in: it was written by act 2" in second.out
    assert len(findings(shop)) == 1


@pytest.mark.usefixtures("shop")
def test_what_people_type_cannot_drive_the_terminal(typed: Typing) -> None:
    words = "[bold]holes[/bold] <b> =1+1 \u202egnp"
    answer = typed("shakeout", "M-231", "--scrap", "1", "--seen", words)
    assert answer.code == 0
    assert "\u202e" not in answer.out
    assert "[bold]holes[/bold] <b> =1+1" in answer.out
    refused = typed("shakeout", "M-231", "--scrap", "1", "--seen", "\x1b[31mred\x1b[0m")
    assert refused.code == 2
    assert "--seen: a character that cannot be seen (U+001B)" in refused.err
    assert "\x1b" not in refused.err


@pytest.mark.usefixtures("shop")
def test_json_answers_what_was_understood(typed: Typing) -> None:
    answer = typed(
        'shakeout M-231 --scrap 1 --impression 3 --seen "round smooth shiny holes just under the skin" --json'
    )
    told = json.loads(answer.out)
    assert told["act"] == 2
    assert told["undo"] == "defectlog undo 2"
    assert told["moulds"][0]["findings"][0]["defect"] is None
    assert told["looks_like"][0]["settle"] == "defectlog shakeout M-231 --impression 3 --is gas-holes"
    assert told["recurrence"][0]["if_so"] is True


@pytest.fixture
def asked(monkeypatch: pytest.MonkeyPatch) -> Iterator[tuple[list[str], list[str]]]:
    """(answers to give, questions that were asked): a person at a terminal."""
    answers: list[str] = []
    questions: list[str] = []

    def ask(_session: Session, question: str) -> str:
        questions.append(question)
        return answers.pop(0)

    monkeypatch.setattr(Session, "can_ask", lambda _session: True)
    monkeypatch.setattr(Session, "ask", ask)
    yield answers, questions
    assert answers == []


def test_at_a_terminal_it_asks_one_key_an_answer(typed: Typing, shop: Path, asked: tuple[list[str], list[str]]) -> None:
    answers, questions = asked
    answers += ["1", "s", "3", "round smooth shiny holes just under the skin", "5"]
    answer = typed("shakeout M-231")
    [finding] = findings(shop)
    assert (finding.castings, finding.disposition, finding.impression) == (1, "scrap", 3)
    assert (finding.defect, finding.seen, finding.place) == (
        None,
        "round smooth shiny holes just under the skin",
        "near-gate",
    )
    assert len(questions) == 5
    assert not any("cause" in question or "why" in question for question in questions)
    assert "looks like gas holes" in answer.out


def test_the_list_has_nine_keys_and_this_patterns_commonest_first(
    typed: Typing, shop: Path, asked: tuple[list[str], list[str]]
) -> None:
    typed("identify shortrun --is misrun")
    typed("shakeout M-226 M-227 M-228 --scrap 1 --defect misrun")
    answers, _ = asked
    answers += ["1", "r", "", "1", ""]
    answer = typed("shakeout M-231")
    listed = [line for line in answer.err.splitlines() if line.startswith("   ")]
    assert listed[0] == "   1  shortrun (misrun)"
    assert [line.split()[0] for line in listed[:9]] == list("123456789")
    assert findings(shop, "M-231")[0].defect == "misrun"


def test_enter_all_the_way_is_dont_know_and_nothing_is_written_of_that_mould(
    typed: Typing, shop: Path, asked: tuple[list[str], list[str]]
) -> None:
    answers, _ = asked
    answers += ["", "0"]
    answer = typed("shakeout M-231 M-232")
    assert "all good: M-232" in answer.out
    assert mould_of(shop, "M-231").outcome is None


def test_enter_after_the_number_still_logs_the_casting(
    typed: Typing, shop: Path, asked: tuple[list[str], list[str]]
) -> None:
    answers, _ = asked
    answers += ["1", "", "", "", ""]
    typed("shakeout M-231")
    assert [(item.disposition, item.seen) for item in findings(shop)] == [("undecided", "not said")]


def test_castings_that_go_different_ways_keep_their_impressions(
    typed: Typing, shop: Path, asked: tuple[list[str], list[str]]
) -> None:
    answers, _ = asked
    answers += ["3", "ssr", "1 2 4", "round smooth shiny holes just under the skin", ""]
    answer = typed("shakeout M-231")
    assert answer.out.count("looks like") == 1
    assert "defectlog shakeout M-231 --impression 1,2,4 --is gas-holes" in " ".join(answer.out.split())
    assert [(item.disposition, item.impression) for item in findings(shop)] == [
        ("scrap", 1),
        ("scrap", 2),
        ("rework", 4),
    ]


def test_a_wrong_key_is_asked_again(typed: Typing, shop: Path, asked: tuple[list[str], list[str]]) -> None:
    answers, _ = asked
    answers += ["9", "5,1", "1", "q", "s", "7", "x", "2", "99", "2", "cope"]
    answer = typed("shakeout M-231")
    assert "a number from 0 to 4" in answer.err
    assert findings(shop)[0].impression == 2


def test_nothing_heavy_is_loaded(typed: Typing, shop: Path) -> None:
    """Neither numpy, pandas, sqlite_utils, scipy, pydantic nor rich: logging a casting must not wait for them."""
    typed("shakeout M-225 --good")
    script = (
        "import sys; from defectlog.cli.main import run; "
        f"code = run(['--book', {str(shop)!r}, 'shakeout', 'M-231', '--scrap', '1', '--seen', 'round shiny holes']); "
        "heavy = {'numpy', 'pandas', 'sqlite_utils', 'scipy', 'pydantic', 'rich'} & set(sys.modules); "
        "sys.exit(f'{code} {heavy}' if code or heavy else 0)"
    )
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
