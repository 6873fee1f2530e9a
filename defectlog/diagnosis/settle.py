"""What defect did they mean? From an id, a trade name, the shop's own word or a description to one id, or a choice."""

from collections.abc import Iterable, Mapping

from rapidfuzz import fuzz, process

from defectlog.diagnosis.identify import NOTHING, identify
from defectlog.diagnosis.words import stems_of
from defectlog.rulebase.catalogue import rule_names
from defectlog.rulebase.shapes import RuleBase

# A misspelt name is taken if it is this like one name (0..100) and so much less like the names of other defects.
NEAR_NAME = 82
NEAR_MARGIN = 6
MOST_OFFERED = 4


def settle_defect(words: str, rules: RuleBase, learned: Mapping[str, str] = NOTHING) -> str | tuple[str, ...]:
    """The id of the one defect meant by `words`, or the ids of those it may be, likeliest first (empty: none).

    Tried in order, the first that settles it: an id, this shop's own word (`learned`), a name, a British, American or
    shop name, a misspelt one, a part of a name. A name that serves several defects gives them all. Words that are no
    name at all are read as a description, which offers a choice and settles nothing.
    """
    typed = " ".join(words.lower().replace("_", " ").split())
    if not typed:
        return ()
    for found in (by_id(typed, rules), by_learned(typed, rules, learned), by_name(typed, rules)):
        if found:
            return one_or_several(found, rules)
    found = by_spelling(typed, rules) or by_part(typed, rules)
    return one_or_several(found, rules) if found else described(words, rules, learned)


def one_or_several(found: Iterable[str], rules: RuleBase) -> str | tuple[str, ...]:
    """Retired defects give way to what replaced them; one is returned bare, several as they came."""
    current = dict.fromkeys(rules.defects[item].replaced_by or item for item in found)
    known = tuple(item for item in current if item in rules.defects)
    return known[0] if len(known) == 1 else known[:MOST_OFFERED]


def by_id(typed: str, rules: RuleBase) -> tuple[str, ...]:
    item = typed.replace(" ", "-")
    return (item,) if item in rules.defects else ()


def by_learned(typed: str, rules: RuleBase, learned: Mapping[str, str]) -> tuple[str, ...]:
    wanted = stems_of(typed)
    return tuple(item for words, item in learned.items() if item in rules.defects and stems_of(words) == wanted)[:1]


def by_name(typed: str, rules: RuleBase) -> tuple[str, ...]:
    """Defects with just this name; the head name of one beats a by-name of others."""
    wanted = stems_of(typed)
    heads = tuple(item for item, defect in rules.defects.items() if stems_of(defect.name) == wanted)
    return heads or commonest(
        (item for item, defect in rules.defects.items() if wanted in map(stems_of, rule_names(defect))), rules
    )


def by_spelling(typed: str, rules: RuleBase) -> tuple[str, ...]:
    """The defect whose name is nearest in letters, if no other defect's is nearly as near."""
    names = {(item, name): name.lower() for item, defect in rules.defects.items() for name in rule_names(defect)}
    near = process.extract(typed, names, scorer=fuzz.ratio, score_cutoff=NEAR_NAME - NEAR_MARGIN, limit=20)
    best: dict[str, float] = {}
    for _, score, (item, _) in near:
        best[item] = max(score, best.get(item, 0.0))
    if not best or max(best.values()) < NEAR_NAME:
        return ()
    return tuple(item for item, score in best.items() if score > max(best.values()) - NEAR_MARGIN)


def by_part(typed: str, rules: RuleBase) -> tuple[str, ...]:
    """Defects with a name that has all of the typed words, and perhaps more ("shrinkage", "core")."""
    wanted = set(stems_of(typed))
    if not wanted:
        return ()
    return commonest(
        (item for item, defect in rules.defects.items() if any(wanted <= set(stems_of(n)) for n in rule_names(defect))),
        rules,
    )


def commonest(items: Iterable[str], rules: RuleBase) -> tuple[str, ...]:
    return tuple(sorted(items, key=lambda item: (-rules.defects[item].usual, item)))


def described(words: str, rules: RuleBase, learned: Mapping[str, str]) -> tuple[str, ...]:
    return tuple(item.defect for item in identify(words, rules, learned=learned).defects[:MOST_OFFERED])
