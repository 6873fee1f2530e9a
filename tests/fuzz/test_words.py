"""Any words to the text matcher, any rule file to the loader, any line to the program: an answer or a refusal."""

import io
import json
import os
import tempfile
import tomllib
from contextlib import redirect_stderr, redirect_stdout
from functools import cache
from pathlib import Path
from unittest.mock import patch

from hypothesis import given
from hypothesis import strategies as st

from defectlog.book.open import open_book
from defectlog.cli.main import VERBS, run
from defectlog.diagnosis.identify import identify
from defectlog.errors import RulesBroken
from defectlog.jobs.rules import load_rules
from defectlog.rulebase.lint import check_rules
from defectlog.rulebase.load import our_folder
from tests.errors.trying import make_shop
from tests.fuzz.settings import examples
from tests.fuzz.test_parsers import TEXTS
from tests.hostile.trying import terminal_leak

RULES = load_rules()
TOLD = tomllib.loads((Path(__file__).parent / "words.toml").read_text(encoding="utf-8"))
SHOP_WORDS = TOLD["seen"]
SEEN = st.one_of(st.lists(st.one_of(st.sampled_from(SHOP_WORDS), TEXTS), max_size=14).map(" ".join), TEXTS)
EXITS = {0, 1, 2, 3, 130}
NAMES = TOLD["names"]
# The tour writes a shop of its own each time; tests/cli/ runs it.
TYPED = [verb for verb in VERBS if verb != "demo"]
WORDS = [*TYPED, *TOLD["typed"]]
LINES = st.lists(st.one_of(st.sampled_from(WORDS), st.sampled_from(NAMES), TEXTS), max_size=8)
STARTS = st.tuples(st.sampled_from(sorted(TYPED)), LINES).map(lambda pair: [pair[0], *pair[1]])


@examples(2)
@given(SEEN)
def test_the_text_matcher(text):
    found = identify(text, RULES)
    shares = [each.share for each in found.defects]
    assert all(0 <= share <= 1 for share in shares)
    assert sum(shares) <= 1 + 1e-9


@cache
def shop() -> bytes:
    """The invented shop's book, written once."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "shop.db"
        make_shop(path)
        return path.read_bytes()


@examples(3)
@given(line=st.one_of(LINES, STARTS))
def test_any_line_that_is_typed(tmp_path_factory, line):
    """Exit codes 0, 1, 2, 3 or 130, nothing that drives a terminal, and JSON that can be read."""
    folder = tmp_path_factory.mktemp("line")
    (folder / "shop.db").write_bytes(shop())
    out, err = io.StringIO(), io.StringIO()
    before = Path.cwd()
    os.chdir(folder)
    try:
        with patch("sys.stdin", io.StringIO("")), redirect_stdout(out), redirect_stderr(err):
            code = run(["--book", "shop.db", *line])
    finally:
        os.chdir(before)
    said = err.getvalue()
    assert code in EXITS
    assert "nobody foresaw" not in said, said
    assert "Traceback" not in said + out.getvalue()
    assert terminal_leak(said) == ""
    if "--json" in line and code == 0 and out.getvalue().startswith(("{", "[")):
        json.loads(out.getvalue())
    with open_book(folder / "shop.db", read_only=True) as book:
        assert book.value("PRAGMA integrity_check") == "ok"


OUR_FILES = sorted(path.relative_to(our_folder()) for path in our_folder().rglob("*.toml") if "cases" not in path.parts)
KEYS = TOLD["keys"]
VALUES = TOLD["values"]


@st.composite
def broken_rules(draw):
    """A rule file of ours with lines taken out, put in, doubled or cut, or something that is no rule file at all."""
    place = draw(st.sampled_from(OUR_FILES))
    if not draw(st.integers(0, 4)):
        return place, draw(st.binary(max_size=200))
    lines = (our_folder() / place).read_text(encoding="utf-8").splitlines()[:60]
    for _ in range(draw(st.integers(1, 3))):
        at = draw(st.integers(0, max(0, len(lines) - 1)))
        new = f"{draw(st.sampled_from(KEYS))} = {draw(st.sampled_from(VALUES))}"
        how = draw(st.sampled_from(["out", "in", "twice", "cut", "text"]))
        lines[at : at + 1] = {
            "out": [],
            "in": [new, *lines[at : at + 1]],
            "twice": lines[at : at + 1] * 2,
            "cut": [lines[at][: len(lines[at]) // 2]] if lines else [],
            "text": [draw(TEXTS)],
        }[how]
    return place, "\n".join(lines).encode("utf-8", "replace")


@examples(0.5)
@given(broken_rules())
def test_any_rule_file_of_a_shop(tmp_path_factory, told):
    """Rules, or refusals with their places; nothing of the file is run, and the lint has an answer to all of it."""
    place, raw = told
    folder = tmp_path_factory.mktemp("rules")
    (folder / place).parent.mkdir(parents=True, exist_ok=True)
    (folder / place).write_bytes(raw)
    try:
        rules = load_rules(shop_folder=folder)
    except RulesBroken as broken:
        assert all(problem.where and problem.found for problem in broken.problems)
        return
    assert all(problem.where and problem.found for problem in check_rules(rules))
