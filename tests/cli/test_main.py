"""The program itself: verbs, global options, books of another shape."""

from pathlib import Path

import pytest

from defectlog.cli.main import VERBS, global_options, run
from tests.cli.conftest import Typing


def test_a_verb_that_does_not_exist_gets_the_nearest_ones(typed: Typing) -> None:
    answer = typed("shakout M-1")
    assert answer.code == 2
    assert answer.err == "defectlog: there is no verb 'shakout'\n  nearest: shakeout\n  to see them: defectlog -h\n"


def test_a_verb_like_nothing_gets_them_all(typed: Typing) -> None:
    answer = typed("xyzzy")
    assert answer.code == 2
    assert all(verb in answer.err for verb in VERBS)


def test_global_options_may_stand_anywhere_up_to_a_lone_dash() -> None:
    front, rest = global_options(["why", "P-1", "--json", "--book", "b.db", "--units=us", "--", "--plain"])
    assert front == ["--json", "--book", "b.db", "--units=us"]
    assert rest == ["why", "P-1", "--", "--plain"]


def test_units_that_nobody_knows_are_refused(typed: Typing) -> None:
    answer = typed("why P-1 --units imperial")
    assert answer.code == 2
    assert "there are no units 'imperial'\n  allowed: metric, us\n" in answer.err


def test_a_file_that_is_no_book_is_refused_and_left_alone(typed: Typing, book_path: Path) -> None:
    book_path.write_bytes(b"hello, not a database")
    for command in ("why P-1", "mould list", "heat add H-1"):
        answer = typed(command)
        assert answer.code == 3
        assert "this is not a record book" in answer.err
    assert book_path.read_bytes() == b"hello, not a database"


def test_a_new_book_is_said_only_once_it_is_there(typed: Typing, tmp_path: Path) -> None:
    answer = typed("--book", str(tmp_path / "nowhere" / "shop.db"), "heat", "add", "H-1")
    assert answer.code == 3
    assert "new book" not in answer.err
    assert "new book" in typed("heat add H-1").err


def test_the_journal_keeps_the_command_and_not_where_the_book_lies(typed: Typing, book_path: Path) -> None:
    typed("heat", "add", "H-1", "--note", "two words")
    answer = typed("history H-1")
    assert "defectlog heat add H-1 --note 'two words'" in answer.out
    assert str(book_path) not in answer.out


@pytest.mark.parametrize("verb", ["heat", "remedy", "rules"])
def test_a_verb_alone_that_needs_more_prints_its_help(typed: Typing, verb: str) -> None:
    answer = typed(verb)
    assert answer.code == 2
    assert f"Usage: defectlog {verb}" in answer.err


def test_the_version_is_printed(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["--version"]) == 0
    assert capsys.readouterr().out.startswith("defectlog ")
