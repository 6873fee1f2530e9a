"""Each check of the rule base finds its own fault in a sound base, and finds nothing else. Our own rules, no source."""

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest

from defectlog.rulebase.lint import check_rules
from defectlog.rulebase.lint_cautions import HARMLESS, TOPICS, topics_in
from defectlog.rulebase.shapes import (
    CauseLookAlike,
    Explains,
    Favours,
    HowOften,
    Limit,
    LookNext,
    ReadingRule,
    RemedyAdvice,
    RuleBase,
    Sign,
    Told,
)
from tests.rulebase.small_base import NO_VENT, SOUND, WET, defect

Break = Callable[[], RuleBase]


def with_cause(**changes: Any) -> RuleBase:
    return replace(SOUND, causes={**SOUND.causes, "wet-sand": replace(WET, **changes)})


def with_defect(**changes: Any) -> RuleBase:
    return replace(SOUND, defects={**SOUND.defects, "blow": replace(defect("blow"), **changes)})


def with_limits(*more: Limit) -> RuleBase:
    return replace(SOUND, limits=(*SOUND.limits, *more))


def with_row(name: str, id: str, **changes: Any) -> RuleBase:
    rows = getattr(SOUND, name)
    changed: dict[str, Any] = {name: {**rows, id: replace(rows[id], **changes)}}
    return replace(SOUND, **changed)


def with_told(**told: tuple[str, ...]) -> RuleBase:
    return replace(SOUND, told={defect: Told(defect, reports) for defect, reports in told.items()})


def explains(changed: Explains) -> RuleBase:
    return with_cause(explains=(changed, *WET.explains[1:]))


def found_in(rules: RuleBase) -> list[tuple[str, str]]:
    return [(problem.code, f"{problem.where}: {problem.found}") for problem in check_rules(rules)]


def test_a_sound_base_has_no_problem() -> None:
    assert check_rules(SOUND) == []


HOT = Limit("hot", "pour_c", "above", 740.0, 10.0, sources=("handbook",))
FAULTS: dict[str, tuple[Break, str, str]] = {
    "defect status": (lambda: with_defect(status="resting"), "rule-id-unknown", "there is no status 'resting'"),
    "family": (lambda: with_defect(family="H"), "rule-id-unknown", "there is no family 'H'"),
    "stage": (lambda: with_defect(found=("lunch",)), "rule-id-unknown", "there is no stage 'lunch'"),
    "defect source": (lambda: with_defect(sources=("hearsay",)), "rule-id-unknown", "no source 'hearsay'"),
    "defect caution": (lambda: with_defect(cautions=("ghosts",)), "rule-id-unknown", "no caution 'ghosts'"),
    "defect sign": (lambda: with_defect(signs=HowOften(rarely=("hairy",))), "rule-id-unknown", "no sign 'hairy'"),
    "defect place": (lambda: with_defect(places=HowOften(never=("roof",))), "rule-id-unknown", "no place 'roof'"),
    "area": (lambda: with_cause(area="canteen"), "rule-id-unknown", "there is no area 'canteen'"),
    "unit": (lambda: with_cause(acts_at="shift"), "rule-id-unknown", "no unit that a cause acts at 'shift'"),
    "cause look-alike": (
        lambda: with_cause(look_alikes=(CauseLookAlike("no-went", "Count."),)),
        "rule-id-unknown",
        "there is no cause 'no-went'",
    ),
    "favoured sign": (
        lambda: with_cause(favoured_by=Favours(signs={"hairy": "mild"})),
        "rule-id-unknown",
        "favoured_by, signs: there is no sign 'hairy'",
    ),
    "strength": (
        lambda: with_cause(opposed_by=Favours(places={"top": "huge"})),
        "rule-id-unknown",
        "opposed_by: there is no strength 'huge'",
    ),
    "cost": (
        lambda: with_cause(remedies=(RemedyAdvice("Turn it.", "dear"),)),
        "rule-id-unknown",
        "remedies[1]: there is no cost 'dear'",
    ),
    "what it may break": (
        lambda: with_cause(remedies=(RemedyAdvice("Turn it.", "free", may_break=("luck",)),)),
        "rule-id-unknown",
        "remedies[1], may_break: there is no defect 'luck'",
    ),
    "look next caution": (
        lambda: with_cause(look_next=LookNext("Look.", "1 minute", ("ghosts",))),
        "rule-id-unknown",
        "look_next: there is no caution 'ghosts'",
    ),
    "recalled source": (
        lambda: explains(Explains("blow", sources=("handbook",), recalled=("hearsay",))),
        "rule-id-unknown",
        "explains blow: there is no source 'hearsay'",
    ),
    "topic": (
        lambda: with_row("cautions", "saws", touches=("sawing", "weather")),
        "rule-id-unknown",
        "cautions.toml, saws: there is no kind of advice 'weather'",
    ),
    "excluded sign": (
        lambda: with_row("signs", "smooth", excludes=("frosty", "hairy")),
        "rule-id-unknown",
        "signs.toml, smooth, excludes: there is no sign 'hairy'",
    ),
    "side of a limit": (lambda: with_limits(replace(HOT, side="beside")), "rule-id-unknown", "no side 'beside'"),
    "reading of a limit": (lambda: with_limits(replace(HOT, reading="mood")), "rule-id-unknown", "no reading 'mood'"),
    "circumstance": (
        lambda: with_limits(replace(HOT, when={"moon": "full"})),
        "rule-id-unknown",
        "circumstance 'moon'",
    ),
    "alloy of a limit": (lambda: with_limits(replace(HOT, when={"alloy": "999"})), "rule-id-unknown", "no alloy '999'"),
    "id": (
        lambda: replace(SOUND, causes={**SOUND.causes, "Dry Sand": replace(WET, id="Dry Sand")}),
        "rule-id-misspelt",
        "causes/sand/Dry Sand.toml: 'Dry Sand'",
    ),
    "replaced though in force": (lambda: with_cause(replaced_by="no-vent"), "rule-retired", "in force, yet replaced"),
    "retired to nobody": (lambda: with_row("defects", "blow", status="retired"), "rule-retired", "leads to no rule"),
    "cause without look-alike": (lambda: with_cause(look_alikes=()), "rule-says-too-little", "no look-alike"),
    "nothing to look at": (lambda: with_cause(look_next=None), "rule-says-too-little", "nothing to look at next"),
    "no remedy": (lambda: with_cause(remedies=()), "rule-says-too-little", "no remedy"),
    "one cause": (
        lambda: with_cause(explains=WET.explains[1:]),
        "rule-says-too-little",
        "defects/blow.toml: 1 causes explain it",
    ),
    "one look-alike": (
        lambda: with_defect(look_alikes=defect("blow").look_alikes[:1]),
        "rule-says-too-little",
        "defects/blow.toml: 1 look-alikes",
    ),
    "no way to make sure": (lambda: with_defect(make_sure=()), "rule-says-too-little", "no way to make sure"),
    "no source": (lambda: with_defect(sources=()), "rule-says-too-little", "no source"),
    "its own look-alike": (
        lambda: with_cause(look_alikes=(CauseLookAlike("wet-sand", "Look."),)),
        "rule-look-alike",
        "its own look-alike",
    ),
    "a look-alike twice": (
        lambda: with_cause(look_alikes=WET.look_alikes * 2),
        "rule-said-twice",
        "look-alike 'no-vent' stands 2 times",
    ),
    "a defect twice": (
        lambda: with_cause(explains=(*WET.explains, WET.explains[0])),
        "rule-said-twice",
        "[[explains]] 'blow' stands 2 times",
    ),
    "a sign twice": (
        lambda: with_defect(signs=HowOften(usually=("smooth",), never=("smooth",))),
        "rule-said-twice",
        "sign 'smooth' stands 2 times",
    ),
    "a limit twice": (
        lambda: with_limits(replace(SOUND.limits[0], id="again")),
        "rule-said-twice",
        "limits.toml, again: the same reading, side and circumstances as 'too-wet'",
    ),
    "source never opened": (
        lambda: explains(Explains("blow", sources=("handbook", "old-book"))),
        "rule-unsupported",
        "source 'old-book' was never opened",
    ),
    "limit alone": (lambda: with_limits(replace(HOT, sources=())), "rule-unsupported", "740 stands alone"),
    "alloy alone": (lambda: with_row("alloys", "356", sources=()), "rule-unsupported", "its figures stand alone"),
    "no general limit": (
        lambda: with_cause(reading=ReadingRule("pour_c", "above")),
        "rule-limit-missing",
        "no limit for pour_c above",
    ),
    "dear before cheap": (lambda: with_cause(remedies=WET.remedies[::-1]), "rule-order", "a dear remedy stands before"),
    "share": (lambda: with_cause(usual_share=1.5), "rule-number-wrong", "usual_share: 1.5"),
    "sign's share": (
        lambda: with_row("signs", "smooth", usual=0.0),
        "rule-number-wrong",
        "signs.toml, smooth, usual: 0",
    ),
    "usual": (lambda: with_defect(usual=0.0), "rule-number-wrong", "defects/blow.toml, usual: 0"),
    "softness": (lambda: with_limits(replace(HOT, softness=0.0)), "rule-number-wrong", "softness 0"),
    "window upside down": (
        lambda: with_limits(HOT, replace(HOT, id="cold", side="below", value=740.0)),
        "rule-number-wrong",
        "limits.toml, cold: too low below 740, and too high above 740 (hot)",
    ),
    "poured solid": (
        lambda: with_row("alloys", "356", pour_low_c=600.0),
        "rule-number-wrong",
        "alloys.toml, 356: solidus 550, liquidus 615, poured 600 to 740 °C",
    ),
    "signs at odds": (
        lambda: with_defect(signs=HowOften(always=("smooth",), usually=("frosty",))),
        "rule-signs-at-odds",
        "usually 'frosty' and usually 'smooth'",
    ),
    "report of two defects": (
        lambda: with_told(blow=("Round holes.",), dent=("round holes",)),
        "rule-phrase-shared",
        "told/dent.toml, told[1]: 'round holes' is also told/blow.toml, told[1]",
    ),
    "report without words": (
        lambda: with_told(blow=("...",)),
        "rule-says-too-little",
        "told/blow.toml, told[1]: a report without words",
    ),
    "report of no defect": (lambda: with_told(ghost=("Boo.",)), "rule-id-unknown", "there is no defect 'ghost'"),
    "shared phrase": (
        lambda: with_row("signs", "frosty", says=("like frost", "Smooth, inside")),
        "rule-phrase-shared",
        "signs.toml, frosty: 'smooth inside' is also said for signs.toml, smooth",
    ),
    "shared place": (
        lambda: with_row("places", "side", says=("on top",)),
        "rule-phrase-shared",
        "places.toml, side: 'on top' is also said for places.toml, top",
    ),
    "blank": (lambda: with_cause(summary="WRITE HERE: one sentence."), "rule-blank", "wet-sand.toml, summary: WRITE"),
    "uncautioned remedy": (
        lambda: with_cause(remedies=(RemedyAdvice("Saw it up.", "free", cautions=("steam",)),)),
        "rule-caution-missing",
        "remedies[1]: it speaks of sawing (saw)",
    ),
    "uncautioned check": (
        lambda: with_cause(look_next=LookNext("Weld up the hole.", "1 hour")),
        "rule-caution-missing",
        "look_next: it speaks of repair (weld)",
    ),
    "uncautioned way to make sure": (
        lambda: with_defect(make_sure=("Look.", "Pour another, from the same ladle.")),
        "rule-caution-missing",
        "defects/blow.toml, make_sure[2]: it speaks of melt (pour, ladle)",
    ),
}


@pytest.mark.parametrize("fault", FAULTS)
def test_a_fault_is_found_and_nothing_else_with_it(fault: str) -> None:
    broken, code, said = FAULTS[fault]
    ((found_code, found),) = found_in(broken())
    assert found_code == code
    assert said in found


def test_all_faults_of_a_base_are_told_at_once() -> None:
    rules = replace(
        with_cause(area="canteen", usual_share=0.0, remedies=()), limits=(*SOUND.limits, replace(HOT, sources=()))
    )
    codes = {problem.code for problem in check_rules(rules)}
    assert codes == {"rule-id-unknown", "rule-number-wrong", "rule-says-too-little", "rule-unsupported"}


def test_a_cause_that_explains_nothing_leaves_its_defects_with_too_few() -> None:
    assert found_in(with_cause(explains=())) == [
        ("rule-says-too-little", "causes/sand/wet-sand.toml: it explains no defect"),
        *(("rule-says-too-little", f"defects/{id}.toml: 1 causes explain it") for id in ("blow", "dent", "step")),
    ]


def test_nobody_who_says_so_is_found_and_does_not_count_as_a_cause() -> None:
    found = found_in(explains(Explains("blow", sources=("hearsay",))))
    assert ("rule-unsupported", "causes/sand/wet-sand.toml, explains blow: nobody says so") in found
    assert ("rule-says-too-little", "defects/blow.toml: 1 causes explain it") in found


def test_an_unknown_id_is_answered_with_the_nearest() -> None:
    problems = check_rules(with_cause(look_alikes=(CauseLookAlike("no-went", "Count the vents."),)))
    assert problems[0].next_step == "did you mean 'no-vent'?"


def test_a_retired_rule_leads_through_others_to_one_in_force() -> None:
    older = replace(NO_VENT, id="older", status="retired", replaced_by="old", explains=(), remedies=(), look_next=None)
    old = replace(older, id="old", replaced_by="no-vent")
    assert check_rules(replace(SOUND, causes={**SOUND.causes, "older": older, "old": old})) == []
    in_a_ring = replace(old, replaced_by="older")
    codes = [code for code, _ in found_in(replace(SOUND, causes={**SOUND.causes, "older": older, "old": in_a_ring}))]
    assert codes == ["rule-retired", "rule-retired"]


def test_a_phrase_may_show_signs_of_two_groups_and_a_denial_any() -> None:
    big = Sign("big", "size", "Big", "Is it big?", ("smooth inside", "not: like frost"), 0.1)
    small = Sign("small", "size", "Small", "Is it small?", ("tiny", "not: like frost"), 0.1)
    assert check_rules(replace(SOUND, signs={**SOUND.signs, "big": big, "small": small})) == []


def test_a_shop_s_window_is_held_against_itself_and_not_against_ours() -> None:
    shop = replace(SOUND.limits[0], id="shop", value=2.0, own=True)
    assert check_rules(with_limits(shop)) == []


def test_a_yes_no_column_and_a_computed_figure_are_readings() -> None:
    limits = (replace(HOT, reading="vented", side="below", value=0.5), replace(HOT, id="stood", reading="stood_h"))
    assert check_rules(with_limits(*limits)) == []


@pytest.mark.parametrize(
    ("text", "topics"),
    [
        ("Saw through the boss.", {"sawing"}),
        ("SAW IT", {"sawing"}),
        ("Grind it flush.", {"sawing", "dust"}),
        ("Pour a reduced-pressure sample and degas again.", {"melt"}),
        ("Add water and a little bentonite, and mull it in.", {"moisture", "additives", "dust"}),
        ("Set a dry chill.", {"moisture"}),
        ("Have the trained person weigh the flux.", {"flux"}),
        ("Straighten it, or weld it up.", {"repair"}),
        ("Lift the cope with two people.", {"lifting"}),
        ("Test under water at low pressure.", {"pressure", "moisture"}),
        ("Dye shows its ends.", {"penetrants"}),
        ("Shake out the mould.", {"hot castings"}),
        ("I saw-toothed, chillingly, a watery seesaw and a melting moment.", set()),
        ("Read the pour order off the card and count the vents.", set()),
        ("Look for the mark of the hammer, the floor or the saw close by.", set()),
        ("Add a fillet to the pattern.", set()),
    ],
)
def test_dangers_are_known_by_whole_words(text: str, topics: set[str]) -> None:
    assert set(topics_in(text)) == topics


def test_a_caution_of_the_whole_rule_will_do() -> None:
    wet = with_cause(remedies=(RemedyAdvice("Add a little water.", "free"),))
    assert check_rules(wet) == []
    assert check_rules(replace(wet, causes={**wet.causes, "wet-sand": replace(wet.causes["wet-sand"], cautions=())}))


def test_every_harmless_turn_of_phrase_would_otherwise_raise_an_alarm() -> None:
    words = {word.strip() for listed in TOPICS.values() for word in listed.split(",")}
    for phrase in HARMLESS.split(","):
        assert topics_in(phrase) == {}
        assert words & set(phrase.split()), phrase
