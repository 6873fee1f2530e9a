"""What was found to be the cause: settled against the book and the rules, and put on record. It feeds recurrence."""

from collections.abc import Callable
from datetime import datetime
from typing import TypeVar

from defectlog.book.acts import writing
from defectlog.book.learned import learned
from defectlog.book.open import Book
from defectlog.book.records import find, resolve
from defectlog.errors import BadInput, Problem
from defectlog.jobs.naming import defect_reader, name_cause, name_defect
from defectlog.jobs.typed import typed_value
from defectlog.records.cells import seen_text
from defectlog.records.fields import field_of
from defectlog.records.kinds import Pattern, Verdict
from defectlog.report.verdict_answers import VerdictGiven, VerdictsOn
from defectlog.rulebase.shapes import RuleBase

T = TypeVar("T")


def give_verdict(
    book: Book,
    rules: RuleBase,
    pattern: str,
    defect: str,
    cause: str,
    verdict: str,
    *,
    command: str,
    now: datetime,
    on: str = "",
    basis: str = "",
    by: str = "",
    who: str | None = None,
    dry_run: bool = False,
) -> VerdictGiven:
    """Raises BadInput with every name that cannot be settled, a day still to come, or a verdict that is none."""
    problems: list[Problem] = []
    taken = tried(problems, lambda: resolve(book, Pattern, pattern))
    named = tried(problems, lambda: name_defect(defect, rules, learned(book), "defect"))
    known = named.name if named else ""
    settled = tried(problems, lambda: name_cause(cause, rules, known))
    word = tried(problems, lambda: typed_value(field_of(Verdict, "verdict"), verdict, "verdict", now))
    day = tried(problems, lambda: typed_value(field_of(Verdict, "decided_on"), on or "today", "--on", now))
    if day is not None and day > now.date():
        problems.append(Problem("date-to-come", "--on", f"{day} is still to come", "allowed: today or earlier"))
    if problems or taken is None or named is None or settled is None or word is None or day is None:
        raise BadInput(problems)
    record = Verdict(
        pattern=taken.name,
        defect=named.name,
        cause=settled.name,
        verdict=word,
        decided_on=day,
        basis=seen_text(basis) or None,
        by=seen_text(by) or None,
    )
    said = (taken.said, named.said, settled.said, not_ranked(record, rules))
    earlier = on_defect(book, rules, record.pattern, record.defect)
    if record in earlier:
        return VerdictGiven(0, False, record, tuple(text for text in said if text), earlier)
    with writing(book, command, who=who, dry_run=dry_run) as act:
        act.add(record)
    return VerdictGiven(act.id, act.wrote, record, tuple(text for text in said if text), earlier)


def tried(problems: list[Problem], settle: Callable[[], T]) -> T | None:
    """What `settle` gives; None where it raises BadInput, whose problems are kept."""
    try:
        return settle()
    except BadInput as error:
        problems += error.problems
        return None


def not_ranked(verdict: Verdict, rules: RuleBase) -> str:
    """Said where the verdict cannot feed the ranking: the rules do not name the cause for that defect."""
    cause = rules.causes.get(verdict.cause)
    if cause is None or any(each.defect == verdict.defect for each in cause.explains):
        return ""
    return (
        f"the rules do not name {verdict.cause} for {verdict.defect}: it is on record, and `why` does not rank it "
        "until a rule of your own does"
    )


def on_defect(book: Book, rules: RuleBase, pattern: str, defect: str) -> tuple[Verdict, ...]:
    """Verdicts on a pattern (and one defect of it, however it was written), the latest first."""
    read = defect_reader(rules, learned(book))
    found = [stored.record for stored in find(book, Verdict, pattern=pattern)]
    found = [item for item in found if not defect or read(item.defect) == read(defect)]
    return tuple(sorted(found, key=lambda item: item.decided_on, reverse=True))


def verdicts_on(book: Book, rules: RuleBase, pattern: str, defect: str = "") -> VerdictsOn:
    """Raises NotFound or Ambiguous for names that cannot be settled."""
    taken = resolve(book, Pattern, pattern)
    named = name_defect(defect, rules, learned(book), "defect") if defect else None
    wanted = named.name if named else ""
    said = tuple(text for text in (taken.said, named.said if named and named.known else "") if text)
    return VerdictsOn(taken.name, wanted, on_defect(book, rules, taken.name, wanted), said)
