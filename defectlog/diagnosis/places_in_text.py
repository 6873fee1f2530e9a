"""Where on the casting the text says it is."""

from collections.abc import Iterable

from defectlog.diagnosis.phrase_index import Match
from defectlog.diagnosis.rule_words import index_of
from defectlog.rulebase.shapes import RuleBase


def places_of(text: str, rules: RuleBase) -> tuple[str, ...]:
    """Ids of the places that the text names, the surest first. A place that is denied is left out."""
    index = index_of(rules)
    return places_from(index.matches(index.clauses(text)))


def places_from(matches: Iterable[Match]) -> tuple[str, ...]:
    best: dict[str, int] = {}
    for match in matches:
        if match.phrase.kind == "place" and match.present:
            best[match.phrase.id] = max(match.score, best.get(match.phrase.id, 0))
    return tuple(sorted(best, key=lambda place: (-best[place], place)))
