"""The rule base that is shipped: every file loads, every id that books rely on answers, and the lint finds nothing."""

import re
import tomllib
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from defectlog.rulebase import shapes
from defectlog.rulebase.lint import check_rules
from defectlog.rulebase.lint_cautions import TOPICS
from defectlog.rulebase.load import load_rules, our_folder
from defectlog.rulebase.pages import WIDTH, cause_page, defect_page, page_text

HERE = Path(__file__).parent
RULES = HERE.parents[1] / "rules"


@cache
def shipped() -> shapes.RuleBase:
    return load_rules(RULES)


@cache
def vocabulary() -> dict[str, Any]:
    return tomllib.loads((HERE / "vocabulary.toml").read_text(encoding="utf-8"))


def test_every_file_is_a_rule_of_its_own_name() -> None:
    assert {path.stem for path in RULES.glob("causes/*/*.toml")} == set(shipped().causes)
    assert {path.stem for path in RULES.glob("defects/*.toml")} == set(shipped().defects)


def test_the_lint_finds_nothing() -> None:
    assert [str(problem) for problem in check_rules(shipped())] == []


def test_a_checkout_reads_the_rules_beside_it(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("DEFECTLOG_RULES", raising=False)
    assert our_folder() == RULES


def test_every_defect_and_place_that_books_may_hold_is_there() -> None:
    assert set(vocabulary()["defects"]) <= set(shipped().defects)
    assert set(vocabulary()["places"]) <= set(shipped().places)


def test_areas_and_units_are_those_that_books_may_hold() -> None:
    assert tuple(vocabulary()["areas"]) == shapes.AREAS
    assert tuple(vocabulary()["acts_at"]) == shapes.UNITS_OF_ACTION


@pytest.mark.parametrize("id", vocabulary()["causes"])
def test_a_cause_that_books_may_hold_keeps_its_area_unit_and_reading(id: str) -> None:
    cause = shipped().causes[id]
    reading = (cause.reading.quantity, cause.reading.side) if cause.reading else ("", "")
    assert [cause.area, cause.acts_at, *reading] == vocabulary()["causes"][id]


def test_every_area_has_a_cause_and_every_family_a_defect() -> None:
    assert {cause.area for cause in shipped().causes.values()} == set(shapes.AREAS)
    assert {defect.family for defect in shipped().defects.values()} == set("ABCDEFG")


def test_every_kind_of_danger_has_a_caution_and_every_caution_says_more_than_a_word() -> None:
    assert {topic for caution in shipped().cautions.values() for topic in caution.touches} == set(TOPICS)
    assert all(len(caution.text.split()) >= 15 for caution in shipped().cautions.values())


def test_the_example_of_the_readme_is_the_file_as_it_stands() -> None:
    """The example may leave the [[explains]] out: those are counted, and their number grows."""
    readme = (RULES / "README.md").read_text(encoding="utf-8")
    (example,) = re.findall(r"```toml\n(.*?)```", readme, re.DOTALL)
    shown = tomllib.loads(example)
    file = tomllib.loads((RULES / "causes/sand/sand-too-wet.toml").read_text(encoding="utf-8"))
    assert shown == {key: file[key] for key in shown}
    assert file.keys() - shown.keys() <= {"explains"}


def test_the_readme_explains_every_field_of_a_cause() -> None:
    readme = (RULES / "README.md").read_text(encoding="utf-8")
    kinds = (
        shapes.Cause,
        shapes.ReadingRule,
        shapes.Explains,
        shapes.CauseLookAlike,
        shapes.LookNext,
        shapes.RemedyAdvice,
    )
    for kind in kinds:
        for name in kind.__dataclass_fields__:
            assert f"`{name}`" in readme or f"[{name}]" in readme, name


def test_every_page_can_be_printed_at_the_bench() -> None:
    rules = shipped()
    pages = [cause_page(rules, cause) for cause in rules.causes.values()]
    pages += [defect_page(rules, defect) for defect in rules.defects.values()]
    for page in pages:
        text = page_text(page)
        assert "is missing from" not in text and "nobody says so" not in text
        assert all(len(line) <= WIDTH or len(line.split()) == 1 for line in text.splitlines()), page.title
