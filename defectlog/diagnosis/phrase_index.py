"""Finds the phrases of the rule base in what somebody typed, misspelt, stretched and turned round as people do.

A phrase is found in a clause where nearly all of its words stand near each other; words that few things share count
for more. Single words are compared letter by letter (rapidfuzz) only if no word of the trade is spelt just so: the
danger of whole-text scores is that "core" passes for "cope" and "below" for "blow".
"""

import math
from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from defectlog.diagnosis import spellings
from defectlog.diagnosis.words import Clause, Word, clauses_of, stem, stems_of

DENIES = "not: "
NOT = "not"
# Set when 74 of the 81 reports of tests/diagnosis/reports.toml that are not kept back came first with these numbers,
# and 74 or 75 over share 0.75 … 0.95, gap cost 0.04 … 0.14 and score 60 … 80; at share 0.7, 72.
NEEDED_SHARE = 0.8  # of a phrase's words by weight
GAP_COST = 0.1  # of the score for each word that stands between
JOINT_COST = 0.1  # for each "where", "when" or "which" between: "come out dark where the sand" is no "sand came out"
TURNED_COST = 0.1  # for words apart and in another order
NEEDED_SCORE = 70
GUESSED_WORD = 0.9  # how sure a word is that was taken for a misspelling
# Never the result of a guess: one letter away from each other, and opposite in meaning.
NEVER_GUESSED = frozenset(map(stem, spellings.word_set("cope core drag blow below shift shrink top not nothing")))
PLACE_WORDS = frozenset(map(stem, spellings.word_set("under below above around opposite behind beside near against")))
# Follow their verb: "knocked off" is not "off at the knockout", and "cleans up" not "opened up and clean".
FOLLOWING = frozenset(map(stem, spellings.word_set("up out off down over away")))
# Groups of signs that describe one and the same hole: "bright specks" are bright and are specks. That there is a hole
# at all ("hole") stands beside what it is filled with, too.
DESCRIBING = frozenset({"wall", "colour", "shape", "hole-size", "hole-number", "depth"})
HOLE, FILLING = "hole", "stuff"
PLAIN_STEMS = frozenset(map(stem, spellings.PLAIN_WORDS | spellings.SMALL_WORDS | spellings.CLAUSE_WORDS))


@dataclass(frozen=True, slots=True)
class Phrase:
    """One way of saying one thing. `kind` is "sign", "place" or "defect"; `denies` if it says that it is not there.

    `group` is the group of a sign, and empty for what is no sign.
    """

    kind: str
    id: str
    text: str
    stems: tuple[str, ...]
    denies: bool = False
    group: str = ""


@dataclass(frozen=True, slots=True)
class Match:
    """A phrase found: where (positions in the clause), whether the text says it is there, and how well (0..100)."""

    phrase: Phrase
    clause: int
    positions: frozenset[int]
    start: int
    end: int
    present: bool
    score: int


class PhraseIndex:
    """Phrases by their stems, with the weight of each stem. `known`: stems of other words, which are no misspelling."""

    def __init__(self, phrases: Iterable[Phrase], known: Collection[str] = ()) -> None:
        self.known = known
        self.phrases = tuple(dict.fromkeys(phrase for phrase in phrases if phrase.stems))
        things: dict[str, set[tuple[str, str]]] = defaultdict(set)
        self.holding: dict[str, list[int]] = defaultdict(list)
        for number, phrase in enumerate(self.phrases):
            for word in set(phrase.stems):
                things[word].add((phrase.kind, phrase.id))
                self.holding[word].append(number)
        every = len({(phrase.kind, phrase.id) for phrase in self.phrases}) or 1
        self.weights = {word: math.log(1 + every / len(ids)) for word, ids in things.items()}
        self.totals = [sum(self.weights[word] for word in set(phrase.stems)) for phrase in self.phrases]
        self.guesses: dict[str, tuple[str, float]] = {}
        self.choices = sorted(word for word in self.weights if len(word) >= 4 and word not in NEVER_GUESSED)

    def corrected(self, word: str) -> tuple[str, float]:
        """The stem that `word` stands for, and how sure that is."""
        if word not in self.guesses:
            self.guesses[word] = (word, 1.0) if self.is_known(word) else self.guessed(word)
        return self.guesses[word]

    def is_known(self, word: str) -> bool:
        return word in self.weights or word in self.known or word in PLAIN_STEMS or len(word) < 4 or not word.isalpha()

    def guessed(self, word: str) -> tuple[str, float]:
        """The nearest stem, one slip away in a short word and two in a long one; itself where none or two are."""
        from rapidfuzz import process  # most texts have no unknown word in them
        from rapidfuzz.distance import OSA

        slips = 1 if len(word) < 8 else 2
        near = process.extract(word, self.choices, scorer=OSA.distance, score_cutoff=slips, limit=5)
        fitting = sorted((distance, choice) for choice, distance, _ in near if may_be_slip(word, choice))
        tied = len(fitting) > 1 and fitting[0][0] == fitting[1][0] and len(word) < 6
        return (word, 1.0) if tied or not fitting else (fitting[0][1], GUESSED_WORD)

    def clauses(self, text: str) -> tuple[Clause, ...]:
        return clauses_of(text, self.corrected)

    def matches(self, clauses: Sequence[Clause]) -> tuple[Match, ...]:
        """Every phrase found, without those whose words are a part of a longer phrase of the same kind."""
        found = [match for number, clause in enumerate(clauses) for match in self.in_clause(clause.words, number)]
        kept: list[Match] = []
        for match in sorted(found, key=lambda match: -len(match.positions)):
            if not any(swallows(longer, match) for longer in kept):
                kept.append(match)
        return tuple(kept)

    def in_clause(self, words: Sequence[Word], number: int) -> Iterable[Match]:
        places: dict[str, list[int]] = defaultdict(list)
        for position, word in enumerate(words):
            places[word.stem].append(position)
        weight: dict[int, float] = defaultdict(float)
        for word_stem in places:
            for candidate in self.holding.get(word_stem, ()):
                weight[candidate] += self.weights[word_stem]
        for candidate, found in weight.items():
            share = min(1.0, found / self.totals[candidate])
            if share >= NEEDED_SHARE:
                match = self.placed(self.phrases[candidate], words, places, number, share)
                if match is not None:
                    yield match

    def placed(
        self, phrase: Phrase, words: Sequence[Word], places: Mapping[str, list[int]], number: int, share: float
    ) -> Match | None:
        """The phrase at the place where its words stand closest, or None where they are too far apart."""
        wanted = [word for word in dict.fromkeys(phrase.stems) if word in places]
        if len(wanted) < 2 <= len(set(phrase.stems)):
            return None
        rarest = max(wanted, key=lambda word: (self.weights[word], -len(places[word])))
        spots = (nearest_spot(anchor, wanted, places) for anchor in places[rarest])
        spot = min(spots, key=lambda taken: (max(taken) - min(taken), taken))
        gaps = max(spot) - min(spot) + 1 - len(set(spot))
        sure = min(words[position].sure for position in spot)
        joints = sum(words[position].joint for position in range(min(spot) + 1, max(spot) + 1))
        turned = any(later < sooner for sooner, later in pairwise(spot))
        cost = GAP_COST * gaps + JOINT_COST * joints + TURNED_COST * turned * (gaps + joints > 0)
        score = round(100 * share * sure * (1 - cost))
        if score < NEEDED_SCORE or parted(words, spot) or out_of_order(spot, wanted):
            return None
        if not denial_fits(phrase, words, spot, wanted):
            return None
        taken = [words[position] for position in spot]
        return Match(
            phrase=phrase,
            clause=number,
            positions=frozenset(spot),
            start=min(word.start for word in taken),
            end=max(word.end for word in taken),
            present=is_present(phrase, taken),
            score=score,
        )


def may_be_slip(typed: str, meant: str) -> bool:
    """Whether a hand may have typed `typed` for `meant`.

    In short words only a letter left out, doubled, added or swapped; another letter in its place makes another word
    ("bore" and "core", "sand" and "hand").
    """
    if typed[0] != meant[0] and len(typed) < 7:
        return False
    return len(typed) >= 6 or len(typed) != len(meant) or sorted(typed) == sorted(meant)


def nearest_spot(anchor: int, wanted: Sequence[str], places: Mapping[str, list[int]]) -> list[int]:
    return [min(places[word], key=lambda position: abs(position - anchor)) for word in wanted]


def parted(words: Sequence[Word], spot: Sequence[int]) -> bool:
    """Whether a place word of its own stands between: "hole just under the skin" is no "hole in the skin"."""
    between = set(range(min(spot), max(spot))) - set(spot)
    return any(words[position].stem in PLACE_WORDS for position in between)


def out_of_order(spot: Sequence[int], wanted: Sequence[str]) -> bool:
    """Whether a word that follows its verb stands before it."""
    return any(word in FOLLOWING and number and spot[number] < spot[number - 1] for number, word in enumerate(wanted))


def denial_fits(phrase: Phrase, words: Sequence[Word], spot: Sequence[int], wanted: Sequence[str]) -> bool:
    """A phrase that itself denies ("not filled", "skin not broken") needs its "not", at its place among its words."""
    if NOT not in phrase.stems:
        return True
    if NOT not in wanted:
        return False
    where = dict(zip(wanted, spot, strict=True))
    turn = phrase.stems.index(NOT)
    before = [where[word] for word in phrase.stems[:turn] if word in where]
    after = [where[word] for word in phrase.stems[turn + 1 :] if word in where]
    if any(position > where[NOT] for position in before) or any(position < where[NOT] for position in after):
        return False
    if not after:
        return turn == len(phrase.stems) - 1
    return min(after) - where[NOT] <= 3 and words[min(after)].denied


def is_present(phrase: Phrase, taken: Sequence[Word]) -> bool:
    """What the text says: a denial in the text turns the phrase round, unless the phrase has it as its own."""
    own = NOT in phrase.stems or "nothing" in phrase.stems
    denied = not own and any(word.denied for word in taken)
    return phrase.denies == denied


def swallows(longer: Match, shorter: Match) -> bool:
    """Whether `shorter` is only a part of what `longer` says, about another thing or the other way round.

    "Sand stuck on the pattern" is no sand stuck on the casting. "Corner missing" is "missing" as well: signs of one
    group stand together.
    """
    if longer.present == shorter.present and stand_together(longer.phrase.group, shorter.phrase.group):
        return False
    return (
        longer.clause == shorter.clause
        and (longer.phrase.kind == shorter.phrase.kind or is_place_name(longer, shorter))
        and longer.positions > shorter.positions
        and (longer.phrase.id, longer.present) != (shorter.phrase.id, shorter.present)
    )


def stand_together(longer: str, shorter: str) -> bool:
    """Whether signs of these groups may come from the same words."""
    if shorter == HOLE:
        return longer in DESCRIBING or longer in (HOLE, FILLING)
    return bool(longer) and (longer == shorter or (longer in DESCRIBING and shorter in DESCRIBING))


def is_place_name(longer: Match, shorter: Match) -> bool:
    """Whether `shorter` is one word of the name of a place: "split line" says that nothing is split."""
    return longer.phrase.kind == "place" and len(shorter.positions) == 1


def phrase_of(kind: str, item: str, says: str, group: str = "", stems: Sequence[str] | None = None) -> Phrase:
    """A phrase of the rule base; one that begins with "not: " says that the thing is not there."""
    words = stems_of(says.removeprefix(DENIES)) if stems is None else tuple(stems)
    return Phrase(kind, item, says, words, says.startswith(DENIES), group)
