"""Which causes the trade links to a defect, how strongly, and where their readings go out of limits here."""

import dataclasses
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from defectlog.records.kinds import Pattern
from defectlog.rulebase.limits import limit_for
from defectlog.rulebase.shapes import Cause, Limit, RuleBase
from defectlog.rulebase.weights import weight

# What the pattern card itself asks for comes before anybody's general window.
CARD_LIMITS = {("pour_c", "below"): "pour_low_c", ("pour_c", "above"): "pour_high_c"}


@dataclass(frozen=True, slots=True)
class Candidate:
    """A cause of the defect in question, the handbooks' weight for the pair, and the limit of its reading (or None)."""

    cause: Cause
    weight: float
    limit: Limit | None

    @property
    def id(self) -> str:
        return self.cause.id


def candidates_for(
    rules: RuleBase, defect: str, cards: Sequence[Pattern], circumstances: Mapping[str, str], impressions: int
) -> tuple[Candidate, ...]:
    """The causes in force that explain `defect`, heaviest first; what nobody known vouches for is left out.

    A plate of one has no odd impression out.
    """
    found = []
    for cause in rules.causes.values():
        if cause.status != "in force" or (cause.acts_at == "impression" and impressions < 2):
            continue
        for pair in cause.explains:
            named = weight(pair, rules.sources) if pair.defect == defect else 0.0
            if named > 0:
                found.append(Candidate(cause, named, limit_of(rules, cause, cards, circumstances)))
    return tuple(sorted(found, key=lambda candidate: (-candidate.weight, candidate.id)))


def limit_of(rules: RuleBase, cause: Cause, cards: Sequence[Pattern], circumstances: Mapping[str, str]) -> Limit | None:
    """The limit of a cause's reading here; the pattern card's own window comes first where every revision has one."""
    if cause.reading is None:
        return None
    limit = limit_for(rules.limits, cause.reading.quantity, cause.reading.side, circumstances)
    field = CARD_LIMITS.get((cause.reading.quantity, cause.reading.side))
    wanted = {getattr(card, field) for card in cards} if field else set()
    if limit is None or len(wanted) != 1 or None in wanted:
        return limit
    return dataclasses.replace(limit, id="pattern-card", value=wanted.pop(), sources=(), judgement="the pattern card")
