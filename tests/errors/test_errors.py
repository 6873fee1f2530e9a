"""Every error of the program: what provokes it, the whole message, and the exit code; and the list of them all."""

import ast
import json
import re
from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path
from typing import Any
from unittest.mock import patch

import pytest

import defectlog
from defectlog.cli import main
from defectlog.errors import Problem
from tests.errors.table import MARKERS, developers_page, listed
from tests.errors.trying import HERE, Case, all_cases, make_shop, provoked

PACKAGE = Path(defectlog.__file__).parent
TESTS = HERE.parent
# A name that is not in the book has a code made of the name of its kind; by typing these four can be met.
MADE_FROM_KINDS = {"mould-unknown", "heat-unknown", "sand-unknown", "pattern-unknown"}
TYPED = [case for case in all_cases() if not case.why_not]
NOT_TYPED = [case for case in all_cases() if case.why_not]
# How a code is handed on: Problem(code, …), about(mould, code, …), bad(code, …).
PLACE_OF_CODE = {"Problem": 0, "about": 1, "bad": 0}


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("shop") / "shop.db"
    make_shop(path)
    return path


@pytest.mark.parametrize("case", TYPED, ids=lambda case: case.code)
def test_an_error_is_told_as_its_folder_says(case: Case, shop: Path, tmp_path: Path) -> None:
    """In its four parts: where, what was found, what is allowed, what to type next."""
    kept: list[Problem] = []
    told = main.tell

    def tell(problems: Iterable[Problem]) -> None:
        kept.extend(problems)
        told(kept)

    with patch("defectlog.cli.main.tell", tell):
        code, out, err = provoked(case, tmp_path / "here", shop)
    here = str(tmp_path / "here")
    assert code == case.exit
    if case.stdout:
        assert settled(out, here) == settled(case.stdout)
        if case.code == "ahead":  # taken all the same, and only said to be worth a look
            return
        in_json = provoked(replace(case, type=f"--json {case.type}"), tmp_path / "again", shop)[1]
        kept = [Problem(**item) for item in problems_in(json.loads(in_json))]
    else:
        assert settled(err, here) == settled(case.stderr)
    own = [problem for problem in kept if problem.code == case.code]
    assert own, "the message is of another error"
    for problem in own:
        assert all((problem.where, problem.found, problem.allowed, problem.next_step)), problem


def problems_in(answer: Any) -> list[dict[str, str]]:
    """Of `check` a list, of `rules check` the list in its answer."""
    return answer["problems"] if isinstance(answer, dict) else answer


def settled(text: str, here: str = "HERE") -> str:
    """Without what differs from run to run: the folder, and the moment at which an act was written."""
    return re.sub(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\dZ", "MOMENT", text.replace(here, "HERE"))


@pytest.mark.parametrize("case", TYPED, ids=lambda case: case.code)
def test_a_message_says_where_what_and_what_can_be_done(case: Case) -> None:
    """No traceback, no bare "invalid value": a place, a sentence, and what is allowed or what to type next."""
    said = case.stderr or case.stdout
    assert "Traceback" not in said
    assert ": " in said
    assert re.search(r"^  +\S", said, re.MULTILINE) or "worth a look" in said, "nothing is said but what was found"
    assert all(len(line) < 1200 for line in said.splitlines())
    assert case.exit in (1, 2, 3) or case.code == "ahead"


def codes_in_source() -> set[str]:
    """Every code that the program may give, from its source."""
    found = set()
    for path in PACKAGE.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in PLACE_OF_CODE:
                place = PLACE_OF_CODE[node.func.id]
                code = node.args[place] if len(node.args) > place else None
                if isinstance(code, ast.Constant) and isinstance(code.value, str):
                    found.add(code.value)
    return found | MADE_FROM_KINDS


def test_every_error_has_its_folder_and_every_folder_its_error() -> None:
    folders = {path.name for path in HERE.iterdir() if path.is_dir() and not path.name.startswith("_")}
    assert codes_in_source() - folders == set(), "errors without a folder in tests/errors/"
    assert folders - codes_in_source() == set(), "folders of errors that the program no longer has"
    assert {case.code for case in all_cases()} == folders


@pytest.mark.parametrize("case", NOT_TYPED, ids=lambda case: case.code)
def test_an_error_that_cannot_be_typed_is_tested_elsewhere(case: Case) -> None:
    """The reason ends with the test that brings the error about."""
    page = TESTS.parent / case.why_not.rpartition("; ")[2]
    assert page.is_file(), page
    assert case.code in page.read_text(encoding="utf-8")


def test_the_list_for_developers_is_current() -> None:
    """Renew it with: python -m tests.errors.table"""
    page = developers_page().read_text(encoding="utf-8")
    begin, end = MARKERS
    assert page.count(begin) == page.count(end) == 1
    assert page.partition(begin)[2].partition(end)[0].strip() == listed().strip()
