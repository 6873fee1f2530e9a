"""The words of a rule base made ready to be found in a text: the index of its phrases, and the reports told in it."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from defectlog.diagnosis.phrase_index import DENIES, PhraseIndex, phrase_of
from defectlog.diagnosis.tellings import Counts, Tellings, word_counts
from defectlog.diagnosis.words import stems_of
from defectlog.rulebase.catalogue import rule_names
from defectlog.rulebase.shapes import RuleBase


@dataclass(frozen=True, slots=True)
class Prepared:
    """The slow part, which may be worked out once and kept: the stems of every way of saying, the words of reports."""

    stems: Mapping[str, Sequence[str]]
    counts: Counts


def prepared(rules: RuleBase) -> Prepared:
    return Prepared(
        {says: stems_of(says.removeprefix(DENIES)) for _, _, says, _ in rule_says(rules)}, word_counts(rules)
    )


def rule_says(rules: RuleBase) -> Iterable[tuple[str, str, str, str]]:
    """(kind, id, way of saying, group) of everything that the rule base has words for."""
    for sign in rules.signs.values():
        yield from (("sign", sign.id, says, sign.group) for says in (*sign.says, sign.name))
    for place in rules.places.values():
        yield from (("place", place.id, says, "") for says in (*place.says, place.name))
    for defect in rules.defects.values():
        yield from (("defect", defect.id, says, "") for says in rule_names(defect))


@dataclass(frozen=True, slots=True)
class RuleWords:
    index: PhraseIndex
    tellings: Tellings


def made_ready(rules: RuleBase, known: Prepared) -> RuleWords:
    phrases = (phrase_of(kind, item, says, group, known.stems[says]) for kind, item, says, group in rule_says(rules))
    return RuleWords(PhraseIndex(phrases, known.counts), Tellings(rules, known.counts))


_ready: list[tuple[RuleBase, RuleWords]] = []


def are_ready(rules: RuleBase) -> bool:
    return bool(_ready) and _ready[0][0] is rules


def words_of(rules: RuleBase, known: Prepared | None = None) -> RuleWords:
    """The words of a rule base, made ready when first asked for and kept for the last rule base asked for.

    `known` is what `prepared` gives, if somebody kept it; words that are ready already take no notice.
    """
    if not are_ready(rules):
        _ready[:] = [(rules, made_ready(rules, known or prepared(rules)))]
    return _ready[0][1]


def index_of(rules: RuleBase) -> PhraseIndex:
    return words_of(rules).index
