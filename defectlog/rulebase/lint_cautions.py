"""Does every piece of advice that can hurt somebody carry a caution about it?

A check, a remedy or a way to make sure is read for the words of each kind of danger below: whole words, whatever their
case, other forms of a word only where they stand in the list. Where one stands, the advice (or its cause or defect as
a whole) must name a caution that touches that kind. Words can only guess at danger: advice without any of them may
need a caution too, and whoever writes it is asked to think so. Against an alarm about nothing choose another word
(castings are repaired and straightened; tools and patterns are mended and trued), or add to HARMLESS.
"""

import re
from collections.abc import Iterator, Mapping
from functools import cache
from types import MappingProxyType

from defectlog.errors import Problem
from defectlog.rulebase.catalogue import cause_file, defect_file
from defectlog.rulebase.shapes import RuleBase

# An advice: where it stands, what it says, the ids of the cautions that are printed with it.
Advice = tuple[str, str, tuple[str, ...]]

TOPICS: Mapping[str, str] = MappingProxyType(
    {
        "melt": (
            "pour, pour from, melt, melts, molten, hot metal, ladle, ladles, crucible, crucibles, furnace, furnaces, "
            "ingot, ingots, heel, pig, pigs, charge, degas, degassed, degassing, lance, skim, skims, skimmed, skimmer, "
            "top up, topped up, cup full, reduced-pressure sample, thermocouple"
        ),
        "moisture": (
            "water, damp, dampen, wet, moisture, swab, swabbed, swabbing, steam, sprinkle, temper, skin-dry, "
            "chill, chills, chaplets"
        ),
        "additives": (
            "bentonite, bond, rebond, rebonding, binder, sea coal, wood flour, cereal, cover flux, inhibitor, "
            "data sheet, parting dust, dry dust, liquid parting, insulating powder, coat, coating"
        ),
        "flux": "flux, fluxes, grain refiner, modifier, modifiers, hardener, hardeners",
        "dust": (
            "dust, riddle, riddled, sieve, sieved, mull, mulled, new sand, dry sand, dried sand, burnt sand, "
            "fine sand, bellows, blast, sweep, sweepings, file, filing, grind, grinding"
        ),
        "sawing": "saw, saws, sawn, sawing, grind, grinding, grinder, bandsaw, hacksaw, drill through, cut through",
        "repair": "weld, welded, welding, repair, repairs, repaired, straighten, straightened, impregnate, impregnated",
        "lifting": (
            "lift, lifting, hoist, crane, two people, weight the cope, more weight, set weights, weights and clamps, "
            "weight down, heavy copes, turn the cope, closed mould, closed moulds"
        ),
        "pressure": "pressure test, test under water, tested under water, under pressure, compressed air",
        "penetrants": "dye, dyes, penetrant, penetrants, x-ray, x-rays",
        "hot castings": "shake out, knock out, break gates, break it open, chisel, quench, dig the sand",
        "noise": "chisel, chiselled, chipping, air rammer, jolt",
        "returns": "marked bin, keep one bin, remelt, remelted",
    }
)
"""The kinds of advice that need a caution (what `touches` may name), each with the words that give it away."""

HARMLESS = (
    "pour order, short pour, splashing pour, of the ladle, crucible wall, what went in the charge, "
    "wet brush, damp brush, the floor or the saw"
)
"""Turns of phrase that hold such a word and mean no such thing: they are passed over."""


def cautions_missing(rules: RuleBase) -> Iterator[Problem]:
    """Advice that speaks of a danger and names no caution that touches it."""
    for where, text, cautions in advice_of(rules):
        touched = {
            topic for caution in cautions if caution in rules.cautions for topic in rules.cautions[caution].touches
        }
        for topic, words in topics_in(text).items():
            if topic not in touched:
                fitting = [caution.id for caution in rules.cautions.values() if topic in caution.touches]
                yield Problem(
                    "rule-caution-missing",
                    where,
                    f"it speaks of {topic} ({', '.join(words)}) and names no caution that touches it",
                    f"allowed: one of {', '.join(fitting) or f'the cautions, once one touches {topic}'}",
                )


def advice_of(rules: RuleBase) -> Iterator[Advice]:
    for cause in rules.causes.values():
        where = cause_file(cause)
        if cause.look_next:
            yield f"{where}, look_next", cause.look_next.check, (*cause.cautions, *cause.look_next.cautions)
        for number, remedy in enumerate(cause.remedies, start=1):
            yield f"{where}, remedies[{number}]", remedy.do, (*cause.cautions, *remedy.cautions)
    for defect in rules.defects.values():
        for number, text in enumerate(defect.make_sure, start=1):
            yield f"{defect_file(defect)}, make_sure[{number}]", text, defect.cautions


def topics_in(text: str) -> dict[str, list[str]]:
    """{kind of danger: the words of it that stand in `text`}."""
    left = pattern(HARMLESS).sub(" … ", text)
    found = {topic: pattern(words).findall(left) for topic, words in TOPICS.items()}
    return {topic: list(dict.fromkeys(word.lower() for word in words)) for topic, words in found.items() if words}


@cache
def pattern(words: str) -> re.Pattern[str]:
    """Any of the words or phrases of a list with commas, not inside a longer or hyphened word."""
    longest_first = sorted((word.strip() for word in words.split(",")), key=len, reverse=True)
    return re.compile(rf"(?<![\w-])(?:{'|'.join(map(re.escape, longest_first))})(?![\w-])", re.IGNORECASE)
