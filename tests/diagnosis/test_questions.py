"""The question to ask next, against the expected fall in entropy worked out the long way."""

import pytest
from scipy.stats import entropy

from defectlog.diagnosis.posterior import defect_posterior, model_of, share_with
from defectlog.diagnosis.questions import binary_entropy, expected_gain, next_question
from defectlog.diagnosis.signs_in_text import SignSeen
from defectlog.rulebase.shapes import HowOften
from tests.diagnosis.small_rules import defect, sign, small_rules


def test_entropy_of_a_yes_is_that_of_scipy() -> None:
    for chance in (0.0, 0.01, 0.3, 0.5, 1.0):
        assert binary_entropy(chance) == pytest.approx(float(entropy([chance, 1 - chance], base=2)))


def test_gain_is_the_expected_fall_in_entropy() -> None:
    """Entropy now, less the entropies after yes and after no, each as often as it comes; entropies by scipy."""
    rules = small_rules()
    posterior = defect_posterior((), (), rules)
    model = model_of(rules)
    shares = [posterior[item.id] for item in model.defects]
    for item in rules.signs.values():
        chances = [share_with(item, words.get(item.id, "")) for words in model.sign_words.values()]
        after = 0.0
        for answer in (chances, [1 - chance for chance in chances]):
            joint = [share * chance for share, chance in zip(shares, answer, strict=True)]
            after += sum(joint) * float(entropy(joint, base=2))
        wanted = float(entropy(shares, base=2)) - after
        assert expected_gain(item, shares, model) == pytest.approx(wanted, abs=1e-12)


def test_what_was_seen_or_answered_is_not_asked_again_nor_what_it_rules_out() -> None:
    rules = small_rules()
    seen = (SignSeen("wall-smooth", True, "", 100),)
    asked = ["shape-round", "sand-inside"]
    while (question := next_question(defect_posterior(seen, (), rules), seen, rules, asked)) is not None:
        assert question.sign not in {"wall-smooth", "wall-crystalline", *asked}
        asked.append(question.sign)
    assert asked[2:]


def test_a_group_not_asked_yet_comes_first_where_both_tell_about_as_much() -> None:
    signs = {
        "seen": sign("seen", "wall", ("x",), 0.2),
        "like": sign("like", "wall", ("y",), 0.2),
        "fresh": sign("fresh", "skin", ("z",), 0.2),
    }
    one = defect("one", HowOften(usually=("like", "fresh")))
    rules = small_rules(signs=signs, defects={"one": one, "other": defect("other", HowOften())})
    told = (SignSeen("seen", True, "", 100),)
    question = next_question({"one": 0.5, "other": 0.5}, told, rules)
    assert question is not None
    assert question.sign == "fresh"


def test_nothing_is_asked_where_no_answer_would_tell() -> None:
    assert (
        next_question({"gas-holes": 1.0, "shrinkage-cavity": 0, "sand-inclusion": 0, "misrun": 0}, (), small_rules())
        is None
    )
