"""Does every id and every word that a rule uses stand in the list it is taken from?"""

from collections.abc import Collection, Iterable, Iterator

from rapidfuzz import process

from defectlog.errors import Problem
from defectlog.records.kinds import FOUND
from defectlog.rulebase import shapes
from defectlog.rulebase.catalogue import FAMILIES, cause_file, defect_file, row_of, told_file
from defectlog.rulebase.lint_cautions import TOPICS
from defectlog.rulebase.shapes import Cause, RuleBase
from defectlog.rulebase.skeleton import BLANK
from defectlog.rulebase.strengths import RATIO, words_by_id

# Where, the id or word found there, what it may be, and what sort of thing it is.
Mention = tuple[str, str, Collection[str], str]


def mentions_unknown(rules: RuleBase) -> Iterator[Problem]:
    """Ids and words that no list has."""
    mentions = (*defect_mentions(rules), *cause_mentions(rules), *list_mentions(rules))
    for where, found, known, what in mentions:
        if found not in known and not found.startswith(BLANK):
            yield unknown(where, found, known, what)


def unknown(where: str, found: str, known: Collection[str], what: str) -> Problem:
    nearest = [word for word, _, _ in process.extract(found, list(known), limit=3, score_cutoff=50)]
    words = list(known) if len(known) <= 10 else nearest
    allowed = f"allowed: {', '.join(words)}" if words else f"allowed: the id of a {what}"
    step = f"did you mean {nearest[0]!r}?" if nearest else ""
    return Problem("rule-id-unknown", where, f"there is no {what} {found!r}", allowed, step)


def each(where: str, found: Iterable[str], known: Collection[str], what: str) -> Iterator[Mention]:
    for item in found:
        yield where, item, known, what


def defect_mentions(rules: RuleBase) -> Iterator[Mention]:
    for defect in rules.defects.values():
        where = defect_file(defect)
        yield where, defect.status, shapes.STATUSES, "status"
        yield where, defect.family, FAMILIES, "family"
        yield from each(f"{where}, found", defect.found, FOUND, "stage")
        yield from each(f"{where}, sources", defect.sources, rules.sources, "source")
        yield from each(f"{where}, cautions", defect.cautions, rules.cautions, "caution")
        yield from each(f"{where}, signs", words_by_id(defect.signs), rules.signs, "sign")
        yield from each(f"{where}, places", words_by_id(defect.places), rules.places, "place")
        for alike in defect.look_alikes:
            yield f"{where}, look_alikes", alike.defect, rules.defects, "defect"
            yield from each(f"{where}, look_alikes {alike.defect}", alike.sources, rules.sources, "source")


def cause_mentions(rules: RuleBase) -> Iterator[Mention]:
    for cause in rules.causes.values():
        where = cause_file(cause)
        yield where, cause.status, shapes.STATUSES, "status"
        yield where, cause.area, shapes.AREAS, "area"
        yield where, cause.acts_at, shapes.UNITS_OF_ACTION, "unit that a cause acts at"
        yield from each(f"{where}, sources", cause.sources, rules.sources, "source")
        yield from each(f"{where}, cautions", cause.cautions, rules.cautions, "caution")
        yield from each(f"{where}, look_alikes", (alike.cause for alike in cause.look_alikes), rules.causes, "cause")
        yield from explains_mentions(rules, cause)
        yield from favours_mentions(rules, f"{where}, favoured_by", cause.favoured_by)
        yield from favours_mentions(rules, f"{where}, opposed_by", cause.opposed_by)
        yield from advice_mentions(rules, cause)


def explains_mentions(rules: RuleBase, cause: Cause) -> Iterator[Mention]:
    for explains in cause.explains:
        where = f"{cause_file(cause)}, explains {explains.defect}"
        yield where, explains.defect, rules.defects, "defect"
        yield from each(where, (*explains.sources, *explains.recalled), rules.sources, "source")


def favours_mentions(rules: RuleBase, where: str, favours: shapes.Favours) -> Iterator[Mention]:
    yield from each(f"{where}, signs", favours.signs, rules.signs, "sign")
    yield from each(f"{where}, places", favours.places, rules.places, "place")
    yield from each(where, (*favours.signs.values(), *favours.places.values()), RATIO, "strength")


def advice_mentions(rules: RuleBase, cause: Cause) -> Iterator[Mention]:
    where = cause_file(cause)
    if cause.look_next:
        yield from each(f"{where}, look_next", cause.look_next.cautions, rules.cautions, "caution")
    for number, remedy in enumerate(cause.remedies, start=1):
        place = f"{where}, remedies[{number}]"
        yield place, remedy.cost, shapes.COSTS, "cost"
        yield from each(f"{place}, may_break", remedy.may_break, rules.defects, "defect")
        yield from each(f"{place}, cautions", remedy.cautions, rules.cautions, "caution")


def list_mentions(rules: RuleBase) -> Iterator[Mention]:
    for caution in rules.cautions.values():
        yield from each(row_of("cautions", caution.id), caution.touches, TOPICS, "kind of advice")
        yield from each(row_of("cautions", caution.id), caution.sources, rules.sources, "source")
    for told in rules.told.values():
        yield told_file(told), told.id, rules.defects, "defect"
    for sign in rules.signs.values():
        yield from each(f"{row_of('signs', sign.id)}, excludes", sign.excludes, rules.signs, "sign")
    for alloy in rules.alloys.values():
        yield from each(row_of("alloys", alloy.id), alloy.sources, rules.sources, "source")
    for refusal in rules.refusals.values():
        yield from each(row_of("refusals", refusal.id), refusal.sources, rules.sources, "source")
    for limit in rules.limits:
        yield from each(row_of("limits", limit.id), limit.sources, rules.sources, "source")
