"""Which defect or cause is meant by what was typed, of the whole rule base, the retired ones too."""

from collections.abc import Iterable, Mapping

from rapidfuzz import fuzz, process

from defectlog.errors import Ambiguous, NotFound, Problem
from defectlog.report.rules_answers import RuleFound
from defectlog.rulebase.shapes import Cause, Defect, RuleBase

NEAR_ENOUGH = 84
MARGIN = 6
WORTH_NAMING = 55
MOST_NAMED = 5
# What `rules list` can list; the singular is taken too.
LISTS = ("defects", "causes", "signs", "places", "limits", "cautions", "sources", "alloys")


def rule_named(typed: str, rules: RuleBase) -> RuleFound:
    """By id, by name, by a trade name, or something close to one. Raises Ambiguous or NotFound with the nearest."""
    wanted = plain(typed)
    everything: dict[str, Defect | Cause] = {**rules.causes, **rules.defects}
    called = names_of(rules)
    ids = called.get(wanted, ())
    if not ids and wanted:
        ids = nearest(typed, wanted, called)
    if len(ids) == 1:
        rule = everything[ids[0]]
        said = "" if wanted in (plain(rule.id), plain(rule.name)) else f"taking {rule.id} for {typed!r}"
        return RuleFound(rule, said, successor(rule, rules))
    if ids:
        found = f"{typed!r} could be {' or '.join(ids[:MOST_NAMED])}"
        allowed = f"allowed: {', '.join(ids[:MOST_NAMED])}"
        raise Ambiguous(Problem("rule-unclear", "rules show", found, allowed, f"type: defectlog rules show {ids[0]}"))
    raise NotFound(unknown(typed, wanted, called, rules))


A_RULE = "allowed: a defect or a cause of the rules"


def plain(text: str) -> str:
    return " ".join(text.casefold().replace("-", " ").replace("_", " ").split())


def names_of(rules: RuleBase) -> dict[str, tuple[str, ...]]:
    """Every id and name → the ids it stands for. An id or a head name beats the trade names of others."""
    heads: dict[str, tuple[str, ...]] = {}
    for kind in (rules.defects, rules.causes):
        for rule in kind.values():
            add(heads, plain(rule.id), rule.id)
            add(heads, plain(rule.name), rule.id)
    trade: dict[str, tuple[str, ...]] = {}
    for defect in rules.defects.values():
        for name in (*defect.names.uk, *defect.names.us, *defect.names.shop):
            add(trade, plain(name), defect.id)
    return trade | heads


def add(names: dict[str, tuple[str, ...]], name: str, id: str) -> None:
    if id not in names.get(name, ()):
        names[name] = (*names.get(name, ()), id)


def nearest(typed: str, wanted: str, called: Mapping[str, tuple[str, ...]]) -> tuple[str, ...]:
    """The one rule that is clearly meant, or all that are about as near, or none."""
    scores = likeness(wanted, called)
    if not scores or scores[0][1] < NEAR_ENOUGH or len(typed) > 200:
        return ()
    return tuple(id for id, score in scores if score > scores[0][1] - MARGIN)


def likeness(wanted: str, called: Mapping[str, tuple[str, ...]]) -> list[tuple[str, float]]:
    """(id, likeness of 100), the likest first."""
    best: dict[str, float] = {}
    for name, score, _ in process.extract(wanted, list(called), scorer=fuzz.ratio, score_cutoff=WORTH_NAMING, limit=30):
        for id in called[name]:
            best[id] = max(score, best.get(id, 0.0))
    return sorted(best.items(), key=lambda pair: -pair[1])


def unknown(typed: str, wanted: str, called: Mapping[str, tuple[str, ...]], rules: RuleBase) -> Problem:
    found = f"{typed!r} is no defect and no cause that the rules know"
    for name, ids in lists_of(rules):
        if any(wanted == plain(id) for id in ids):
            step = f"to see it: defectlog rules list {name}"
            return Problem("rule-unknown", "rules show", f"{typed!r} is one of the {name}", A_RULE, step)
    close = [id for id, _ in likeness(wanted, called)[:MOST_NAMED]]
    allowed = f"nearest: {', '.join(close)}" if close else A_RULE
    return Problem("rule-unknown", "rules show", found, allowed, "to see them all: defectlog rules list")


def lists_of(rules: RuleBase) -> Iterable[tuple[str, Iterable[str]]]:
    for name in LISTS[2:]:
        yield name, (limit.id for limit in rules.limits) if name == "limits" else getattr(rules, name)


def successor(rule: Defect | Cause, rules: RuleBase) -> Defect | Cause | None:
    """What answers in the place of a retired rule, however many steps on; None for one in force, or where none does."""
    kind: Mapping[str, Defect] | Mapping[str, Cause] = rules.defects if isinstance(rule, Defect) else rules.causes
    here: Defect | Cause | None = rule
    for _ in range(len(kind)):
        if here is None or here.status != "retired":
            break
        here = kind.get(here.replaced_by)
    return here if here is not rule and here is not None and here.status != "retired" else None


def list_named(typed: str) -> str:
    """One of LISTS, "" for none typed. Raises NotFound with the nearest."""
    wanted = typed.strip().lower()
    if not wanted or wanted in LISTS:
        return wanted
    if f"{wanted}s" in LISTS:
        return f"{wanted}s"
    near = process.extractOne(wanted, LISTS, score_cutoff=70)
    step = f"type: defectlog rules list {near[0]}" if near else ""
    raise NotFound(
        Problem("rule-list-unknown", "rules list", f"no list {typed!r}", f"allowed: {', '.join(LISTS)}", step)
    )
