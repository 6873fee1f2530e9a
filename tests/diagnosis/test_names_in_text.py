"""Trade names of defects: evidence, shared where a name serves several, and never the verdict."""

import pytest

from defectlog.diagnosis.identify import identify
from defectlog.diagnosis.names_in_text import learned_defects, named_defects
from defectlog.diagnosis.rule_words import index_of
from defectlog.rulebase.strengths import LEARNED_RATIO, NAMED_RATIO
from tests.diagnosis.small_rules import real_rules, small_rules


def named(text: str) -> dict[str, float]:
    index = index_of(small_rules())
    return named_defects(index.matches(index.clauses(text)), index)


def test_a_name_speaks_for_its_defect() -> None:
    assert named("blowholes again") == {"gas-holes": pytest.approx(NAMED_RATIO)}


def test_a_name_that_serves_two_defects_speaks_less_for_each() -> None:
    ratios = named("porosity")
    assert ratios.keys() == {"gas-holes", "shrinkage-cavity"}
    assert all(1 < ratio < NAMED_RATIO for ratio in ratios.values())


def test_a_name_denied_speaks_against() -> None:
    assert named("not a misrun")["misrun"] == pytest.approx(1 / NAMED_RATIO)


def test_a_name_in_a_theory_is_no_evidence() -> None:
    assert named("I think it is a misrun") == {}


def test_looks_outweigh_the_name() -> None:
    found = identify("blowholes, jagged hole with crystals, frosty inside", small_rules())
    assert found.defects[0].defect == "shrinkage-cavity"


def test_the_shops_own_word_speaks_for_what_it_was_tied_to() -> None:
    index = index_of(small_rules())
    learned = {"the grot": "sand-inclusion", "old word": "no-such-defect"}
    assert learned_defects(index.clauses("that grot again"), learned, small_rules()) == {
        "sand-inclusion": LEARNED_RATIO
    }
    assert learned_defects(index.clauses("no grot"), learned, small_rules()) == {"sand-inclusion": 1 / LEARNED_RATIO}
    assert identify("grot", small_rules(), learned=learned).defects[0].defect == "sand-inclusion"


@pytest.mark.parametrize(
    "text", ["skin was clean", "broke it open", "skins on it", "pull in it", "2 mm short", "cracked", "stuck up"]
)
def test_a_word_for_everything_is_no_name(text: str) -> None:
    """Some shops call dross "skins" and a hot tear a "pull"; every shop speaks of the skin and pulls patterns."""
    index = index_of(real_rules())
    assert all(ratio < 1.2 for ratio in named_defects(index.matches(index.clauses(text)), index).values())
