"""`identify` as it is typed: the ranking, the one question, refusals of dangerous fixes, and the shop's own words."""

import json
import shlex
from collections.abc import Iterator
from pathlib import Path

import pytest

from defectlog.cli.session import Session
from tests.cli.conftest import Typing

# The keys of the command surface (design of `identify`), in their order.
KEYS = ["text", "signs", "places", "defects", "ask", "undecided"]
CLEAR = "round smooth shiny holes just under the top skin"


def test_json_has_the_keys_of_the_command_surface(typed: Typing) -> None:
    told = json.loads(typed(f'identify "{CLEAR}" --json').out)
    assert list(told) == KEYS
    assert list(told["signs"][0]) == ["sign", "present", "from", "score"]
    assert list(told["defects"][0]) == ["defect", "name", "share", "for", "against"]
    assert told["ask"] is None or list(told["ask"]) == ["sign", "question", "gain_bits"]
    assert told["defects"][0]["defect"] == "gas-holes"
    assert told["undecided"] is False


def test_the_page_says_what_it_is_and_why(typed: Typing) -> None:
    out = " ".join(typed(f'identify "{CLEAR}"').out.split())
    assert out.startswith("It looks like gas holes (0.")
    assert "for: Just below the skin" in out
    assert "To make sure" in out
    assert "CAUTION: Saw only" in out


def test_the_example_of_the_help_page_runs(typed: Typing) -> None:
    line = typed("identify -h").out.split("Example: defectlog ")[1].split("\n\n")[0]
    assert "gas holes" in typed(" ".join(line.split())).out


def test_words_need_no_quotes(typed: Typing) -> None:
    assert typed("identify round smooth shiny holes just under the top skin").out.startswith("It looks like gas holes")


def test_undecided_is_said_plainly_with_the_one_question(typed: Typing) -> None:
    answer = typed("identify holes in the casting, porosity")
    out = " ".join(answer.out.split())
    assert out.startswith("Undecided: ")
    assert "One look would tell most" in out
    assert 'defectlog identify "holes in the casting, porosity" --answer' in out


def test_what_separates_the_leaders_is_told_in_the_rules_words(typed: Typing) -> None:
    out = " ".join(typed("identify round shiny holes").out.split())
    assert "What separates them" in out
    assert "Gas holes or pinholes?" in out or "Pinholes or gas holes?" in out


def test_the_command_of_the_question_runs_and_settles_something(typed: Typing) -> None:
    text = "holes in the casting, porosity"
    before = json.loads(typed("identify", text, "--json").out)
    sign = before["ask"]["sign"]
    page = typed("identify", text).out
    command = next(line for line in page.splitlines() if "--answer" in line)
    answered = typed(*shlex.split(command)[1:], "--json")
    told = json.loads(answered.out)
    assert {"sign": sign, "present": True, "from": "your answer", "score": 100} in told["signs"]
    assert told["ask"] is None or told["ask"]["sign"] != sign


def test_answers_that_cannot_be_taken_are_all_said_at_once(typed: Typing) -> None:
    answer = typed("identify holes --answer wal-smooth=yes --answer wall-smooth=maybe --answer x")
    assert answer.code == 2
    assert "wall-smooth" in answer.err
    assert "maybe is no answer" in answer.err
    assert "'x' is not an answer" in answer.err


@pytest.mark.parametrize(
    ("words", "named"),
    [
        ("can I charge wet ingots", "Damp or oily pieces"),
        ("we charge some wet ingot", "Damp or oily pieces"),
        ("shall I pour water on the melt to cool it", "turns to steam"),
        ("pour a wet mold?", "Free water under metal"),
        ("PLUNGE A POTATO IN THE MELT", "steam"),
    ],
)
def test_a_dangerous_fix_is_answered_first(typed: Typing, words: str, named: str) -> None:
    out = " ".join(typed("identify", words).out.split())
    assert out.startswith("CAUTION: No.")
    assert named in out
    assert json.loads(typed("identify", words, "--json").out)["refused"]


@pytest.mark.parametrize(
    "words",
    [
        "charge certified ingot",
        "ingot was wet, charge was dry",
        "keep the furnace dry",
        "water marks on the casting, hole near the gate",
        "melt was hot, wet looking skin, cans of paint next to it",
    ],
)
def test_the_same_words_apart_are_no_dangerous_fix(typed: Typing, words: str) -> None:
    assert "refused" not in json.loads(typed("identify", words, "--json").out)


@pytest.mark.parametrize("words", ["", "   "])
def test_nothing_said_is_refused(typed: Typing, words: str) -> None:
    answer = typed("identify", words)
    assert answer.code in (0, 2)
    assert "round shiny holes" in answer.err or "Nothing was said" in answer.out


def test_a_theory_is_no_look(typed: Typing) -> None:
    assert "what you think" in typed("identify sand too wet I reckon").out


def test_asking_makes_no_book(typed: Typing, book_path: Path) -> None:
    typed("identify holes")
    assert not book_path.exists()
    assert "taught no words" in typed("identify --learned").out
    assert not book_path.exists()


def test_a_word_is_learned_shown_and_forgotten(typed: Typing) -> None:
    taught = typed("identify Blows --is gas-holes")
    assert "learned: 'blows' means gas holes" in taught.out
    assert "undo: defectlog undo 1" in taught.out
    assert "nothing was changed" in typed("identify blows --is gas-holes").out
    assert json.loads(typed("identify --learned --json").out) == {"words": {"blows": "gas-holes"}}
    changed = typed('identify blows --is "core blow"')
    assert "(before: gas holes)" in changed.out
    assert "blows" in typed("identify --learned").out
    forgotten = typed("identify --forget blows")
    assert "no longer means core blow" in forgotten.out
    again = typed("identify --forget blows")
    assert again.code == 2
    assert "was never learned" in again.err


@pytest.mark.parametrize(
    ("word", "defect", "said"),
    [
        ("gas holes", "pinholes", "is the name of a defect already"),
        ("a long description of what it looks like", "pinholes", "a description and not a name"),
        ("123", "pinholes", "no word to learn"),
        ("", "pinholes", "no word to learn"),
        ("zorple", "frobnicate", "no defect that the rules know"),
        ("zorple", "blows", "not one clear defect"),
    ],
)
def test_what_cannot_be_learned(typed: Typing, word: str, defect: str, said: str) -> None:
    answer = typed("identify", word, "--is", defect)
    assert answer.code == 2
    assert said in answer.err
    assert "words" in typed("identify --learned").out


@pytest.fixture
def asked(monkeypatch: pytest.MonkeyPatch) -> Iterator[tuple[list[str], list[str]]]:
    answers: list[str] = []
    questions: list[str] = []

    def ask(_session: Session, question: str) -> str:
        questions.append(question)
        return answers.pop(0)

    monkeypatch.setattr(Session, "can_ask", lambda _session: True)
    monkeypatch.setattr(Session, "ask", ask)
    yield answers, questions
    assert answers == []


def test_at_a_terminal_that_is_it_teaches_the_word(typed: Typing, asked: tuple[list[str], list[str]]) -> None:
    answers, questions = asked
    answers += ["y", "pingers"]
    answer = typed("identify", CLEAR)
    assert questions[0].startswith("is it gas holes?")
    assert "learned: 'pingers' means gas holes" in answer.out
    assert json.loads(typed("identify --learned --json").out)["words"] == {"pingers": "gas-holes"}


def test_at_a_terminal_no_more_than_four_questions(typed: Typing, asked: tuple[list[str], list[str]]) -> None:
    answers, questions = asked
    answers += ["what?", "", "", "", ""]
    answer = typed("identify holes in the casting, porosity")
    assert len(questions) == 5
    assert "y for yes" in answer.err
    assert "Undecided" in answer.out


def test_no_ask_asks_nothing(typed: Typing, asked: tuple[list[str], list[str]]) -> None:
    typed("identify --no-ask holes in the casting, porosity")
    assert asked[1] == []


def test_what_people_type_cannot_drive_the_terminal(typed: Typing) -> None:
    answer = typed("identify", "[red]holes[/red] \u202e<b>=1+1 $(rm) `x` under the skin")
    assert answer.code == 0
    assert "\u202e" not in answer.out
    refused = typed("identify", "holes \x1b[31munder the skin")
    assert (refused.code, refused.out) == (2, "")
    assert "cannot be seen (U+001B)" in refused.err
    assert "\x1b" not in refused.err
