"""Why a cause stands where it stands, in sentences: what speaks for it, what speaks against it."""

from collections.abc import Sequence

from defectlog.diagnosis.looks import Look, telling_signs
from defectlog.diagnosis.phrases import YES_NO, beyond_limit, reading_name, show_reading, unit_name
from defectlog.diagnosis.ranking import Ranked
from defectlog.diagnosis.same_place import SamePlace
from defectlog.diagnosis.side_by_side import SideBySide, Spread
from defectlog.records.kinds import Verdict
from defectlog.rulebase.shapes import RuleBase

# Parts smaller than this, in bits, are not worth a sentence.
WORTH_SAYING = 0.3


def speaks(
    ranked: Ranked,
    beside: SideBySide | None,
    spread: Spread | None,
    impressions: SamePlace | None,
    looks: Sequence[Look],
    verdicts: Sequence[Verdict],
    rules: RuleBase,
    system: str = "metric",
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """(for, against). `verdicts` on this cause and defect; `spread` is None for causes that act at an impression."""
    parts, cause = ranked.parts, ranked.candidate.cause
    told: list[tuple[float, str]] = []
    # With no good unit beside the bad ones, or the other way round, there is nothing to set side by side.
    if beside is not None and beside.bad.of and beside.good.of:
        told.append((parts.readings, side_by_side_text(beside, system)))
    if beside is not None and hand_test_agrees(beside, parts.readings):
        told.append((parts.readings, hand_test_text(beside)))
    told.append((parts.spread, spread_text(spread) if spread else impressions_text(impressions)))
    for amount, favouring in ((parts.looks + parts.place, True), (parts.looks + parts.place, False)):
        seen = telling_signs(cause, looks, favouring=favouring)
        if seen and (amount > 0) == favouring:
            told.append((amount, f"look and place: {', '.join(plain_name(rules, name) for name in seen[:3])}"))
    told += [(verdict_bits(verdict, parts.history), verdict_text(verdict)) for verdict in verdicts]
    ordered = sorted(told, key=lambda item: -abs(item[0]))
    return (
        tuple(text for amount, text in ordered if amount >= WORTH_SAYING),
        tuple(text for amount, text in ordered if amount <= -WORTH_SAYING),
    )


def side_by_side_text(beside: SideBySide, system: str = "metric") -> str:
    """ "moisture above 4.5 % on 6 of 7 bad batches of sand, on 2 of 31 good (middle 5.1 % against 3.6 %)".

    Where few readings are past the limit and they still speak, it is because they lie near it: that is said first.
    """
    bad_units = unit_name(beside.unit, beside.bad.of)
    counts = f"on {beside.bad.out} of {beside.bad.of} bad {bad_units}, on {beside.good.out} of {beside.good.of} good"
    past = beyond_limit(beside.limit, system)
    if beside.bad_middle is None or beside.good_middle is None or beside.reading in YES_NO:
        return f"{past} {counts}"
    bad, good = (show_reading(value, beside.reading, system) for value in (beside.bad_middle, beside.good_middle))
    if beside.bad.out * beside.good.of > beside.good.out * beside.bad.of:
        return f"{past} {counts} (middle {bad} against {good})"
    return f"{reading_name(beside.reading)} in the middle {bad} on bad {bad_units}, {good} on good; {past} {counts}"


def hand_test_agrees(beside: SideBySide, readings: float) -> bool:
    """Whether the hand test showed the cause at all, and points the way that the readings and it point together."""
    bad, good = beside.hand_bad, beside.hand_good
    if not (bad.of and good.of and bad.out + good.out):
        return False
    return (bad.out * good.of > good.out * bad.of) == (readings > 0)


def hand_test_text(beside: SideBySide) -> str:
    """ "not measured: a squeezed handful sticks on 3 of 4 bad batches of sand, on 1 of 20 good"."""
    bad, good = beside.hand_bad, beside.hand_good
    counts = f"on {bad.out} of {bad.of} bad {unit_name(beside.unit, bad.of)}, on {good.out} of {good.of} good"
    return f"not measured, but by hand: a squeezed handful {beside.hand_test} {counts}"


def spread_text(spread: Spread) -> str:
    if spread.level == "pattern":
        return (
            f"{spread.bad} bad castings are spread over {spread.days_with_bad} of {spread.days} pouring days; "
            "a fault of the plate spreads over them all"
        )
    return (
        f"{spread.bad} bad castings are in {spread.units_with_bad} of {spread.units} "
        f"{unit_name(spread.level, spread.units)}, half of them in {spread.hold_half}"
    )


def impressions_text(same: SamePlace | None) -> str:
    """ "impression 5 was bad in 17 moulds, the other 5 in 2 together (8 not placed)"."""
    if same is None or not any(same.impressions.values()):
        return "no bad casting has its impression on record"
    worst, count = max(same.impressions.items(), key=lambda item: item[1])
    rest = sum(same.impressions.values()) - count
    placed = f" ({same.not_on_record} not placed)" if same.not_on_record else ""
    others = f"the other {len(same.impressions) - 1} in {rest} together"
    return f"impression {worst} was bad in {count} moulds, {others}{placed}"


def verdict_bits(verdict: Verdict, history: float) -> float:
    """A verdict is told on its own side even where other verdicts outweigh it, and however far it has faded."""
    amount = max(abs(history), WORTH_SAYING)
    return amount if verdict.verdict == "confirmed" else -amount


def verdict_text(verdict: Verdict) -> str:
    basis = f": {verdict.basis}" if verdict.basis else ""
    return f"{verdict.verdict} on {verdict.pattern}, {verdict.decided_on.isoformat()}{basis}"


def plain_name(rules: RuleBase, name: str) -> str:
    """The plain name of a sign or a place."""
    sign = rules.signs.get(name)
    if sign is not None:
        return sign.name.lower()
    place = rules.places.get(name)
    return place.name.lower() if place is not None else name
