"""From what somebody typed to clauses of stems, with what is denied and what is only a theory marked.

    "no holes when I cut it but the skin is rough, sand too wet I reckon"
    → [no hole cut] denied · [skin rough] · a note: "sand too wet I reckon"

A word keeps its place in the text, so that whatever is concluded can be shown in the writer's own words.
"""

import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from defectlog.diagnosis import spellings

WORD_OR_BREAK = re.compile(r"\d+(?:[.,/]\d+)?|[^\W\d_]+(?:['’`][^\W\d_]+)*|[,;:.!?()\n]|\s[-–—]+\s|—")
NUMBER_FOLLOWS = re.compile(r"\s?\d")
PLURALS = (("ies", "y", 5), ("sses", "ss", 6), ("xes", "x", 4), ("ches", "ch", 6), ("shes", "sh", 6))
DROPPED_E = re.compile("[^aeiou][aeiou][^aeiouwxy]")
HAS_VOWEL = re.compile("[aeiouy]")
APOSTROPHES = re.compile(r"['’`]")
# A report is a line or two; what comes after this many letters is not read.
LONGEST_TEXT = 4000


@dataclass(frozen=True, slots=True)
class Word:
    """A stem, where its word stands in the text (start, end), whether it is denied, how surely it was read (0..1).

    `joint`: a "where", "when" or "which" stands just before it, so that something else may begin there.
    """

    stem: str
    start: int
    end: int
    denied: bool = False
    sure: float = 1.0
    joint: bool = False


@dataclass(frozen=True, slots=True)
class Clause:
    """What is said to be there (`words`) and, in the writer's own words, why he thinks so (`note`)."""

    words: tuple[Word, ...]
    note: str = ""


def clauses_of(text: str, corrected: Callable[[str], tuple[str, float]] | None = None) -> tuple[Clause, ...]:
    """The clauses of `text`, without the empty ones.

    `corrected` gives for a stem the stem that was meant and how sure that is (1.0 for a known word, less for one
    that had to be guessed).
    """
    clauses = []
    for run in runs_of(text[:LONGEST_TEXT]):
        words = run if corrected is None else [corrected_word(word, corrected) for word in run]
        said, note = without_theory(words, text)
        said = without_small_words(with_denials(with_meanings(said)))
        if said or note:
            clauses.append(Clause(tuple(said), note))
    return tuple(clauses)


def without_small_words(words: Iterable[Word]) -> list[Word]:
    kept: list[Word] = []
    joint = False
    for word in words:
        joint = joint or word.stem in spellings.JOINTS
        if word.stem not in spellings.SMALL_WORDS:
            kept.append(replace(word, joint=True) if joint and kept else word)
            joint = False
    return kept


def stems_of(phrase: str) -> tuple[str, ...]:
    """The stems of a phrase of the rule base, in order; "not" stands for every way of denying."""
    return tuple(word.stem for clause in clauses_of(phrase) for word in clause.words)


def runs_of(text: str) -> Iterable[list[Word]]:
    """The words between one break and the next. A break is a stop, a comma, a dash, or a word such as "but"."""
    lowered = text.lower()
    if len(lowered) != len(text):  # a letter whose small form is two would shift the places of the words
        lowered = "".join(lower if len(lower := letter.lower()) == 1 else letter for letter in text)
    run: list[Word] = []
    for match in WORD_OR_BREAK.finditer(lowered):
        token = match.group()
        if token == "no" and NUMBER_FOLLOWS.match(lowered, match.end()):
            token = "number"
        if token in spellings.CLAUSE_WORDS or not token[0].isalnum():
            yield run
            run = []
            continue
        run.extend(Word(stem, match.start(), match.end()) for stem in stems_of_token(token))
    yield run


@lru_cache(maxsize=8192)
def stems_of_token(token: str) -> tuple[str, ...]:
    """The stems of one written word: two for a compound, "not" for every short form of it."""
    bare = APOSTROPHES.sub("", token)
    if bare in spellings.NOT_FORMS:
        return ("not",)
    if bare in ("nothing", "nowt"):
        return ("nothing",)
    if bare in spellings.NEGATORS:
        return ("not",)
    if bare in spellings.IN_TWO:
        return tuple(stem(part) for part in spellings.IN_TWO[bare].split())
    if token.endswith(("'s", "’s")) and len(token) > 4:
        bare = bare[:-1]
    return (stem(bare),)


@lru_cache(maxsize=8192)
def stem(word: str) -> str:
    """`word` without its ending, in the one spelling that stands for all.

    A light stemmer of our own: plural, -ed, -ing, -ly, final e and y, a doubled letter. It need not give words, only
    the same stem for the same word.
    """
    if spellings.SAME_WORD.get(word) == word:
        return word
    word = spellings.SAME_WORD.get(word, word)
    if len(word) <= 3 or word in spellings.SMALL_WORDS or not word.isalpha():
        return word
    word = without_ending(word)
    if len(word) > 3 and word[-1] == word[-2] and word[-1] not in "lszeo":
        word = word[:-1]
    if len(word) > 4 and word[-1] == "e":
        word = word[:-1]
    return word[:-1] + "i" if len(word) > 3 and word[-1] == "y" else word


def without_ending(word: str) -> str:
    for ending, kept, shortest in PLURALS:
        if word.endswith(ending) and len(word) >= shortest:
            return word[: -len(ending)] + kept
    if word.endswith("s") and not word.endswith(("ss", "us", "is")):
        word = word[:-1]
    for ending, shortest in (("ing", 6), ("ed", 5), ("ly", 6)):
        root = word.removesuffix(ending)
        if root != word and len(word) >= shortest and not word.endswith("eed") and HAS_VOWEL.search(root):
            # "Baked" and "baking" come from "bake"; "rammed" would have its letter doubled.
            return root + "e" if DROPPED_E.fullmatch(root) else root
    return word


MARKERS: dict[str, list[tuple[str, ...]]] = {}
for _words in spellings.THEORY:
    _stems = tuple(part for _word in _words for part in stems_of_token(_word))
    MARKERS.setdefault(_stems[0], []).append(_stems)
MAYBE = (stem("maybe"),)
REJECTED_STEMS = frozenset(stem(word) for word in spellings.REJECTED)
EXCUSED_MARKERS = frozenset(map(stem, ("because", "due")))
TWO_MEANINGS = {
    stem(word): tuple((other, frozenset(map(stem, beside))) for other, beside in meanings)
    for word, meanings in spellings.TWO_MEANINGS.items()
}
ARTICLES = spellings.word_set("the a my its it that this big every both each one where")
ROUND_WHAT = frozenset(map(stem, spellings.ROUND_WHAT))
RUNS_OUT_OF = frozenset(map(stem, spellings.RUNS_OUT_OF))
PARTICLE_VERBS = frozenset(map(stem, spellings.PARTICLE_VERBS))
DENYING_PAIRS = {("rather", "than"), ("instead", "of"), ("free", "of"), ("free", "from"), ("clear", "of")}


def corrected_word(word: Word, corrected: Callable[[str], tuple[str, float]]) -> Word:
    if word.stem in spellings.SMALL_WORDS:
        return word
    meant, sure = corrected(word.stem)
    return word if meant == word.stem else replace(word, stem=meant, sure=sure)


def without_theory(words: list[Word], text: str) -> tuple[list[Word], str]:
    """The words before "I think", "probably because" and the like, and what follows as it was written.

    Where the marker ends the clause ("core was damp I reckon") the whole clause is the theory.
    """
    stems = [word.stem for word in words]
    for index in range(len(stems)):
        marker = marker_at(stems, index)
        if marker and not (stems[index] in EXCUSED_MARKERS and REJECTED_STEMS.intersection(stems[:index])):
            after = [word for word in words[index + marker :] if word.stem not in spellings.SMALL_WORDS]
            first = words[index] if after else words[0]
            return (words[:index] if after else []), text[first.start : words[-1].end]
    return words, ""


def marker_at(stems: Sequence[str], index: int) -> int:
    """How many words the theory marker at `index` is long; 0 where there is none."""
    for marker in MARKERS.get(stems[index], ()):
        if tuple(stems[index : index + len(marker)]) == marker:
            follows = stems[index + len(marker)] if index + len(marker) < len(stems) else ""
            # "Maybe 5 mm across" is a size and no theory.
            return 0 if marker == MAYBE and follows[:1].isdigit() else len(marker)
    return 0


def with_meanings(words: list[Word]) -> list[Word]:
    """Words with two meanings settled by the words around them, and "round the core" told from "round hole"."""
    present = {word.stem for word in words}
    settled = []
    for index, word in enumerate(words):
        for other, beside in TWO_MEANINGS.get(word.stem, ()):
            if beside & (present - {word.stem}):
                word = replace(word, stem=other)
                break
        if word.stem == "round" and is_around(words, index):
            word = replace(word, stem="around")
        if word.stem in spellings.PARTICLES and is_particle(words, index):
            word = replace(word, stem=spellings.PARTICLES[word.stem])
        if word.stem == "run" and is_used_up(words, index):
            word = replace(word, stem="lack")
        settled.append(word)
    return settled


def is_used_up(words: Sequence[Word], index: int) -> bool:
    """Whether something was used up ("ran out of flux") and did not run out of the mould."""
    after = [word.stem for word in words[index + 1 : index + 4]]
    return after[:2] == ["out", "of"] and bool(after[2:]) and after[2] not in ARTICLES | RUNS_OUT_OF


def is_around(words: Sequence[Word], index: int) -> bool:
    """Whether the "round" at `index` is a place word; "rounded" never is."""
    if words[index].end - words[index].start != len("round"):
        return False
    before = words[index - 1].stem if index else ""
    after = [word.stem for word in words[index + 1 : index + 3]]
    return before in ("all", "right") or bool(after and after[0] in ARTICLES) or bool(ROUND_WHAT.intersection(after))


def is_particle(words: Sequence[Word], index: int) -> bool:
    """Whether the "in" or "on" at `index` goes with the verb before it ("sunk in") and not with what follows."""
    follows = words[index + 1].stem if index + 1 < len(words) else ""
    return index > 0 and words[index - 1].stem in PARTICLE_VERBS and follows not in ARTICLES


def with_denials(words: list[Word]) -> list[Word]:
    """Marks the words that a "no", "not" or "without" reaches: up to the end of the clause, or an "and"."""
    marked: list[Word] = []
    denying = False
    for index, word in enumerate(words):
        after = words[index + 1].stem if index + 1 < len(words) else ""
        if word.stem in ("not", "nothing"):
            denying = after not in NOT_A_DENIAL
            marked.append(word)
            continue
        if (word.stem, after) in DENYING_PAIRS:
            denying = True
        elif word.stem in SCOPE_ENDS:
            denying = False
        marked.append(replace(word, denied=True) if denying else word)
    return marked


NOT_A_DENIAL = frozenset(map(stem, spellings.NOT_A_DENIAL))
SCOPE_ENDS = frozenset(map(stem, spellings.SCOPE_ENDS))
