"""Trade names of defects in a text: evidence for the defect, never the verdict.

Shops use the names loosely, and one name ("porosity", "gas") often serves several defects.
"""

from collections.abc import Iterable, Mapping, Sequence

from defectlog.diagnosis.phrase_index import Match, Phrase, PhraseIndex
from defectlog.diagnosis.words import Clause, stems_of
from defectlog.rulebase.shapes import RuleBase
from defectlog.rulebase.strengths import LEARNED_RATIO, NAMED_RATIO

# Weight of a name's words over that of a word that stands for one thing only: a "skin" (0.42, in the words for some
# twenty things) is no name of dross because some say "skins"; a "fold" (0.64, half a dozen things) is a full name.
COMMON_WORD, OWN_WORD = 0.42, 0.65


def named_defects(matches: Iterable[Match], index: PhraseIndex) -> dict[str, float]:
    """Likelihood ratio of each defect that the text names; below 1 where the text says that it is not that.

    A name of one word that is in everybody's mouth ("skins", "short") says less than one that is only a name.
    """
    ratios: dict[str, float] = {}
    by_stems: dict[tuple[str, ...], set[str]] = {}
    found = [match for match in matches if match.phrase.kind == "defect"]
    for match in found:
        by_stems.setdefault(match.phrase.stems, set()).add(match.phrase.id)
    for match in found:
        shared = len(by_stems[match.phrase.stems])
        ratio = (1 + (NAMED_RATIO - 1) / shared) ** (match.score / 100 * how_much_a_name(match.phrase, index))
        keep_strongest(ratios, match.phrase.id, ratio if match.present else 1 / ratio)
    return ratios


def how_much_a_name(phrase: Phrase, index: PhraseIndex) -> float:
    """From 0 to 1: how far the words of the name stand for this and little else."""
    share = sum(index.weights[word] for word in set(phrase.stems)) / max(index.weights.values())
    return min(1.0, max(0.0, (share - COMMON_WORD) / (OWN_WORD - COMMON_WORD)))


def learned_defects(clauses: Sequence[Clause], learned: Mapping[str, str], rules: RuleBase) -> dict[str, float]:
    """The same for words that this shop has tied to a defect; words for a defect we do not know are passed over."""
    known = {words: item for words, item in learned.items() if item in rules.defects}
    phrases = [Phrase("defect", item, words, stems_of(words)) for words, item in known.items()]
    ratios: dict[str, float] = {}
    if phrases:
        for match in PhraseIndex(phrases).matches(clauses):
            keep_strongest(ratios, match.phrase.id, LEARNED_RATIO if match.present else 1 / LEARNED_RATIO)
    return ratios


def keep_strongest(ratios: dict[str, float], item: str, ratio: float) -> None:
    """A defect named three times is named once; a denial stands only where nothing affirms it."""
    ratios[item] = max(ratio, ratios.get(item, ratio))
