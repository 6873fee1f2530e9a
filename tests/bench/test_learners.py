"""The learners that the bench compares with must be worth beating: on an easy shop they find a blatant cause."""

from dataclasses import replace

import pytest

from defectlog.rulebase.load import load_rules
from tests.bench.conditions import PLAIN
from tests.bench.rankings import Case, case_of
from tests.bench.shops import simulate

learners = pytest.importorskip("tests.bench.learners", reason="scikit-learn is not here", exc_type=ModuleNotFoundError)
LEARNERS = [learners.by_logistic_regression, learners.by_trees]
EASY = replace(PLAIN, missing=0.0, habits=0.0)


@pytest.fixture(scope="module")
def easy() -> Case:
    rules = load_rules()
    return case_of(simulate(rules, "gas-holes", ["sand-too-wet"], EASY, seed=3), rules)


@pytest.mark.parametrize("learner", LEARNERS)
def test_a_learner_finds_a_blatant_cause(learner, easy: Case) -> None:
    shares = learner(easy)
    assert max(shares, key=shares.get) == "sand-too-wet"


@pytest.mark.parametrize("learner", LEARNERS)
def test_a_learners_shares_add_up_and_rule_nothing_out(learner, easy: Case) -> None:
    shares = learner(easy)
    assert set(shares) == {candidate.id for candidate in easy.candidates}
    assert sum(shares.values()) == pytest.approx(1)
    assert min(shares.values()) > 0


@pytest.mark.parametrize("learner", LEARNERS)
def test_where_no_reading_was_taken_the_handbook_decides(learner) -> None:
    rules = load_rules()
    shop = case_of(simulate(rules, "gas-holes", ["sand-too-wet"], EASY, seed=3), rules)
    shares = learner(replace(shop, evidence=replace(shop.evidence, readings={})))
    assert max(shares, key=shares.get) == shop.candidates[0].id
