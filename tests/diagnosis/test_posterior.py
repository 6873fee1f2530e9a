"""Signs to shares of defects, against a sum worked by hand."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from defectlog.diagnosis.posterior import MENTIONED, MISREAD, MISTOLD, defect_posterior, normalised, with_doubt
from defectlog.diagnosis.signs_in_text import SignSeen
from defectlog.rulebase.shapes import HowOften, RuleBase
from tests.diagnosis.small_rules import defect, sign, small_rules


def seen(sign_id: str, present: bool = True, score: int = 100) -> SignSeen:
    return SignSeen(sign_id, present, sign_id, score)


def two_defects() -> dict[str, float]:
    """Shares after one sign, of a defect that usually shows it and one that does not list it."""
    rules = small_rules(
        signs={"frost": sign("frost", "wall", ("frost",), 0.2)},
        defects={item.id: item for item in (defect("one", HowOften(usually=("frost",))), defect("other", HowOften()))},
    )
    return defect_posterior([seen("frost")], (), rules)


def test_one_sign_moves_the_shares_as_worked_by_hand() -> None:
    """usually = 0.7, usual 0.2, a tenth misread: 0.9 · 0.7 + 0.1 · 0.2 = 0.65 against 0.2, so 0.65 / 0.85."""
    assert MISREAD == 0.1
    assert two_defects()["one"] == pytest.approx(0.65 / 0.85)


def test_silence_speaks_weakly_against_a_sign_that_should_be_there() -> None:
    """Not spoken of: (1 − m·0.65) against (1 − m·0.2); a sign that neither lists is what was spoken of."""
    rules = small_rules(
        signs={"frost": sign("frost", "wall", ("frost",), 0.2), "rust": sign("rust", "skin", ("rust",), 0.2)},
        defects={item.id: item for item in (defect("one", HowOften(usually=("frost",))), defect("other", HowOften()))},
    )
    shares = defect_posterior([seen("rust")], (), rules)
    assert shares["one"] / shares["other"] == pytest.approx((1 - MENTIONED * 0.65) / (1 - MENTIONED * 0.2))


def test_without_evidence_the_shares_follow_how_common_the_defects_are() -> None:
    shares = defect_posterior((), (), small_rules())
    assert shares["misrun"] / shares["gas-holes"] == pytest.approx(math.sqrt(0.8))


def test_shares_sum_to_one_and_come_largest_first() -> None:
    shares = list(defect_posterior([seen("wall-smooth")], ["cope-face"], small_rules()).values())
    assert sum(shares) == pytest.approx(1.0)
    assert shares == sorted(shares, reverse=True)


def test_a_second_sign_of_the_same_group_counts_half() -> None:
    rules = small_rules()
    both = small_rules(signs={**rules.signs, "shape-round": sign("shape-round", "wall", ("round holes",), 0.2)})

    def lead(base: RuleBase) -> float:
        shares = defect_posterior([seen("wall-smooth"), seen("shape-round")], (), base)
        return shares["gas-holes"] / shares["misrun"]

    one = defect_posterior([seen("wall-smooth")], (), both)
    alone = one["gas-holes"] / one["misrun"]
    assert alone < lead(both) < lead(rules)


def test_a_weak_match_moves_less_than_a_sure_one() -> None:
    sure = defect_posterior([seen("wall-smooth")], (), small_rules())
    weak = defect_posterior([seen("wall-smooth", score=70)], (), small_rules())
    assert weak["gas-holes"] < sure["gas-holes"]


def test_a_name_multiplies_the_odds_by_its_ratio() -> None:
    plain = defect_posterior([seen("shape-round")], (), small_rules())
    named = defect_posterior([seen("shape-round")], (), small_rules(), {"misrun": 4.0})
    assert named["misrun"] / named["gas-holes"] == pytest.approx(4 * plain["misrun"] / plain["gas-holes"])


def test_retired_defects_are_no_candidates() -> None:
    old = defect("old", HowOften(always=("wall-smooth",)), status="retired")
    assert "old" not in defect_posterior((), (), small_rules(defects={**small_rules().defects, "old": old}))


def test_unknown_signs_are_passed_over() -> None:
    assert defect_posterior([seen("of-another-book")], (), small_rules())


def test_no_defects_give_no_shares() -> None:
    assert defect_posterior([seen("wall-smooth")], (), small_rules(defects={})) == {}


@given(st.lists(st.floats(-700, 700), min_size=1, max_size=9))
def test_normalised_shares_sum_to_one(scores: list[float]) -> None:
    assert sum(normalised(scores)) == pytest.approx(1.0)


def test_no_report_makes_anything_certain() -> None:
    rules = small_rules()
    sure = with_doubt({"gas-holes": 1.0} | {item: 0.0 for item in rules.defects if item != "gas-holes"}, rules)
    usual = rules.defects["gas-holes"].usual / sum(item.usual for item in rules.defects.values())
    assert sure["gas-holes"] == pytest.approx(1 - MISTOLD + MISTOLD * usual)
    assert sum(sure.values()) == pytest.approx(1)
    assert min(sure.values()) > 0
