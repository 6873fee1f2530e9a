"""What the text says can be seen: signs that are there and signs that are said not to be there."""

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from defectlog.diagnosis.phrase_index import Match
from defectlog.diagnosis.rule_words import index_of
from defectlog.diagnosis.spellings import word_set
from defectlog.diagnosis.words import Clause, stem
from defectlog.rulebase.shapes import RuleBase

HOLE_WORDS = frozenset(map(stem, word_set("hole bubble pore blow cavity void pit hollow")))
SIZE = re.compile(r"(\d+(?:[.,]\d+)?|half a|quarter|an?)\s*-?\s*(mm|mils?|millimet(?:er|re)s?|cm|inch(?:es)?|\")")
UNIT_MM = {"cm": 10.0, "inch": 25.4, '"': 25.4}
# What counts as large and tiny in hole-large and hole-tiny; the bounds are those of rules/signs.toml.
LARGE_MM, TINY_MM = 5.0, 2.0


@dataclass(frozen=True, slots=True)
class SignSeen:
    """A sign, whether it is there, the words that say so, and how well they match (0..100)."""

    sign: str
    present: bool
    text: str
    score: int


def signs_of(text: str, rules: RuleBase) -> tuple[SignSeen, ...]:
    """Every sign that the text speaks of, in the order of the text."""
    index = index_of(rules)
    clauses = index.clauses(text)
    return signs_from(text, index.matches(clauses), clauses, rules)


def signs_from(text: str, matches: Iterable[Match], clauses: Sequence[Clause], rules: RuleBase) -> tuple[SignSeen, ...]:
    best: dict[str, Match] = {}
    for match in matches:
        if match.phrase.kind == "sign" and speaks_louder(match, best.get(match.phrase.id)):
            best[match.phrase.id] = match
    seen = [
        SignSeen(item, match.present, text[match.start : match.end], match.score)
        for item, match in sorted(best.items(), key=lambda entry: (entry[1].start, entry[0]))
    ]
    told = set(best)
    seen.extend(sign for sign in sizes_of(text, clauses) if sign.sign in rules.signs and sign.sign not in told)
    return tuple(seen)


def speaks_louder(match: Match, other: Match | None) -> bool:
    """The better match; of two alike the longer phrase, then the later word: people correct themselves as they go."""
    if other is None:
        return True
    return (match.score, len(match.positions), match.start) > (other.score, len(other.positions), other.start)


def sizes_of(text: str, clauses: Sequence[Clause]) -> Iterable[SignSeen]:
    """Sizes of holes written as numbers: "8 mm holes" are large, "1 mm" tiny."""
    for clause in clauses:
        if not any(word.stem in HOLE_WORDS and not word.denied for word in clause.words):
            continue
        start, end = clause.words[0].start, clause.words[-1].end
        for size in SIZE.finditer(text.lower(), start, end + 10):
            width = millimetres(size)
            if width >= LARGE_MM:
                yield SignSeen("hole-large", True, size.group().strip(), 100)
            elif width < TINY_MM:
                yield SignSeen("hole-tiny", True, size.group().strip(), 100)


def millimetres(size: re.Match[str]) -> float:
    number, unit = size.groups()
    count = {"half a": 0.5, "quarter": 0.25, "a": 1.0, "an": 1.0}.get(number)
    if count is None:
        count = float(number.replace(",", "."))
    return count * next((width for name, width in UNIT_MM.items() if unit.startswith(name)), 1.0)


def with_answers(seen: Sequence[SignSeen], answers: Mapping[str, str]) -> tuple[SignSeen, ...]:
    """The signs with what was answered in place of what was read; an "unsure" takes the sign out."""
    kept = [sign for sign in seen if sign.sign not in answers]
    told = (
        SignSeen(item, answer == "yes", "your answer", 100) for item, answer in answers.items() if answer != "unsure"
    )
    return (*kept, *told)
