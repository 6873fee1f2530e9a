"""A new cause's file can be read at once, and nothing is wrong with it but what a person has still to write."""

import tomllib
from dataclasses import replace

import pytest

from defectlog.errors import BadInput
from defectlog.rulebase.lint import check_rules
from defectlog.rulebase.reader import read_value
from defectlog.rulebase.shapes import AREAS, UNITS_OF_ACTION, Cause, CauseLookAlike
from defectlog.rulebase.skeleton import BLANK, TEMPLATE, new_cause
from tests.rulebase.small_base import SOUND


def as_read(text: str) -> Cause:
    return read_value(Cause, tomllib.loads(text), "new.toml")


@pytest.mark.parametrize("area", AREAS)
@pytest.mark.parametrize("acts_at", UNITS_OF_ACTION)
def test_it_can_be_read_as_it_stands(area: str, acts_at: str) -> None:
    cause = as_read(new_cause("dirty-boots", area, acts_at, "blow"))
    assert (cause.id, cause.name, cause.area, cause.acts_at) == ("dirty-boots", "Dirty boots", area, acts_at)
    assert [explains.defect for explains in cause.explains] == ["blow"]


def test_the_lint_names_its_blanks_and_nothing_else() -> None:
    text = new_cause("dirty-boots", "mould", "moulder", "blow")
    cause = as_read(text)
    problems = check_rules(replace(SOUND, causes={**SOUND.causes, cause.id: cause}))
    assert {problem.code for problem in problems} == {"rule-blank"}
    blanks = [line for line in text.splitlines() if f'= "{BLANK}' in line]
    assert [problem.found for problem in problems] == [line.split(' = "')[1].split('"')[0] for line in blanks]
    assert problems[0].where == "causes/mould/dirty-boots.toml, summary"
    assert len(problems) == 8


def test_once_the_blanks_are_written_it_is_sound() -> None:
    cause = as_read(new_cause("dirty-boots", "mould", "moulder", "blow").replace(BLANK, "So it is"))
    written = replace(cause, look_alikes=(CauseLookAlike("no-vent", "Look at the boots."),))
    assert check_rules(replace(SOUND, causes={**SOUND.causes, cause.id: written})) == []


def test_fields_stand_in_the_order_of_the_shape() -> None:
    keys = list(tomllib.loads(TEMPLATE.format(id="a", name="A", area="sand", acts_at="sand", defect="b")))
    in_shape = [name for name in Cause.__dataclass_fields__ if name in keys]
    scalars_first = ["id", "name", "area", "acts_at", "status", "summary", "mechanism", "usual_share", "cautions"]
    assert keys == [*scalars_first, "sources", *in_shape[len(scalars_first) + 1 :]]


def test_what_cannot_be_an_id_is_refused_with_all_that_is_wrong() -> None:
    with pytest.raises(BadInput) as refused:
        new_cause('x"\nstatus = "retired', "canteen", "shift", "Blow!")
    assert [problem.code for problem in refused.value.problems] == ["rule-id-misspelt"] * 2 + ["rule-id-unknown"] * 2
    assert "allowed: sand, mould, pattern" in str(refused.value)
