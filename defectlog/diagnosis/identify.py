"""Which defect is this? From shop words to ranked defects with what speaks for and against, and what to ask next.

identify("round shiny holes just under the top skin", rules)
→ gas holes 0.7, pinholes 0.2 …; next: "Are the holes tiny, under about 2 mm, and many?"
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

from rapidfuzz import process

from defectlog.diagnosis.names_in_text import learned_defects, named_defects
from defectlog.diagnosis.places_in_text import places_from
from defectlog.diagnosis.posterior import (
    DefectModel,
    defect_posterior,
    log_ratio,
    model_of,
    place_log_ratio,
    with_doubt,
)
from defectlog.diagnosis.questions import Question, next_question
from defectlog.diagnosis.rule_words import words_of
from defectlog.diagnosis.signs_in_text import SignSeen, signs_from, with_answers
from defectlog.diagnosis.tellings import Tellings
from defectlog.diagnosis.words import Clause, Word
from defectlog.errors import BadInput, Problem
from defectlog.rulebase.shapes import Defect, RuleBase

ANSWERS = ("yes", "no", "unsure")
# When one answer is given. Before the words were tuned on the open half of tests/diagnosis/blind_reports.toml, 71 of
# its 115 reports got one answer with these numbers and 68 were right; tests/diagnosis/test_asking.py has how often it
# is right where the shop was asked.
LEADER_SHARE = 0.5
LEADER_RATIO = 2.0
# Shown: what is still in the running, and never more than a hand can count.
LEAST_SHARE = 0.02
MOST_SHOWN = 6
# A sign is named for or against a defect if it makes it this many times likelier or less likely (natural log of 1.25).
LEAST_LOG = 0.22
MOST_WORDS = 3
WHAT_TO_SAY = "Say what it looks like: a hole, a crack, a lump, rough skin, something missing?"
NOTHING: Mapping[str, str] = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class DefectShare:
    """A defect still in the running: its share (0..1), and what was seen that speaks for and against it."""

    defect: str
    name: str
    share: float
    speaks_for: tuple[str, ...]
    speaks_against: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Identification:
    """What was understood of a report and what it points to.

    `undecided`: the evidence does not separate the leaders, and no single answer may be given. `notes` are the
    writer's own theories, kept apart. `message` is said where nothing was understood, and is empty otherwise.
    """

    text: str
    signs: tuple[SignSeen, ...]
    places: tuple[str, ...]
    notes: tuple[str, ...]
    defects: tuple[DefectShare, ...]
    ask: Question | None
    undecided: bool
    message: str = ""


def identify(
    text: str, rules: RuleBase, answers: Mapping[str, str] = NOTHING, learned: Mapping[str, str] = NOTHING
) -> Identification:
    """Ranks the defects that `text` and `answers` (sign id → yes, no, unsure) point to.

    `learned` are this shop's own words → defect id. Raises BadInput for an answer to a sign that does not exist and
    for an answer that is none of the three, all of them at once.
    """
    check_answers(answers, rules)
    words = words_of(rules)
    index, tellings = words.index, words.tellings
    clauses = index.clauses(text)
    matches = index.matches(clauses)
    signs = with_answers(signs_from(text, matches, clauses, rules), answers)
    places = places_from(matches)
    named = named_defects(matches, index) | learned_defects(clauses, learned, rules)
    notes = tuple(clause.note for clause in clauses if clause.note)
    likeness = tellings.likeness(clauses)
    posterior = with_doubt(defect_posterior(signs, places, rules, named, likeness), rules)
    # Without any sign the words alone must settle it.
    understood = bool(signs or named) or not is_undecided(posterior)
    return Identification(
        text=text,
        signs=signs,
        places=places,
        notes=notes,
        defects=shown_defects(posterior, signs, places, named, rules, told_so(text, clauses, posterior, tellings))
        if understood
        else (),
        ask=next_question(posterior, signs, rules, answers),
        undecided=not understood or is_undecided(posterior),
        message="" if understood else nothing_understood(text, places, notes),
    )


def check_answers(answers: Mapping[str, str], rules: RuleBase) -> None:
    problems = [problem for sign, answer in answers.items() for problem in answer_problems(sign, answer, rules)]
    if problems:
        raise BadInput(problems)


def answer_problems(sign: str, answer: str, rules: RuleBase) -> list[Problem]:
    problems = []
    if sign not in rules.signs:
        near = [name for name, _, _ in process.extract(sign, list(rules.signs), limit=3, score_cutoff=50)]
        allowed = f"near it: {', '.join(near)}" if near else "allowed: the signs that identify asks for"
        problems.append(Problem("answer-sign-unknown", "--answer", f"no sign is called {sign!r}", allowed))
    if answer not in ANSWERS:
        found = f"{sign}={answer} is no answer"
        problems.append(Problem("answer-wrong", "--answer", found, f"allowed: {', '.join(ANSWERS)}"))
    return problems


def is_undecided(posterior: Mapping[str, float]) -> bool:
    """Whether the first is too weak, or the second too near it, for one answer."""
    first, second = (*posterior.values(), 0.0, 0.0)[:2]
    return first < LEADER_SHARE or first < LEADER_RATIO * second


def nothing_understood(text: str, places: Sequence[str], notes: Sequence[str]) -> str:
    if not text.strip():
        return f"Nothing was said about the casting yet. {WHAT_TO_SAY}"
    if notes:
        return f"That is what you think, and not yet what is there. {WHAT_TO_SAY}"
    if places:
        return f"That says where, and not yet what. {WHAT_TO_SAY}"
    return f"No word of that is known here. {WHAT_TO_SAY}"


def shown_defects(
    posterior: Mapping[str, float],
    signs: Sequence[SignSeen],
    places: Sequence[str],
    named: Mapping[str, float],
    rules: RuleBase,
    words: Mapping[str, str] = NOTHING,
) -> tuple[DefectShare, ...]:
    """`words`: of a defect that people tell of in words of the text, which they are."""
    model = model_of(rules)
    shown = [(item, share) for item, share in posterior.items() if share >= LEAST_SHARE][:MOST_SHOWN]
    return tuple(
        DefectShare(
            item,
            rules.defects[item].name,
            round(share, 3),
            reasons(rules.defects[item], signs, places, named, model, speaking_for=True)
            + tuple([f"People tell of it in such words: {words[item]}"] if item in words else []),
            reasons(rules.defects[item], signs, places, named, model, speaking_for=False),
        )
        for item, share in shown
    )


def told_so(text: str, clauses: Sequence[Clause], defects: Iterable[str], tellings: Tellings) -> dict[str, str]:
    """Of each defect that people tell of in words of the text: the words that say most, as they were written."""
    told = {}
    for defect in defects:
        found = tellings.telling_words(defect, clauses, LEAST_LOG)[:MOST_WORDS]
        if found:
            told[defect] = ", ".join(f"“{text[word.start : word.end]}”" for word in sorted(found, key=where_it_stands))
    return told


def where_it_stands(word: Word) -> int:
    return word.start


def reasons(
    defect: Defect,
    signs: Sequence[SignSeen],
    places: Sequence[str],
    named: Mapping[str, float],
    model: DefectModel,
    *,
    speaking_for: bool,
) -> tuple[str, ...]:
    """Plain words for what speaks for (or against) the defect, the strongest first."""
    side = 1 if speaking_for else -1
    found: list[tuple[float, str]] = []
    for item in signs:
        sign = model.rules.signs[item.sign]
        word = model.sign_words[defect.id].get(item.sign, "")
        log = log_ratio(sign, word, item.present) if word else 0.0
        found.append((side * log, sign_reason(sign.name, word, item)))
    for place in places:
        word = model.place_words[defect.id].get(place, "")
        if word:
            name = model.rules.places[place].name
            found.append((side * place_log_ratio(word), f"{name}: {HOW_IT_IS_SAID[word]} there"))
    if defect.id in named:
        ratio = named[defect.id]
        found.append((side * (ratio - 1), "Called so in the text" if ratio > 1 else "The text says it is not that"))
    return tuple(text for log, text in sorted(found, key=lambda entry: -entry[0]) if log >= LEAST_LOG)


HOW_IT_IS_SAID = {
    "": "as with any bad casting",
    "always": "nearly always",
    "usually": "usually",
    "sometimes": "sometimes",
    "rarely": "seldom",
    "never": "hardly ever",
}


def sign_reason(name: str, word: str, item: SignSeen) -> str:
    seen = f"{name} (“{item.text}”)" if item.present else f"Not there: {lowered(name)} (“{item.text}”)"
    return f"{seen}: {HOW_IT_IS_SAID[word]} seen with it"


def lowered(name: str) -> str:
    return name[:1].lower() + name[1:]


def as_json(found: Identification) -> dict[str, Any]:
    """The identification as the command prints it with --json."""
    ask = found.ask
    return {
        "text": found.text,
        "signs": [
            {"sign": item.sign, "present": item.present, "from": item.text, "score": item.score} for item in found.signs
        ],
        "places": list(found.places),
        "defects": [
            {
                "defect": item.defect,
                "name": item.name,
                "share": item.share,
                "for": list(item.speaks_for),
                "against": list(item.speaks_against),
            }
            for item in found.defects
        ],
        "ask": None if ask is None else {"sign": ask.sign, "question": ask.question, "gain_bits": ask.gain_bits},
        "undecided": found.undecided,
    }
