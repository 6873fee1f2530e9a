"""The reader takes what the shapes describe and refuses everything else by its place, all of it at once.

Common practice, no source: the messages are our own.
"""

from dataclasses import dataclass, field
from datetime import date, datetime, time

import pytest
from hypothesis import given
from hypothesis import strategies as some

from defectlog.errors import RulesBroken
from defectlog.rulebase.reader import read_value
from defectlog.rulebase.shapes import Cause, Defect, Limit, RuleBase, Sign, Source

LIMIT = {"id": "too-wet", "reading": "moisture_pct", "side": "above", "value": 4, "softness": 0.4}


@dataclass(frozen=True, slots=True)
class Leaf:
    word: str


@dataclass(frozen=True, slots=True)
class Tree:
    name: str
    leaves: tuple[Leaf, ...] = ()
    notes: dict[str, str] = field(default_factory=dict)


def complaints(kind: type, table: object) -> list[str]:
    with pytest.raises(RulesBroken) as broken:
        read_value(kind, table, "a.toml")
    return [str(problem) for problem in broken.value.problems]


def test_a_whole_number_will_do_where_a_number_is_asked_for() -> None:
    limit = read_value(Limit, LIMIT, "limits.toml")
    assert limit == Limit("too-wet", "moisture_pct", "above", 4.0, 0.4)
    assert type(limit.value) is float


def test_what_is_left_out_takes_its_default_and_lists_become_tuples() -> None:
    source = {"id": "a", "title": "b", "author": "c", "kind": "d", "where": "e"}
    assert read_value(Source, source, "sources.toml") == Source("a", "b", "c", "d", "e", year=0, opened=False)
    table = {"name": "oak", "leaves": [{"word": "green"}, {"word": "red"}], "notes": {"age": "old"}}
    assert read_value(Tree, table, "a.toml") == Tree("oak", (Leaf("green"), Leaf("red")), {"age": "old"})


def test_an_unknown_key_is_refused_with_the_nearest_known_one() -> None:
    (said,) = complaints(Limit, LIMIT | {"sofness": 1.0})
    assert said.splitlines()[0] == "a.toml: unknown key 'sofness'"
    assert "did you mean 'softness'?" in said
    assert "allowed: id, reading, side, value, softness" in said


def test_a_key_like_no_other_gets_no_guess() -> None:
    (said,) = complaints(Limit, LIMIT | {"zzzzzzzz": 1.0})
    assert "did you mean" not in said


def test_every_missing_key_is_named() -> None:
    assert [said.splitlines()[0] for said in complaints(Limit, {"id": "x", "side": "above", "softness": 1.0})] == [
        "a.toml: 'reading' is missing",
        "a.toml: 'value' is missing",
    ]


@pytest.mark.parametrize(
    ("key", "value", "allowed"),
    [
        ("value", "4.5", "a number"),
        ("value", True, "a number"),
        ("value", float("nan"), "a plain number"),
        ("value", float("inf"), "a plain number"),
        ("value", float("-inf"), "a plain number"),
        ("value", 10**400, "a plain number"),
        ("value", date(2026, 3, 9), "a number"),
        ("id", 356, "text in quotes"),
        ("id", " ", "text that is not empty"),
        ("note", "red \x1b[31m text", "text without control characters"),
        ("note", "turned \u202e round", "text without control characters"),
        ("sources", "handbook", "a list in square brackets"),
        ("sources", {"handbook": 1}, "a list in square brackets"),
        ("when", ["alloy"], "a table of keys"),
        ("own", 1, "true or false"),
    ],
)
def test_a_wrong_kind_of_value_is_named_with_what_belongs_there(key: str, value: object, allowed: str) -> None:
    (said,) = complaints(Limit, LIMIT | {key: value})
    assert said.startswith(f"a.toml, {key}: ")
    assert f"allowed: {allowed}" in said
    assert "\x1b" not in said


def test_the_place_inside_lists_and_tables_is_named() -> None:
    table = {"name": "oak", "leaves": [{"word": "green"}, {"word": 7}, "red"], "notes": {"age": 3}}
    places = [said.splitlines()[0].split(": ")[0] for said in complaints(Tree, table)]
    assert places == ["a.toml, leaves[2], word", "a.toml, leaves[3]", "a.toml, notes, age"]


def test_all_problems_of_a_table_are_told_in_one_go() -> None:
    table = {"id": 1, "reading": [], "side": "above", "value": "x", "wher": 1}
    assert len(complaints(Limit, table)) == 5


def test_what_is_no_table_at_all_is_refused() -> None:
    assert complaints(Limit, ["x"]) == ["a.toml: ['x'] does not fit here\n  allowed: a table of keys"]


def test_lines_and_blanks_of_a_long_text_are_kept() -> None:
    note = "first line\nsecond\tline\u00a0here"
    assert read_value(Limit, LIMIT | {"note": note}, "a.toml").note == note


@pytest.mark.parametrize(
    "value",
    ["x" * 100_000, list(range(100_000)), int("f" * 6000, 16), {"k" * 1000: {"k": {"k": {"k": {"k": 1}}}}}],
    ids=["long text", "long list", "number of thousands of digits", "deep table"],
)
def test_what_was_found_is_shown_short_however_large_it_is(value: object) -> None:
    (said,) = complaints(Limit, LIMIT | {"own": value})
    assert len(said) < 400


def test_a_table_too_deep_to_show_is_refused_and_not_stumbled_over() -> None:
    deep: object = 1
    for _ in range(100_000):
        deep = {"a": deep}
    (said,) = complaints(Limit, LIMIT | {"when": {"alloy": deep}})
    assert said.startswith("a.toml, when, alloy: ")


whole_numbers = some.integers() | some.integers(min_value=10**4400, max_value=10**4401)
plain = some.none() | some.booleans() | whole_numbers | some.floats() | some.text(max_size=8)
moments = some.dates() | some.datetimes() | some.times()
values = some.recursive(
    plain | moments,
    lambda inner: some.lists(inner, max_size=4) | some.dictionaries(some.text(max_size=8), inner, max_size=4),
    max_leaves=12,
)
KINDS = (Cause, Defect, Limit, Sign, Source, Tree)
KEYS = sorted({key for kind in KINDS for key in kind.__dataclass_fields__})
tables = some.dictionaries(some.sampled_from(KEYS) | some.text(max_size=8), values, max_size=12)


@given(kind=some.sampled_from(KINDS), table=tables | values)
def test_whatever_a_file_says_it_is_read_or_refused_in_words(kind: type, table: object) -> None:
    value: object = None
    try:
        value = read_value(kind, table, "a.toml")
    except RulesBroken as broken:
        assert all(str(problem).startswith("a.toml") for problem in broken.problems)
    else:
        assert isinstance(value, kind)


def test_under_an_unknown_key_every_kind_of_value_that_toml_knows_is_refused() -> None:
    """TOML 1.0: string, integer, float, boolean, offset and local date-time, local date, local time, array, table."""
    for value in ("x", 1, 1.5, True, datetime(2026, 3, 9), date(2026, 3, 9), time(7, 30), [1], {"a": 1}):
        with pytest.raises(RulesBroken):
            read_value(Limit, LIMIT | {"unheard-of": value}, "a.toml")


def test_the_rule_base_itself_is_no_shape_of_a_file() -> None:
    assert complaints(RuleBase, {"defects": []})
