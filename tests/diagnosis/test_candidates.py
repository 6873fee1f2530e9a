"""Which causes stand for a defect, and where their readings go out of limits here."""

from dataclasses import replace

from defectlog.diagnosis.candidates import candidates_for, limit_of
from defectlog.rulebase.shapes import Explains, Limit
from tests.diagnosis.small_books import COLD, DAMP_LADLE, GAS, ONE_GATE, WET, WET_LIMIT, card, rules


def ids(*causes, impressions: int = 4):
    return [item.id for item in candidates_for(rules(*causes), GAS, [card()], {}, impressions)]


def test_the_heaviest_comes_first_and_then_the_alphabet() -> None:
    twice_named = replace(DAMP_LADLE, explains=(Explains(GAS, ("book-1", "book-2")),))
    assert ids(WET, COLD, twice_named) == ["damp-ladle", "poured-cold", "sand-too-wet"]


def test_retired_causes_and_causes_of_other_defects_do_not_stand() -> None:
    other = replace(COLD, explains=(Explains("misrun", ("book-1",)),))
    assert ids(replace(WET, status="retired"), other, DAMP_LADLE) == ["damp-ladle"]


def test_a_cause_for_which_nobody_known_vouches_is_left_out() -> None:
    """Its weight would be nothing, and the logarithm of nothing ranks nothing."""
    unknown = replace(WET, explains=(Explains(GAS, ("a book that is not listed",)),))
    judged = replace(COLD, explains=(Explains(GAS, judgement="Seen often."),))
    assert ids(unknown, judged) == ["poured-cold"]


def test_a_plate_of_one_has_no_odd_impression_out() -> None:
    assert ids(ONE_GATE, WET, impressions=1) == ["sand-too-wet"]
    assert ids(ONE_GATE, WET, impressions=2) == ["one-gate-bad", "sand-too-wet"]


def test_the_pattern_card_asks_first_where_every_revision_agrees() -> None:
    asked = rules(COLD)
    limit = limit_of(asked, COLD, [card("A", pour_low_c=690.0), card("B", pour_low_c=690.0)], {})
    assert limit is not None
    assert (limit.value, limit.softness, limit.id) == (690.0, 8.0, "pattern-card")
    for cards in ([card("A", pour_low_c=690.0), card("B", pour_low_c=680.0)], [card("A", pour_low_c=690.0), card("B")]):
        general = limit_of(asked, COLD, cards, {})
        assert general is not None
        assert general.value == 700.0


def test_circumstances_choose_the_limit() -> None:
    natural = Limit("wet-natural", "moisture_pct", "above", 6.0, 0.4, when={"sand_base": "natural"})
    asked = rules(WET, limits=(WET_LIMIT, natural))
    for circumstances, value in (({}, 4.5), ({"sand_base": "natural"}, 6.0), ({"sand_base": "synthetic"}, 4.5)):
        limit = limit_of(asked, WET, [card()], circumstances)
        assert limit is not None
        assert limit.value == value


def test_no_reading_or_no_limit_set_is_no_limit() -> None:
    assert limit_of(rules(DAMP_LADLE), DAMP_LADLE, [card()], {}) is None
    assert limit_of(rules(WET, limits=()), WET, [card()], {}) is None
