"""How far the words of a text are the words in which a defect is described.

The signs have their ways of saying, and nobody has written down all of them: "splits along the web where the boss
joins" may hold no phrase that is known and still only fit a few descriptions. So each word that stands in what is said
of a defect speaks for it a little, the more so the fewer defects are described with it. Order does not matter here.
"""

import math
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence

from defectlog.diagnosis.phrase_index import DENIES, NOT, PLACE_WORDS, PhraseIndex, description_of, index_of
from defectlog.diagnosis.words import Clause, stems_of
from defectlog.rulebase.shapes import RuleBase
from defectlog.rulebase.strengths import words_by_id

# Weight of a word by where it stands: in the look, in the rest of the description, in a way of saying a sign that the
# defect always shows.
LOOKS, REST, SIGN = 1.0, 0.5, 0.8
# Natural log that a word adds for a defect, for each factor e by which it is rarer than a word for all. Chosen with the
# phrases as they were before the open half of tests/diagnosis/blind_reports.toml was read: of those 115 reports 94
# came first without this, 103 at 0.4, 104 at 0.5 and 0.6; of 126 of our own 70, 93, 95 and 95.
A_WORD = 0.5
# A word in the descriptions of more than this share of the defects says nothing.
EVERYWHERE = 0.5
SAYS_NOTHING = PLACE_WORDS | {NOT, "nothing", "just", "only", "one", "two", "all", "both", "up", "out", "off"}


class Descriptions:
    """Words of the descriptions: stem → defect → natural log that the word adds."""

    def __init__(self, rules: RuleBase, index: PhraseIndex) -> None:
        self.rules = rules
        weights: dict[str, dict[str, float]] = defaultdict(dict)
        for defect, word, weight in weighted_words(rules, index):
            weights[word][defect] = max(weight, weights[word].get(defect, 0.0))
        every = len(rules.defects)
        self.logs: dict[str, dict[str, float]] = {
            word: {defect: A_WORD * weight * math.log(every / len(found)) for defect, weight in found.items()}
            for word, found in weights.items()
            if len(found) < EVERYWHERE * every and word not in SAYS_NOTHING
        }

    def likeness(self, clauses: Sequence[Clause]) -> dict[str, float]:
        """Natural log that the words of a text add for each defect that is described with any of them."""
        totals: dict[str, float] = defaultdict(float)
        for word in said_words(clauses):
            for defect, log in self.logs.get(word, {}).items():
                totals[defect] += log
        return dict(totals)

    def shared(self, defect: str, clauses: Sequence[Clause]) -> dict[str, tuple[int, int]]:
        """The words of a text in which the defect is described, where they stand, those that say most first."""
        found = {stem: place for stem, place in said_words(clauses).items() if defect in self.logs.get(stem, {})}
        return dict(sorted(found.items(), key=lambda entry: (-self.logs[entry[0]][defect], entry[1])))


def weighted_words(rules: RuleBase, index: PhraseIndex) -> Iterable[tuple[str, str, float]]:
    """(defect, stem, weight) of every word of every description."""
    always: dict[str, list[str]] = defaultdict(list)
    for defect in rules.defects.values():
        for number, sentence in enumerate(description_of(defect)):
            for word in index.stems.get(sentence) or stems_of(sentence):
                yield defect.id, word, REST if number else LOOKS
        for sign, often in words_by_id(defect.signs).items():
            if often == "always":
                always[sign].append(defect.id)
    for phrase in index.phrases:
        if phrase.kind == "defect":
            yield from ((phrase.id, word, LOOKS) for word in phrase.stems)
        elif phrase.kind == "sign" and not phrase.text.startswith(DENIES):
            yield from ((item, word, SIGN) for item in always.get(phrase.id, ()) for word in phrase.stems)


def said_words(clauses: Sequence[Clause]) -> Mapping[str, tuple[int, int]]:
    """Stem → where it first stands, of every word that is not denied."""
    found: dict[str, tuple[int, int]] = {}
    for clause in clauses:
        for word in clause.words:
            if not word.denied:
                found.setdefault(word.stem, (word.start, word.end))
    return found


_built: list[Descriptions] = []


def descriptions_of(rules: RuleBase) -> Descriptions:
    """The descriptions of a rule base, built when first asked for and kept for the last rule base asked for."""
    if not _built or _built[0].rules is not rules:
        _built[:] = [Descriptions(rules, index_of(rules))]
    return _built[0]
