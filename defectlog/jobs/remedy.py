"""What was changed, how many to check (set at once, from the record so far), and whether it worked."""

from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from math import ceil

from defectlog.book.acts import writing
from defectlog.book.histories import pattern_history
from defectlog.book.journal import undone_by
from defectlog.book.learned import learned
from defectlog.book.open import Book
from defectlog.book.records import find, get, resolve
from defectlog.book.rows import Stored
from defectlog.errors import BadInput, NotFound, Problem
from defectlog.jobs.naming import defect_reader, name_cause, name_defect
from defectlog.jobs.refusing import refusals_in
from defectlog.jobs.typed import typed_value
from defectlog.jobs.verdict import tried
from defectlog.records.cells import seen_text
from defectlog.records.fields import field_of
from defectlog.records.kinds import Mould, Pattern, Remedy
from defectlog.records.ledgers import Tally
from defectlog.report.verdict_answers import Remedies, RemedyAdded, RemedyJudged
from defectlog.review.did_it_work import clean_moulds_needed, did_it_work
from defectlog.rulebase.shapes import RuleBase

# How much of the past a change is held against.
LOOK_BACK = timedelta(days=365)
NOTHING = Tally(0, 0, 0, 0)


@dataclass(frozen=True, slots=True)
class RemedyTold:
    """A remedy in the words of whoever typed it; every text may be empty but the first three."""

    pattern: str
    defect: str
    change: str
    cause: str = ""
    from_date: str = ""
    from_mould: str = ""
    check_castings: str = ""
    owner: str = ""
    note: str = ""


def add_remedy(
    book: Book,
    rules: RuleBase,
    told: RemedyTold,
    *,
    command: str,
    now: datetime,
    who: str | None = None,
    token: str | None = None,
    dry_run: bool = False,
) -> RemedyAdded:
    """The same `token` a second time writes nothing. Raises BadInput with everything that cannot be taken."""
    record, said = settled(book, rules, told, now)
    read = defect_reader(rules, learned(book))
    before, _ = before_and_since(book, record, read(record.defect), rules, now.date())
    clean = clean_moulds_needed(before)
    if record.check_castings is None and clean is not None:
        record = replace(record, check_castings=ceil(clean * before.castings / before.moulds))
    open_ones = [stored.row for stored in same_defect(book, rules, record) if stored.record.verdict is None]
    with writing(book, command, who=who, token=token, dry_run=dry_run) as act:
        number = act.add(record)
        if act.again:
            by = undone_by(book, act.id)
            return RemedyAdded(act.id, False, number, record, before, clean, said, again=True, undone_by=by)
    dangers = tuple(refusal.answer for refusal in refusals_in(record.change, rules))
    return RemedyAdded(act.id, act.wrote, number, record, before, clean, said, dangers, tuple(open_ones))


def settled(book: Book, rules: RuleBase, told: RemedyTold, now: datetime) -> tuple[Remedy, tuple[str, ...]]:
    """The record, and what was taken for what. Raises BadInput."""
    problems: list[Problem] = []

    def value(field: str, text: str, where: str) -> object:
        return typed_value(field_of(Remedy, field), text, where, now)

    pattern = tried(problems, lambda: resolve(book, Pattern, told.pattern))
    defect = tried(problems, lambda: name_defect(told.defect, rules, learned(book), "defect"))
    known = defect.name if defect else ""
    cause = tried(problems, lambda: name_cause(told.cause, rules, known, "--cause")) if told.cause else None
    mould = tried(problems, lambda: resolve(book, Mould, told.from_mould)) if told.from_mould else None
    day = tried(problems, lambda: value("from_date", told.from_date, "--from-date"))
    change = tried(problems, lambda: value("change", told.change, "change"))
    check = tried(problems, lambda: value("check_castings", told.check_castings, "--check-castings"))
    if told.from_date and told.from_mould:
        problems.append(
            Problem(
                "remedy-two-starts", "remedy", "--from-date and --from-mould are both given", "allowed: one of them"
            )
        )
    if mould and pattern and get(book, Mould, mould.name).record.pattern != pattern.name:
        found = f"{mould.name} is not a mould of {pattern.name}"
        problems.append(Problem("mould-of-another", "--from-mould", found, "allowed: the first mould made the new way"))
    if problems or pattern is None or defect is None:
        raise BadInput(problems)
    started = day is not None or mould is not None
    record = Remedy(
        pattern=pattern.name,
        defect=defect.name,
        cause=cause.name if cause else None,
        change=str(change),
        from_date=day if isinstance(day, date) else None if started else now.date(),
        from_mould=mould.name if mould else None,
        check_castings=check if isinstance(check, int) else None,
        owner=seen_text(told.owner) or None,
        note=seen_text(told.note) or None,
    )
    said = [pattern.said, defect.said, cause.said if cause else "", mould.said if mould else ""]
    said += [] if started else ["from today on, since no day or mould was named"]
    return record, tuple(text for text in said if text)


def before_and_since(book: Book, remedy: Remedy, defect: str, rules: RuleBase, today: date) -> tuple[Tally, Tally]:
    """Poured moulds of the pattern in the year before the change, and from it on; trials are left out.

    A mould is bad when any of its castings had the defect. From a mould on means from it on in the order of pouring.
    """
    first = get(book, Mould, remedy.from_mould).record if remedy.from_mould else None
    moment = (first.poured_at or first.made_at) if first else None
    start = remedy.from_date or (moment.date() if moment else None)
    if start is None:
        return NOTHING, NOTHING
    read = defect_reader(rules, learned(book))
    history = pattern_history(book, remedy.pattern, start - LOOK_BACK, max(today, start), read)
    bad: dict[str, int] = {}
    for seen in history.findings:
        if seen.defect == defect:
            bad[seen.mould] = bad.get(seen.mould, 0) + seen.castings
    order = [mould.mould for mould in history.moulds]
    if remedy.from_mould in order:
        cut = order.index(remedy.from_mould)
    else:
        cut = sum(day_of(mould) < start for mould in history.moulds)
    return tally(history.moulds[:cut], bad), tally(history.moulds[cut:], bad)


def day_of(mould: Mould) -> date:
    moment = mould.poured_at or mould.made_at
    return moment.date() if moment else date.max


def tally(moulds: tuple[Mould, ...], bad: dict[str, int]) -> Tally:
    return Tally(
        moulds=len(moulds),
        bad_moulds=sum(mould.mould in bad for mould in moulds),
        castings=sum(mould.castings or 0 for mould in moulds),
        bad_castings=sum(min(bad.get(mould.mould, 0), mould.castings or 0) for mould in moulds),
    )


def same_defect(book: Book, rules: RuleBase, remedy: Remedy) -> list[Stored[Remedy]]:
    read = defect_reader(rules, learned(book))
    there = find(book, Remedy, pattern=remedy.pattern)
    return [stored for stored in there if read(stored.record.defect) == read(remedy.defect)]


def remedies_of(book: Book, rules: RuleBase, pattern: str = "", *, today: date, only_open: bool = False) -> Remedies:
    """Every remedy (of one pattern), each held against the record as it stands. Raises NotFound or Ambiguous."""
    taken = resolve(book, Pattern, pattern) if pattern else None
    there = find(book, Remedy, pattern=taken.name) if taken else find(book, Remedy)
    judged = [
        reckoned(book, rules, stored, today)
        for stored in there
        if not (only_open and stored.record.verdict is not None)
    ]
    return Remedies(taken.name if taken else "", tuple(judged), (taken.said,) if taken and taken.said else ())


def reckoned(book: Book, rules: RuleBase, stored: Stored[Remedy], today: date) -> RemedyJudged:
    remedy = stored.record
    read = defect_reader(rules, learned(book))
    before, since = before_and_since(book, remedy, read(remedy.defect), rules, today)
    outcome = did_it_work(before, since, remedy.check_castings)
    others = tuple(other.row for other in same_defect(book, rules, remedy) if other.row != stored.row)
    return RemedyJudged(stored.row, remedy, outcome, remedy.verdict or "", 0, others)


def judge_remedy(
    book: Book,
    rules: RuleBase,
    typed: str,
    *,
    command: str,
    now: datetime,
    verdict: str = "",
    who: str | None = None,
    dry_run: bool = False,
) -> RemedyJudged:
    """What the record says of one remedy, or the shop's own `verdict`, written to it; "too soon" is not written.

    Raises NotFound for a number that is no remedy, BadInput for a verdict that is none.
    """
    stored = remedy_numbered(book, typed)
    judged = reckoned(book, rules, stored, now.date())
    own = typed_value(field_of(Remedy, "verdict"), verdict, "--verdict", now)
    wanted = own or (judged.outcome.answer if judged.outcome.answer != "too soon" else None)
    if wanted is None or wanted == stored.record.verdict:
        return judged
    with writing(book, command, who=who, dry_run=dry_run) as act:
        act.amend(Remedy, stored.row, {"verdict": wanted})
    return replace(judged, recorded=judged.recorded if dry_run else wanted, act=act.id if act.wrote else 0)


def remedy_numbered(book: Book, typed: str) -> Stored[Remedy]:
    number = typed.strip().removeprefix("#")
    if number.isascii() and number.isdigit() and len(number) < 12:
        found = [stored for stored in find(book, Remedy) if stored.row == int(number)]
        if found:
            return found[0]
    numbers = ", ".join(str(stored.row) for stored in find(book, Remedy, limit=8, newest_first=True))
    allowed = f"on record: {numbers}" if numbers else "no remedy is on record yet"
    step = "to see them: defectlog remedy list"
    raise NotFound(Problem("remedy-unknown", "remedy", f"there is no remedy {typed!r}", allowed, step))
