"""Which of several limits holds: the shop's before ours, then the one that asks for most. Our own rule, no source."""

import pytest

from defectlog.rulebase.limits import limit_for
from defectlog.rulebase.shapes import Limit

GENERAL = Limit("general", "pour_c", "above", 760.0, 10.0)
ALLOY = Limit("alloy", "pour_c", "above", 740.0, 10.0, when={"alloy": "356"})
THIN = Limit("thin", "pour_c", "above", 780.0, 10.0, when={"section": "thin"})
BOTH = Limit("both", "pour_c", "above", 750.0, 10.0, when={"alloy": "356", "section": "thin"})
LOW = Limit("low", "pour_c", "below", 690.0, 10.0)
OURS = (GENERAL, ALLOY, THIN, BOTH, LOW)
SHOP = Limit("shop", "pour_c", "above", 730.0, 5.0, own=True)


@pytest.mark.parametrize(
    ("case", "taken"),
    [
        ({}, "general"),
        ({"alloy": "356"}, "alloy"),
        ({"alloy": "413"}, "general"),
        ({"alloy": "413", "section": "thin"}, "thin"),
        ({"section": "thin", "alloy": "356", "sand_base": "natural"}, "both"),
        ({"section": "THIN"}, "thin"),
    ],
)
def test_the_row_that_asks_for_most_and_gets_it_is_taken(case: dict[str, str], taken: str) -> None:
    limit = limit_for(OURS, "pour_c", "above", case)
    assert limit is not None
    assert limit.id == taken


def test_what_is_unknown_of_a_case_agrees_with_nothing() -> None:
    assert limit_for((ALLOY,), "pour_c", "above", {}) is None
    assert limit_for((ALLOY,), "pour_c", "above", {"alloy": ""}) is None


def test_a_shop_s_limit_comes_before_even_the_closest_of_ours() -> None:
    assert limit_for((*OURS, SHOP), "pour_c", "above", {"alloy": "356", "section": "thin"}) is SHOP
    assert limit_for((SHOP, *OURS), "pour_c", "above", {}) is SHOP


def test_a_shop_s_limit_for_another_case_leaves_ours_in_place() -> None:
    shop = Limit("shop", "pour_c", "above", 730.0, 5.0, when={"alloy": "413"}, own=True)
    assert limit_for((*OURS, shop), "pour_c", "above", {"alloy": "356"}) is ALLOY
    assert limit_for((*OURS, shop), "pour_c", "above", {"alloy": "413"}) is shop


def test_of_two_that_ask_alike_the_first_stands() -> None:
    assert limit_for((ALLOY, THIN), "pour_c", "above", {"alloy": "356", "section": "thin"}) is ALLOY


def test_sides_and_readings_are_kept_apart() -> None:
    assert limit_for(OURS, "pour_c", "below", {}) is LOW
    assert limit_for(OURS, "melt_c", "above", {}) is None
