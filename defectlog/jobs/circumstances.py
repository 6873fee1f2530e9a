"""What is known of a case that decides which limit holds: the alloy, the wall, the sand of the shop."""

from collections.abc import Mapping, Sequence

from defectlog.foundry.readings import section_band
from defectlog.records.kinds import Heat, Pattern
from defectlog.rulebase.shapes import Alloy, RuleBase

SETTINGS_THAT_COUNT = ("sand_base", "pattern_material")


def circumstances_of(
    rules: RuleBase, cards: Sequence[Pattern], heats: Sequence[Heat], settings: Mapping[str, str]
) -> dict[str, str]:
    """Keys as in the `when` of a limit; what is not known, or differs between revisions, is left out."""
    found = {key: settings[key] for key in SETTINGS_THAT_COUNT if settings.get(key)}
    alloys = {card.alloy for card in cards if card.alloy} or {heat.alloy for heat in heats if heat.alloy}
    alloy = alloy_of(rules, alloys.pop()) if len(alloys) == 1 else None
    if alloy is not None:
        found["alloy"] = alloy.id
    bands = {section_band(card.min_section_mm) for card in cards}
    if len(bands) == 1 and (band := bands.pop()):
        found["section"] = band
    return found


def alloy_of(rules: RuleBase, written: str) -> Alloy | None:
    """An alloy by its id or any of its other names, in any case."""
    wanted = written.strip().lower()
    for alloy in rules.alloys.values():
        if wanted in {alloy.id.lower(), *(name.lower() for name in alloy.also)}:
            return alloy
    return None
