"""Names of defects, typed as people type them, to one id or a choice."""

import pytest

from defectlog.diagnosis.settle import settle_defect
from defectlog.diagnosis.words import stems_of
from defectlog.rulebase.shapes import HowOften
from tests.diagnosis.small_rules import defect, real_rules, small_rules


@pytest.mark.parametrize("item", sorted(real_rules().defects))
def test_ids_and_head_names_settle_themselves(item: str) -> None:
    rules = real_rules()
    assert settle_defect(item, rules) == item
    assert settle_defect(item.upper().replace("-", "_"), rules) == item
    assert settle_defect(rules.defects[item].name, rules) == item


@pytest.mark.parametrize("item", sorted(real_rules().defects))
def test_every_trade_name_gives_its_defect_or_offers_it(item: str) -> None:
    """Unless it is the head name of another defect, which then is meant."""
    rules = real_rules()
    names = rules.defects[item].names
    for name in (*names.uk, *names.us):
        settled = settle_defect(name, rules)
        if isinstance(settled, tuple):
            assert item in settled, name
        elif settled != item:
            heads = {stems_of(rules.defects[settled].name), stems_of(settled.replace("-", " "))}
            assert stems_of(name) in heads, (name, settled)


@pytest.mark.parametrize(
    ("typed", "item"),
    [
        ("blow holes", "gas-holes"),
        ("Cold Shuts", "cold-shut"),
        ("hot tere", "hot-tear"),
        ("misrnu", "misrun"),
        ("mis-run", "misrun"),
        ("flsh", "flash"),
        ("sand inclusoins", "sand-inclusion"),
        ("  rat   tails ", "rat-tail"),
    ],
)
def test_trade_names_and_slips(typed: str, item: str) -> None:
    assert settle_defect(typed, real_rules()) == item


def test_a_name_of_several_defects_offers_them_all() -> None:
    assert settle_defect("porosity", small_rules()) == ("gas-holes", "shrinkage-cavity")


def test_the_shops_own_word_comes_before_ours() -> None:
    assert settle_defect("porosity", small_rules(), {"Porosity": "sand-inclusion"}) == "sand-inclusion"
    assert settle_defect("grot", small_rules(), {"grot": "sand-inclusion"}) == "sand-inclusion"


def test_a_description_offers_and_does_not_settle() -> None:
    offered = settle_defect("smooth inside and round holes", small_rules())
    assert isinstance(offered, tuple)
    assert offered[0] == "gas-holes"


@pytest.mark.parametrize("typed", ["", "  ", "zzz", "12"])
def test_what_is_nothing_offers_nothing(typed: str) -> None:
    assert settle_defect(typed, small_rules()) == ()


def test_a_retired_name_gives_what_replaced_it() -> None:
    old = defect("gas-blow", HowOften(), status="retired", replaced_by="gas-holes")
    rules = small_rules(defects={**small_rules().defects, "gas-blow": old})
    assert settle_defect("gas-blow", rules) == "gas-holes"
