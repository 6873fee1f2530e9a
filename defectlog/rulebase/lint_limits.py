"""Do the limits and alloys hold together, and does every reading of a cause have a limit to be held against?"""

from collections.abc import Iterator, Mapping

from defectlog.errors import Problem
from defectlog.rulebase.catalogue import cause_file, in_force, row_of
from defectlog.rulebase.reading_names import known_readings
from defectlog.rulebase.shapes import HAND_TESTS, SIDES, Limit, RuleBase

CIRCUMSTANCES = ("sand_base", "alloy", "section", "pattern_material", "height")
"""What a limit's `when` may ask for."""


def limits_wrong(rules: RuleBase) -> Iterator[Problem]:
    """Every problem of the limits and alloys."""
    yield from readings_without_limit(rules)
    for limit in rules.limits:
        yield from limit_wrong(limit, rules)
    yield from windows_upside_down(rules)
    yield from alloys_wrong(rules)


def readings_without_limit(rules: RuleBase) -> Iterator[Problem]:
    """A limit for one alloy or sand is not enough: somebody else's reading would be held against nothing."""
    general = {(limit.reading, limit.side) for limit in rules.limits if not limit.when}
    for cause in in_force(rules.causes.values()):
        reading = cause.reading
        if reading is None:
            continue
        where = f"{cause_file(cause)}, reading"
        if reading.side not in SIDES:
            yield Problem("rule-id-unknown", where, f"there is no side {reading.side!r}", "allowed: above, below")
        if reading.hand_test and (reading.hand_test not in HAND_TESTS or cause.acts_at != "sand"):
            allowed = f"allowed: {', '.join(HAND_TESTS)}, of a cause that acts at the sand"
            yield Problem("rule-id-unknown", f"{where}, hand_test", repr(reading.hand_test), allowed)
        if reading.quantity not in known_readings():
            yield unknown_reading(where, reading.quantity)
        if (reading.quantity, reading.side) not in general:
            found = f"no limit for {reading.quantity} {reading.side}"
            allowed = "allowed: a row of limits.toml for that reading and side, without `when`"
            yield Problem("rule-limit-missing", where, found, allowed)


def unknown_reading(where: str, found: str) -> Problem:
    allowed = "allowed: a column of the sand, heat, mould or pattern sheet, or a reading computed from them"
    return Problem("rule-id-unknown", where, f"there is no reading {found!r}", allowed)


def limit_wrong(limit: Limit, rules: RuleBase) -> Iterator[Problem]:
    where = row_of("limits", limit.id)
    if limit.side not in SIDES:
        yield Problem("rule-id-unknown", where, f"there is no side {limit.side!r}", "allowed: above, below")
    if limit.reading not in known_readings():
        yield unknown_reading(where, limit.reading)
    if limit.softness <= 0:
        allowed = "allowed: more than 0, the measuring error and the width of the grey zone"
        yield Problem("rule-number-wrong", where, f"softness {limit.softness:g}", allowed)
    if not limit.sources and not limit.judgement:
        allowed = "allowed: `sources`, or a `judgement` that says in words where the number comes from"
        yield Problem("rule-unsupported", where, f"{limit.value:g} stands alone", allowed)
    for key, wanted in limit.when.items():
        if key not in CIRCUMSTANCES:
            allowed = f"allowed: {', '.join(CIRCUMSTANCES)}"
            yield Problem("rule-id-unknown", where, f"there is no circumstance {key!r}", allowed)
        if key == "alloy" and wanted not in rules.alloys:
            yield Problem("rule-id-unknown", where, f"there is no alloy {wanted!r}", "allowed: an id of alloys.toml")


def windows_upside_down(rules: RuleBase) -> Iterator[Problem]:
    """For the same reading in the same circumstances one row a side, and low below high. Ours and the shop's apart."""
    seen: dict[tuple[object, ...], dict[str, Limit]] = {}
    for limit in rules.limits:
        sides = seen.setdefault((limit.own, limit.reading, *sorted(limit.when.items())), {})
        earlier = sides.setdefault(limit.side, limit)
        if earlier is not limit:
            found = f"the same reading, side and circumstances as {earlier.id!r}"
            yield Problem("rule-said-twice", row_of("limits", limit.id), found, "allowed: one row for them")
    for sides in seen.values():
        yield from window_upside_down(sides)


def window_upside_down(sides: Mapping[str, Limit]) -> Iterator[Problem]:
    low, high = sides.get("below"), sides.get("above")
    if low and high and low.value >= high.value:
        found = f"too low below {low.value:g}, and too high above {high.value:g} ({high.id})"
        yield Problem("rule-number-wrong", row_of("limits", low.id), found, "allowed: a low limit below the high one")


def alloys_wrong(rules: RuleBase) -> Iterator[Problem]:
    for alloy in rules.alloys.values():
        where = row_of("alloys", alloy.id)
        if not alloy.solidus_c <= alloy.liquidus_c < alloy.pour_low_c < alloy.pour_high_c:
            found = (
                f"solidus {alloy.solidus_c:g}, liquidus {alloy.liquidus_c:g}, "
                f"poured {alloy.pour_low_c:g} to {alloy.pour_high_c:g} °C"
            )
            yield Problem("rule-number-wrong", where, found, "allowed: each of the four above the one before it")
        if not alloy.sources:
            yield Problem("rule-unsupported", where, "its figures stand alone", "allowed: `sources`")
