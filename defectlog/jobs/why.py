"""Why does this pattern keep failing: gather its history and the shop's, read the words, ask the reasoning."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta
from functools import cache

from defectlog.book.alongside import made_alongside
from defectlog.book.histories import last_cast, pattern_history, shop_usual
from defectlog.book.learned import learned, settings
from defectlog.book.open import Book
from defectlog.book.records import find, resolve
from defectlog.diagnosis.like_cases import LikeCase, like_cases
from defectlog.diagnosis.looks import Look
from defectlog.diagnosis.places_in_text import places_of
from defectlog.diagnosis.signs_in_text import signs_of
from defectlog.diagnosis.why import Asked, DefectAnswer, Diagnosis, diagnose
from defectlog.jobs.circumstances import circumstances_of
from defectlog.jobs.computed import card_readings, computed_readings, provenance_of
from defectlog.jobs.words import ready_words
from defectlog.records.histories import PatternHistory, Seen
from defectlog.records.kinds import Pattern, Remedy
from defectlog.review.pattern_rate import PatternRate, rate_of
from defectlog.rulebase.shapes import RuleBase

# How far back "keeps failing" looks when nobody says.
USUAL_WINDOW = timedelta(days=365)
# What a look makes less likely than this is not counted as the defect at all.
LEAST_PART = 0.1


@dataclass(frozen=True, slots=True)
class WhyAnswer:
    """The diagnosis, the scrap rate beside it, the rules it rests on, and what was taken for what.

    `provenance`: computed reading → what it was computed from, a line a revision of the pattern. `cases`: defect → what
    this book holds of it on other patterns or from earlier on.
    """

    diagnosis: Diagnosis
    rate: PatternRate
    rules: RuleBase
    asked: Asked
    provenance: Mapping[str, tuple[str, ...]]
    cases: Mapping[str, tuple[LikeCase, ...]]
    said: tuple[str, ...]


def ask_why(
    book: Book,
    rules: RuleBase,
    pattern: str,
    *,
    today: date,
    defect: str = "",
    since: date | None = None,
    until: date | None = None,
    with_history: bool = True,
    explain: str = "",
    system: str = "metric",
    most_defects: int = 1,
) -> WhyAnswer:
    """Raises NotFound or Ambiguous for a pattern, a defect or a cause that cannot be settled."""
    resolved = resolve(book, Pattern, pattern)
    shop_words = learned(book)
    defect_of = defect_reader(rules, shop_words)
    said = [resolved.said]
    wanted = defect if defect in rules.defects else ""
    if defect and not wanted:
        from defectlog.jobs.naming import name_defect

        named = name_defect(defect, rules, shop_words)
        wanted, said = named.name, [*said, named.said]
    if explain and explain not in rules.causes:
        from defectlog.jobs.naming import name_cause

        cause = name_cause(explain, rules, wanted, "--explain")
        explain, said = cause.name, [*said, cause.said]
    # "Keeps failing" is about the pattern's last year of pouring, which may lie some time back.
    until = until or last_cast(book, resolved.name) or today
    since = since or until - USUAL_WINDOW
    ready_words(rules)
    history = replace(
        pattern_history(book, resolved.name, since, until, defect_of),
        alongside=made_alongside(book, resolved.name, since, until, defect_of),
    )
    usual = shop_usual(book, since, until, defect_of)
    cards = history.revisions or tuple(stored.record for stored in find(book, Pattern, pattern=resolved.name))
    asked = Asked(
        today=today,
        defect=wanted,
        with_history=with_history,
        circumstances=circumstances_of(rules, cards, tuple(history.heats.values()), settings(book)),
        system=system,
        most_defects=most_defects,
        explain=explain,
    )
    read = settled_by_look(history, rules, shop_words)
    by_revision = card_readings(history)
    computed = computed_readings(read, rules, by_revision)
    diagnosis = diagnose(read, usual, rules, asked, look_reader(rules), computed)
    remedies = [stored.record for stored in find(book, Remedy)]
    cases = {
        answer.defect: like_cases(answer.defect, resolved.name, leader_of(answer), usual.verdicts, remedies, defect_of)
        for answer in diagnosis.defects
    }
    return WhyAnswer(
        diagnosis, rate_of(history), rules, asked, provenance_of(by_revision), cases, tuple(filter(None, said))
    )


def leader_of(answer: DefectAnswer) -> str:
    return answer.causes[0].cause.id if answer.causes else ""


def defect_reader(rules: RuleBase, shop_words: Mapping[str, str]) -> Callable[[str], str]:
    """The id behind a defect as the shop wrote it; its own name where the rules know none.

    Most books hold ids: the reading of names is brought in when one turns up.
    """

    @cache
    def reader() -> Callable[[str], str]:
        from defectlog.jobs.naming import defect_reader as reader_of_names

        return reader_of_names(rules, shop_words)

    return lambda written: written if written in rules.defects or not written else reader()(written)


def settled_by_look(history: PatternHistory, rules: RuleBase, shop_words: Mapping[str, str]) -> PatternHistory:
    """Findings with words but no defect named count as what they look like, and in parts where that is not settled."""

    @cache
    def look(seen: str, place: str) -> tuple[tuple[str, float], ...]:
        from defectlog.diagnosis.identify import identify

        found = identify(f"{seen}, {place}" if place else seen, rules, learned=shop_words)
        if found.defects and not found.undecided:
            return ((found.defects[0].defect, 1.0),)
        return tuple((item.defect, item.share) for item in found.defects if item.share >= LEAST_PART)

    def read(finding: Seen) -> tuple[Seen, ...]:
        if finding.defect or finding.defect_as_written or not finding.seen:
            return (finding,)
        parts = look(finding.seen, finding.place.replace("-", " "))
        return tuple(replace(finding, defect=item, by_look=True, share=share) for item, share in parts) or (finding,)

    return replace(history, findings=tuple(part for finding in history.findings for part in read(finding)))


def look_reader(rules: RuleBase) -> Callable[[Seen], Look]:
    """Signs and places of a finding, each different text read once."""

    @cache
    def signs(text: str) -> Mapping[str, bool]:
        return {item.sign: item.present for item in signs_of(text, rules)}

    @cache
    def places(text: str) -> tuple[str, ...]:
        ids = tuple(text.split(", "))
        return ids if all(one in rules.places for one in ids) else places_of(text, rules)

    def read(seen: Seen) -> Look:
        # Where nobody filled in the place, the words of what was seen may still name it.
        where = seen.place or seen.seen
        return Look(signs(seen.seen) if seen.seen else {}, places(where) if where else ())

    return read
