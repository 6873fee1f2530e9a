"""Which defect is this: the engine asked with the shop's own words, and the words that the shop teaches it."""

from collections.abc import Iterable, Mapping
from pathlib import Path

from defectlog.book.acts import writing
from defectlog.book.learned import forget, learn, learned
from defectlog.book.open import Book, open_book
from defectlog.diagnosis.identify import answer_problems, identify
from defectlog.errors import BadInput, NotFound, Problem
from defectlog.jobs.naming import known_defect
from defectlog.jobs.refusing import refusals_in
from defectlog.jobs.words import ready_words
from defectlog.records.cells import folded, nearest_of, seen_text
from defectlog.report.identify_answers import Identified, Taught
from defectlog.report.shell import shell_command
from defectlog.rulebase.shapes import RuleBase

# What is taught is a name, not a description: it must be found again word for word.
LONGEST_WORD = 60
MOST_WORDS = 6
MOST_SHOWN = 5
SAID_AS = {"y": "yes", "n": "no", "u": "unsure", "don't know": "unsure", "dont know": "unsure", "?": "unsure"}


def ask_which(text: str, rules: RuleBase, answers: Mapping[str, str], shop_words: Mapping[str, str]) -> Identified:
    """`answers` as `answers_from` gives them."""
    ready_words(rules)
    words = seen_text(text)
    return Identified(identify(words, rules, answers, shop_words), refusals_in(words, rules), dict(answers))


def words_of(book_path: Path) -> dict[str, str]:
    """The shop's own words; none where there is no book yet (asking makes none)."""
    if not book_path.exists():
        return {}
    with open_book(book_path, read_only=True) as book:
        return learned(book)


def answers_from(typed: Iterable[str], rules: RuleBase) -> dict[str, str]:
    """ "wall-smooth=yes" → {"wall-smooth": "yes"}. Raises BadInput with every answer that cannot be taken."""
    answers: dict[str, str] = {}
    problems: list[Problem] = []
    for text in typed:
        sign, equals, answer = seen_text(text).partition("=")
        if not equals or not sign.strip():
            found = f"{text!r} is not an answer"
            problems.append(Problem("answer-wrong", "--answer", found, "allowed: sign=yes, sign=no or sign=unsure"))
            continue
        word = answer.strip().casefold()
        answers[folded(sign).replace(" ", "-")] = SAID_AS.get(word, word)
    for sign, answer in answers.items():
        problems += answer_problems(sign, answer, rules)
    if problems:
        raise BadInput(problems)
    return answers


def teach(
    book: Book, rules: RuleBase, word: str, defect: str, *, command: str, who: str | None = None, dry_run: bool = False
) -> Taught:
    """From now on the shop's `word` means `defect`. Raises BadInput for what is no word, or no defect of the rules."""
    wanted = folded(seen_text(word))
    cannot = cannot_be_taught(wanted, rules)
    if cannot is not None:
        raise BadInput(cannot)
    named = known_defect(defect, rules, learned(book), "--is", lambda item: f"type: --is {item}")
    with writing(book, command, who=who, dry_run=dry_run) as act:
        was = learned(book).get(wanted, "")
        learn(act, wanted, named.name)
    return Taught(wanted, named.name, was, act.id, act.wrote, said=named.said)


def cannot_be_taught(word: str, rules: RuleBase) -> Problem | None:
    where = "identify"
    if not any(letter.isalpha() for letter in word):
        allowed = 'allowed: what the shop calls it, such as: defectlog identify "blows" --is gas-holes'
        return Problem("word-empty", where, "there is no word to learn", allowed)
    if len(word) > LONGEST_WORD or len(word.split()) > MOST_WORDS:
        allowed = f"allowed: a name of up to {MOST_WORDS} words, as the shop says it"
        return Problem("word-long", where, "that is a description and not a name", allowed)
    if word.replace(" ", "-") in rules.defects:
        found = f"{word!r} is the name of a defect already"
        return Problem(
            "word-taken", where, found, "allowed: a word of the shop's own", "to see it: defectlog rules list"
        )
    return None


def unlearn(book: Book, word: str, *, command: str, who: str | None = None) -> Taught:
    """Raises NotFound, with the nearest word, when it was never learned."""
    wanted = folded(seen_text(word))
    there = learned(book)
    if wanted not in there:
        found = f"{wanted!r} was never learned{nearest_of(wanted, list(there))}"
        step = f"to see them: {shell_command('identify', '--learned')}"
        allowed = f"learned: {', '.join(list(there)[:MOST_SHOWN])}" if there else "no word is learned yet"
        raise NotFound(Problem("word-unknown", "--forget", found, allowed, step))
    with writing(book, command, who=who) as act:
        forget(act, wanted)
    return Taught(wanted, there[wanted], act=act.id, wrote=act.wrote, forgotten=True)
