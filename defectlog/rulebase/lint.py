"""Is the rule base sound in itself? Every problem of it at once, each with its file and what would be right.

The reader has already seen to the shape of each file. Here rules are held against one another: ids that must exist,
words from fixed lists (`lint_mentions`), cautions that advice must carry (`lint_cautions`), limits that the readings
need (`lint_limits`), and how much a rule must say before it may speak.
"""

import dataclasses
import re
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping
from itertools import combinations

from defectlog.errors import Problem
from defectlog.rulebase import shapes
from defectlog.rulebase.catalogue import cause_file, defect_file, in_force, row_of, told_file
from defectlog.rulebase.lint_cautions import cautions_missing
from defectlog.rulebase.lint_limits import limits_wrong
from defectlog.rulebase.lint_mentions import mentions_unknown
from defectlog.rulebase.shapes import Cause, Defect, RuleBase
from defectlog.rulebase.skeleton import BLANK, ID
from defectlog.rulebase.strengths import HOW_OFTEN
from defectlog.rulebase.weights import weight

FEWEST_CAUSES = FEWEST_LOOK_ALIKES = 2
Check = Callable[[RuleBase], Iterable[Problem]]


def check_rules(rules: RuleBase) -> list[Problem]:
    """Every problem of the whole base, ours and the shop's own rules together; an empty list when it is sound."""
    return [problem for check in CHECKS for problem in check(rules)]


def blanks_left(rules: RuleBase) -> Iterator[Problem]:
    """What `rules new` left for a person to write."""
    for where, rule, _ in whole_rules(rules):
        for place, text in texts_in(rule, where):
            if text.startswith(BLANK):
                yield Problem("rule-blank", place, text, "allowed: your own words in its place")


def texts_in(value: object, where: str) -> Iterator[tuple[str, str]]:
    """Every text of a rule with its key path."""
    if isinstance(value, str):
        yield where, value
    elif isinstance(value, tuple):
        for number, item in enumerate(value, start=1):
            yield from texts_in(item, f"{where}[{number}]")
    elif dataclasses.is_dataclass(value):
        for field in dataclasses.fields(value):
            yield from texts_in(getattr(value, field.name), f"{where}, {field.name}")


def ids_misspelt(rules: RuleBase) -> Iterator[Problem]:
    for where, rule, _ in whole_rules(rules):
        if not ID.fullmatch(rule.id):
            yield Problem("rule-id-misspelt", where, repr(rule.id), "allowed: lower-case words with hyphens")


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
            yield thin(
                where, f"{len(defect.look_alikes)} look-alikes", f"at least {FEWEST_LOOK_ALIKES} [[look_alikes]]"
            )
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
            yield Problem(
                "rule-order", cause_file(cause), "a dear remedy stands before a cheap one", "allowed: cheapest first"
            )


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
        for one, other in combinations(sorted(usual & rules.signs.keys()), 2):
            if other in rules.signs[one].excludes or one in rules.signs[other].excludes:
                found = f"usually {one!r} and usually {other!r}, which exclude one another"
                yield Problem("rule-signs-at-odds", f"{where}, signs", found, "allowed: one of them at most sometimes")
        for what, how_often in (("sign", defect.signs), ("place", defect.places)):
            yield from twice(where, (item for word in HOW_OFTEN for item in getattr(how_often, word)), what)


def phrases_shared(rules: RuleBase) -> Iterator[Problem]:
    """A phrase may show signs of two groups ("pea size" is round and large), but not two of one group or two places,
    of which it can mean only one."""
    signs = ((sign.group, row_of("signs", sign.id), sign.says) for sign in rules.signs.values())
    places = (("", row_of("places", place.id), place.says) for place in rules.places.values())
    for rows in (signs, places):
        owners: dict[tuple[str, str], str] = {}
        for group, where, says in rows:
            for phrase in dict.fromkeys(plain(said) for said in says if not said.startswith("not:")):
                owner = owners.setdefault((group, phrase), where)
                if owner != where:
                    found = f"{phrase!r} is also said for {owner}"
                    yield Problem("rule-phrase-shared", where, found, "allowed: a phrase for one of them")


def reports_shared(rules: RuleBase) -> Iterator[Problem]:
    """A report that stands for two defects, or twice for one, would teach nothing or count double."""
    owners: dict[str, str] = {}
    for told in rules.told.values():
        for number, report in enumerate(told.told, start=1):
            where = f"{told_file(told)}, told[{number}]"
            owner = owners.setdefault(plain(report), where)
            if not plain(report):
                yield Problem("rule-says-too-little", where, "a report without words", "allowed: what somebody said")
            elif owner != where:
                found = f"{report!r} is also {owner}"
                yield Problem("rule-phrase-shared", where, found, "allowed: a report once, for one defect")


def plain(phrase: str) -> str:
    """Lower-case letters and figures with single blanks, as typed words are compared."""
    return " ".join(re.findall(r"[^\W_]+", phrase.lower()))


CHECKS: tuple[Check, ...] = (
    blanks_left,
    ids_misspelt,
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
    reports_shared,
    limits_wrong,
    cautions_missing,
)
