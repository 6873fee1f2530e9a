"""Limits from the shop's own records: which units made sound castings, and between what their readings lay."""

from collections import defaultdict
from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from functools import cache

from defectlog.book.learned import learned, settings
from defectlog.book.open import Book
from defectlog.book.records import castings_of, find
from defectlog.book.revisions import Card, card_for
from defectlog.diagnosis.evidence import stood_hours
from defectlog.errors import NotFound, Problem
from defectlog.foundry.readings import pattern_readings
from defectlog.jobs.circumstances import circumstances_of
from defectlog.jobs.limits import causes_shown
from defectlog.jobs.why import defect_reader
from defectlog.records.fields import fields_of
from defectlog.records.kinds import Finding, Heat, Mould, Pattern, Sand
from defectlog.report.moulds import counts
from defectlog.report.rules_answers import SideFound, Suggestion, Suggestions
from defectlog.review.limits_from_own import ReadUnit, luck, own_range
from defectlog.rulebase.limits import fits, limit_for
from defectlog.rulebase.reading_names import known_readings
from defectlog.rulebase.shapes import SIDES, RuleBase

UNIT_WORDS = {Sand: "sand batch", Heat: "heat", Mould: "mould", Pattern: "pattern card"}

# A heat that only carries its alloy needs some day.
DAY = datetime(2000, 1, 1)


@dataclass(slots=True)
class Yard:
    """The moulds that count, with what they share; by mould its castings, and its (defect, castings) found: "" where
    no defect could be settled."""

    moulds: list[Mould]
    sands: dict[str, Sand]
    heats: dict[str, Heat]
    cards: dict[tuple[str, str], Pattern]
    castings: dict[str, int] = field(default_factory=dict)
    defects: dict[str, list[tuple[str, int]]] = field(default_factory=lambda: defaultdict(list))

    def card_of(self, mould: Mould) -> Pattern | None:
        """The revision it names, or the one in force on its day, as the book takes it."""
        own = [card for (pattern, _), card in self.cards.items() if pattern == mould.pattern]
        made = mould.made_at or mould.poured_at
        choices = [
            Card(
                row,
                card.revision or "A",
                card.in_force_from.isoformat() if card.in_force_from else None,
                card.impressions,
            )
            for row, card in enumerate(own)
        ]
        chosen = card_for(choices, mould.revision, made.date().isoformat() if made else None)
        return own[chosen.row] if chosen else None


def suggest_limits(
    book: Book, rules: RuleBase, reading: str = "", *, when: Mapping[str, str], since: date | None = None
) -> Suggestions:
    """For `reading`, or for every reading with a figure that a cause is shown by. Raises NotFound in an empty book."""
    yard = yard_of(book, rules, when, since)
    if not yard.moulds:
        found = "no poured mould is on record" + (" that fits" if when or since else "")
        step = "limits come from records: defectlog mould add, defectlog shakeout"
        allowed = "needed: poured moulds with readings"
        raise NotFound(Problem("nothing-on-record", "rules limits suggest", found, allowed, step))
    wanted = (reading,) if reading else readings_of_causes(rules)
    alloys = {heat.alloy for mould in yard.moulds if (heat := yard.heats.get(mould.heat or "")) and heat.alloy}
    return Suggestions(
        each=tuple(suggestion(yard, rules, name, when) for name in wanted),
        moulds=len(yard.moulds),
        when=when,
        since=since,
        alloys=tuple(sorted(alloys)),
    )


def readings_of_causes(rules: RuleBase) -> tuple[str, ...]:
    """In the order of the sheets."""
    used = {cause.reading.quantity for cause in rules.causes.values() if cause.reading and cause.status == "in force"}
    return tuple(name for name, (_, quantity) in known_readings().items() if name in used and quantity != "yes_no")


def yard_of(book: Book, rules: RuleBase, when: Mapping[str, str], since: date | None) -> Yard:
    cards = {(card.record.pattern, card.record.revision or "A"): card.record for card in find(book, Pattern)}
    yard = Yard(
        moulds=[],
        sands={stored.record.sand: stored.record for stored in find(book, Sand)},
        heats={stored.record.heat: stored.record for stored in find(book, Heat)},
        cards=cards,
    )
    known = {key: value for key, value in settings(book).items() if value}
    fitting = circumstance_reader(rules, known, when)
    for stored in find(book, Mould):
        mould = stored.record
        if (
            counts(mould)
            and late_enough(mould, since)
            and fitting(yard.card_of(mould), yard.heats.get(mould.heat or ""))
        ):
            yard.moulds.append(mould)
    read = defect_reader(rules, learned(book))
    for finding in find(book, Finding):
        yard.defects[finding.record.mould].append((read(finding.record.defect or ""), finding.record.castings or 1))
    yard.castings = castings_of(book, [mould.mould for mould in yard.moulds])
    return yard


def late_enough(mould: Mould, since: date | None) -> bool:
    if since is None:
        return True
    moment = mould.poured_at or mould.made_at
    return moment is not None and moment.date() >= since


def circumstance_reader(
    rules: RuleBase, known: Mapping[str, str], when: Mapping[str, str]
) -> Callable[[Pattern | None, Heat | None], bool]:
    """Whether a mould of this card and heat is a case of `when`; the alloy of the heat goes before the card's."""

    @cache
    def case(card: Pattern | None, alloy: str | None) -> bool:
        alone = Heat(heat="", melted_at=DAY, alloy=alloy)
        found = circumstances_of(rules, (card,) if card else (), (), known)
        if alloy:
            found |= circumstances_of(rules, (), (alone,), known)
        return fits(when, found)

    return lambda card, heat: not when or case(card, heat.alloy if heat else None)


def suggestion(yard: Yard, rules: RuleBase, reading: str, when: Mapping[str, str]) -> Suggestion:
    against = frozenset(
        explains.defect
        for cause in rules.causes.values()
        if cause.status == "in force" and cause.reading and cause.reading.quantity == reading
        for explains in cause.explains
    )
    kind, read = reader_of(yard, reading)
    found = own_range(units_of(yard, read, against))
    sides = tuple(
        SideFound(
            side, limit_for(rules.limits, reading, side, when), causes_shown(rules, reading, side), luck(found, side)
        )
        for side in reversed(SIDES)
    )
    return Suggestion(reading, UNIT_WORDS[kind], found, tuple(sorted(against)), sides)


Reader = Callable[[Mould], tuple[str, float | None]]


def reader_of(yard: Yard, reading: str) -> tuple[type, Reader]:
    """The kind of unit that has the reading, and the name and value of a mould's own."""
    if any(spec.name == reading for spec in fields_of(Sand)):
        return Sand, lambda mould: (mould.sand or "", value_of(yard.sands.get(mould.sand or ""), reading))
    if any(spec.name == reading for spec in fields_of(Heat)):
        return Heat, lambda mould: (mould.heat or "", value_of(yard.heats.get(mould.heat or ""), reading))
    if reading == "stood_h":
        return Mould, lambda mould: (mould.mould, stood_hours(mould))
    if any(spec.name == reading for spec in fields_of(Mould)):
        return Mould, lambda mould: (mould.mould, value_of(mould, reading))
    computed = {key: value_of_card(card, reading) for key, card in yard.cards.items()}

    def of_card(mould: Mould) -> tuple[str, float | None]:
        card = yard.card_of(mould)
        if card is None:
            return "", None
        key = (card.pattern, card.revision or "A")
        return f"{key[0]} {key[1]}", computed[key]

    return Pattern, of_card


def value_of(record: object, reading: str) -> float | None:
    value = getattr(record, reading, None)
    return None if value is None else float(value)


def value_of_card(card: Pattern, reading: str) -> float | None:
    """A column of the card, or what is worked out from it."""
    worked = pattern_readings(card).get(reading)
    return worked.value if worked else value_of(card, reading)


def units_of(yard: Yard, read: Reader, against: Collection[str]) -> Iterator[ReadUnit]:
    """Every unit with the reading and its castings; units without it are left out. No `against`: any defect counts."""
    readings: dict[str, float] = {}
    counts: dict[str, list[int]] = {}
    for mould in yard.moulds:
        name, value = read(mould)
        castings = yard.castings.get(mould.mould, 0)
        if not name or value is None or not castings:
            continue
        found = yard.defects.get(mould.mould, ())
        bad = sum(number for defect, number in found if (defect in against if against else True))
        unclear = sum(number for defect, number in found if against and not defect)
        readings[name] = value
        total = counts.setdefault(name, [0, 0, 0])
        total[0] += castings
        total[1] += min(bad, castings)
        total[2] += min(unclear, castings)
    for name, (castings, bad, unclear) in counts.items():
        yield ReadUnit(name, readings[name], castings, bad, unclear)
