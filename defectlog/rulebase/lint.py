"""Is the rule base sound in itself? Every problem of it at once, each with its file and what would be right.

The reader has already seen to the shape of each file. Here rules are held against one another: ids that must exist,
words from fixed lists, cautions that advice must carry (`lint_cautions`), limits that the readings need
(`lint_limits`), and how much a rule must say before it may speak.
"""

import re
from collections import Counter
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping

from rapidfuzz import process

from defectlog.errors import Problem
from defectlog.records.kinds import FOUND
from defectlog.rulebase import shapes
from defectlog.rulebase.lint_cautions import TOPICS, cautions_missing
from defectlog.rulebase.lint_limits import limits_wrong
from defectlog.rulebase.places_of_rules import cause_file, defect_file, in_force, row_of
from defectlog.rulebase.shapes import Cause, Defect, RuleBase
from defectlog.rulebase.strengths import HOW_OFTEN, RATIO, words_by_id
from defectlog.rulebase.weights import weight

FAMILIES = tuple("ABCDEFG")
FEWEST_CAUSES = FEWEST_LOOK_ALIKES = 2
# Where, the id or word found there, what it may be, and what sort of thing it is.
Mention = tuple[str, str, Collection[str], str]
Check = Callable[[RuleBase], Iterable[Problem]]


def check_rules(rules: RuleBase) -> list[Problem]:
    """Every problem of the whole base, ours and the shop's own rules together; an empty list when it is sound."""
    return [problem for check in CHECKS for problem in check(rules)]


def mentions_unknown(rules: RuleBase) -> Iterator[Problem]:
    """Ids and words that no list has."""
    mentions = (*defect_mentions(rules), *cause_mentions(rules), *list_mentions(rules))
    for where, found, known, what in mentions:
        if found not in known:
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
    for sign in rules.signs.values():
        yield from each(f"{row_of('signs', sign.id)}, excludes", sign.excludes, rules.signs, "sign")
    for alloy in rules.alloys.values():
        yield from each(row_of("alloys", alloy.id), alloy.sources, rules.sources, "source")
    for refusal in rules.refusals.values():
        yield from each(row_of("refusals", refusal.id), refusal.sources, rules.sources, "source")
    for limit in rules.limits:
        yield from each(row_of("limits", limit.id), limit.sources, rules.sources, "source")


def retired_answer(rules: RuleBase) -> Iterator[Problem]:
    """A retired id is kept so that old verdicts can be read, so it must lead to a rule in force."""
    for where, rule, others in whole_rules(rules):
        if rule.status != "retired":
            if rule.replaced_by:
                found = f"in force, yet replaced by {rule.replaced_by!r}"
                yield Problem("rule-retired", where, found, 'allowed: replaced_by only beside status = "retired"')
        elif not leads_to_one_in_force(rule, others):
            found = f"retired, and replaced_by {rule.replaced_by!r} leads to no rule in force"
            yield Problem("rule-retired", where, found, "allowed: the id of a rule in force that answers in its place")


def whole_rules(rules: RuleBase) -> Iterator[tuple[str, Defect | Cause, Mapping[str, Defect] | Mapping[str, Cause]]]:
    for defect in rules.defects.values():
        yield defect_file(defect), defect, rules.defects
    for cause in rules.causes.values():
        yield cause_file(cause), cause, rules.causes


def leads_to_one_in_force(rule: Defect | Cause, others: Mapping[str, Defect] | Mapping[str, Cause]) -> bool:
    here: Defect | Cause | None = rule
    for _ in range(len(others)):
        if here is None or here.status == "in force":
            break
        here = others.get(here.replaced_by)
    return here is not None and here.status == "in force"


def causes_say_too_little(rules: RuleBase) -> Iterator[Problem]:
    for cause in in_force(rules.causes.values()):
        where = cause_file(cause)
        if not cause.explains:
            yield thin(where, "it explains no defect", "at least one [[explains]]")
        if not cause.look_alikes:
            yield thin(where, "no look-alike", "at least one [[look_alikes]], better two")
        if cause.look_next is None:
            yield thin(where, "nothing to look at next", "a [look_next] with the cheapest check that separates it")
        if not cause.remedies:
            yield thin(where, "no remedy", "two to four [[remedies]], the cheapest first")


def defects_say_too_little(rules: RuleBase) -> Iterator[Problem]:
    causes = Counter(
        explains.defect
        for cause in in_force(rules.causes.values())
        for explains in cause.explains
        if weight(explains, rules.sources) > 0
    )
    for defect in in_force(rules.defects.values()):
        where = defect_file(defect)
        if causes[defect.id] < FEWEST_CAUSES:
            yield thin(where, f"{causes[defect.id]} causes explain it", f"at least {FEWEST_CAUSES} causes in force")
        if len(defect.look_alikes) < FEWEST_LOOK_ALIKES:
            yield thin(where, f"{len(defect.look_alikes)} look-alikes", f"at least {FEWEST_LOOK_ALIKES} [[look_alikes]]")
        if not defect.make_sure:
            yield thin(where, "no way to make sure of it", "a make_sure")
        if not defect.sources:
            yield thin(where, "no source", 'a source, or "common-practice"')


def thin(where: str, found: str, allowed: str) -> Problem:
    return Problem("rule-says-too-little", where, found, f"allowed: {allowed}")


def look_alikes_of_themselves(rules: RuleBase) -> Iterator[Problem]:
    for defect in rules.defects.values():
        yield from not_themselves(defect_file(defect), defect.id, [alike.defect for alike in defect.look_alikes])
    for cause in rules.causes.values():
        yield from not_themselves(cause_file(cause), cause.id, [alike.cause for alike in cause.look_alikes])


def not_themselves(where: str, own: str, alike: list[str]) -> Iterator[Problem]:
    if own in alike:
        yield Problem("rule-look-alike", where, "it is named as its own look-alike", "allowed: the ids of others")
    yield from twice(where, alike, "look-alike")


def twice(where: str, items: Iterable[str], what: str) -> Iterator[Problem]:
    for item, times in Counter(items).items():
        if times > 1:
            yield Problem("rule-said-twice", where, f"{what} {item!r} stands {times} times", "allowed: each once")


def explanations_wrong(rules: RuleBase) -> Iterator[Problem]:
    """Each pair needs somebody who says so, and a statement counts as read only if its source was opened."""
    for cause in rules.causes.values():
        yield from twice(cause_file(cause), (explains.defect for explains in cause.explains), "[[explains]]")
        for explains in cause.explains:
            where = f"{cause_file(cause)}, explains {explains.defect}"
            if weight(explains, rules.sources) <= 0:
                allowed = "allowed: a source, a recalled source, or a judgement that gives its reason"
                yield Problem("rule-unsupported", where, "nobody says so", allowed)
            for source in explains.sources:
                if source in rules.sources and not rules.sources[source].opened:
                    allowed = "allowed: under `recalled`, or with opened = true in sources.toml once it is read"
                    yield Problem("rule-unsupported", where, f"source {source!r} was never opened", allowed)


def remedies_out_of_order(rules: RuleBase) -> Iterator[Problem]:
    for cause in rules.causes.values():
        costs = [shapes.COSTS.index(remedy.cost) for remedy in cause.remedies if remedy.cost in shapes.COSTS]
        if costs != sorted(costs):
            yield Problem("rule-order", cause_file(cause), "a dear remedy stands before a cheap one", "allowed: cheapest first")


def shares_impossible(rules: RuleBase) -> Iterator[Problem]:
    shares = [(f"{cause_file(cause)}, usual_share", cause.usual_share) for cause in rules.causes.values()]
    shares += [(f"{row_of('signs', sign.id)}, usual", sign.usual) for sign in rules.signs.values()]
    for where, share in shares:
        if not 0 < share < 1:
            yield Problem("rule-number-wrong", where, f"{share:g}", "allowed: a share between 0 and 1")
    for defect in rules.defects.values():
        if defect.usual <= 0:
            where = f"{defect_file(defect)}, usual"
            yield Problem("rule-number-wrong", where, f"{defect.usual:g}", "allowed: more than 0; 1 is ordinary")


def signs_at_odds(rules: RuleBase) -> Iterator[Problem]:
    """A defect that usually shows two signs which exclude one another, or that lists one sign twice."""
    for defect in rules.defects.values():
        where = defect_file(defect)
        usual = {*defect.signs.always, *defect.signs.usually}
        for sign in sorted(usual & rules.signs.keys()):
            for other in sorted(usual.intersection(rules.signs[sign].excludes)):
                found = f"usually {sign!r} and usually {other!r}, which exclude one another"
                yield Problem("rule-signs-at-odds", f"{where}, signs", found, "allowed: one of them at most sometimes")
        for what, how_often in (("sign", defect.signs), ("place", defect.places)):
            yield from twice(where, (item for word in HOW_OFTEN for item in getattr(how_often, word)), what)


def phrases_shared(rules: RuleBase) -> Iterator[Problem]:
    """One phrase that would call up two signs, or two places, calls up neither with any right."""
    for name, rows in (("signs", rules.signs), ("places", rules.places)):
        owners: dict[str, str] = {}
        for row in rows.values():
            for phrase in dict.fromkeys(plain(said) for said in row.says):
                owner = owners.setdefault(phrase, row.id)
                if owner != row.id:
                    found = f"{phrase!r} is also said for {owner!r}"
                    yield Problem("rule-phrase-shared", row_of(name, row.id), found, "allowed: a phrase for one of them")


def plain(phrase: str) -> str:
    """Lower-case letters and figures; "not:" stays, because it turns the meaning round."""
    return " ".join(re.findall(r"[^\W_]+:?", phrase.lower()))


CHECKS: tuple[Check, ...] = (
    mentions_unknown,
    retired_answer,
    causes_say_too_little,
    defects_say_too_little,
    look_alikes_of_themselves,
    explanations_wrong,
    remedies_out_of_order,
    shares_impossible,
    signs_at_odds,
    phrases_shared,
    limits_wrong,
    cautions_missing,
)
