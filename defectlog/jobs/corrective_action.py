"""The corrective-action sheet of a pattern and a defect, filled from the record: nothing asked, nothing made up."""

from collections import Counter
from collections.abc import Iterable, Sequence
from datetime import date, timedelta

from defectlog.book.learned import learned
from defectlog.book.open import Book
from defectlog.book.records import find
from defectlog.jobs.naming import defect_reader, name_defect
from defectlog.jobs.remedy import day_of, remedies_of
from defectlog.jobs.trace import trace
from defectlog.jobs.why import WhyAnswer, ask_why
from defectlog.records.counts import total
from defectlog.records.histories import PatternHistory, Seen
from defectlog.records.kinds import Mould, Pattern, Verdict
from defectlog.report.answers import Traced
from defectlog.report.corrective_action_answers import CorrectiveAction, MonthCount, Shared
from defectlog.report.moulds import poured
from defectlog.report.verdict_answers import RemedyJudged
from defectlog.rulebase.shapes import RuleBase

# Castings from heats and sand of so many days before the last bad mould may still be in reach.
LATELY_DAYS = 30


def corrective_action(book: Book, rules: RuleBase, pattern: str, defect: str, *, today: date) -> CorrectiveAction:
    """The pattern's last year of pouring. Raises NotFound or Ambiguous for a pattern or defect that is not settled."""
    named = name_defect(defect, rules, learned(book))
    answer = ask_why(book, rules, pattern, today=today, defect=named.name)
    history = answer.diagnosis.history
    seen = [item for item in history.findings if item.defect == named.name]
    bad = Counter[str]()
    for item in seen:
        bad[item.mould] += item.castings
    days = sorted(day_of(mould) for mould in history.moulds if mould.mould in bad)
    shared, at_risk, unlinked = shared_by(book, history, bad, days[-1] if days else None)
    judged = [
        item
        for item in remedies_of(book, rules, history.pattern, today=today).judged
        if defect_reader(rules, learned(book))(item.remedy.defect) == named.name
    ]
    cards = [stored.record for stored in find(book, Pattern, pattern=history.pattern)]
    return CorrectiveAction(
        pattern=history.pattern,
        name=next((card.name for card in reversed(cards) if card.name), ""),
        defect=named.name,
        since=history.since,
        until=history.until,
        rate=answer.rate,
        months=months_of(history, bad),
        became=counted(seen, "disposition"),
        found=counted(seen, "found"),
        first_seen=days[0] if days else None,
        last_seen=days[-1] if days else None,
        evidence=next(iter(answer.diagnosis.defects), None),
        lately=LATELY_DAYS,
        shared=shared,
        at_risk=at_risk,
        unlinked=unlinked,
        verdicts=verdicts_on(answer, named.name, book, rules),
        remedies=tuple(judged),
        cards=tuple(card for card in cards if since_then(card, judged, days)),
        said=tuple(text for text in (*answer.said, named.said) if text),
    )


def counted(seen: Iterable[Seen], field: str) -> dict[str, int]:
    counts = Counter[str]()
    for item in seen:
        counts[getattr(item, field)] += item.castings
    return dict(counts.most_common())


def months_of(history: PatternHistory, bad: Counter[str]) -> tuple[MonthCount, ...]:
    by_month: dict[date, list[Mould]] = {}
    for mould in history.moulds:
        by_month.setdefault(day_of(mould).replace(day=1), []).append(mould)
    return tuple(
        MonthCount(
            month=month,
            moulds=len(moulds),
            bad_moulds=sum(mould.mould in bad for mould in moulds),
            castings=sum(mould.castings or 0 for mould in moulds),
            bad_castings=sum(min(bad[mould.mould], mould.castings or 0) for mould in moulds),
        )
        for month, moulds in sorted(by_month.items())
    )


def shared_by(
    book: Book, history: PatternHistory, bad: Counter[str], last: date | None
) -> tuple[tuple[Shared, ...], Shared | None, int]:
    """Heats and sand of the lately bad moulds with everything poured from them, the same together with each mould
    once, and how many of the bad moulds name neither."""
    if last is None:
        return (), None, 0
    lately = [m for m in history.moulds if m.mould in bad and day_of(m) > last - timedelta(days=LATELY_DAYS)]
    named = [(kind, name) for mould in reversed(lately) for kind, name in (("heat", mould.heat), ("sand", mould.sand))]
    traces = [trace(book, (kind, name)) for kind, name in dict.fromkeys(named) if name]
    if not traces:
        return (), None, sum(mould.heat is None and mould.sand is None for mould in lately)
    shared = tuple(shared_of(found.what.kind, found.what.name, found.moulds) for found in traces)
    once = {item.seen.mould.mould: item for found in traces for item in found.moulds}
    unlinked = sum(mould.heat is None and mould.sand is None for mould in lately)
    return shared, shared_of("", "", once.values()), unlinked


def shared_of(kind: str, name: str, moulds: Iterable[Traced]) -> Shared:
    melted = [item for item in moulds if poured(item.seen.mould)]
    count = total(item.seen.count for item in melted)
    patterns = tuple(sorted({item.seen.mould.pattern for item in melted}))
    return Shared(kind, name, len(melted), count.castings, count.castings - count.scrapped, patterns)


def verdicts_on(answer: WhyAnswer, defect: str, book: Book, rules: RuleBase) -> tuple[Verdict, ...]:
    read = defect_reader(rules, learned(book))
    mine = [verdict for verdict in answer.diagnosis.history.verdicts if read(verdict.defect) == defect]
    return tuple(sorted(mine, key=lambda verdict: verdict.decided_on, reverse=True))


def since_then(card: Pattern, judged: Sequence[RemedyJudged], days: Sequence[date]) -> bool:
    """Revisions that came into force with the first remedy or after it; without one, since the trouble began."""
    starts = [item.remedy.from_date for item in judged if item.remedy.from_date] or list(days[:1])
    return card.in_force_from is not None and bool(starts) and card.in_force_from >= min(starts)
