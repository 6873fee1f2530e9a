"""What came out of the sand, into the book: understood, checked against what can be, and written in one act.

What was seen and what it is believed to be are kept apart: a defect goes on record only when somebody named it. What
the words look like is said beside it, with the command that settles it. Nobody is asked for a cause.

A mould that was broken out with nothing bad is on record as `outcome: poured`; until then a mould that has a heat or
a pouring time is poured, and nobody has said what came of it.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime

from defectlog.book.acts import Act, writing
from defectlog.book.journal import undone_by
from defectlog.book.learned import learned
from defectlog.book.open import Book
from defectlog.book.photos import Photo, keep
from defectlog.errors import BadInput, Problem
from defectlog.jobs.bench import Bench, Laid, cannot_be_shaken_out, lay_out, meant, raise_if
from defectlog.jobs.naming import Named, Placed, defect_reader, name_defect, name_places
from defectlog.jobs.recurrence import recurrence
from defectlog.jobs.shares import Share, cannot_be_charged, shares_of
from defectlog.records.kinds import Finding, Mould
from defectlog.report.shakeout_answers import NOT_SAID, LeftOut, LooksLike, Recurrence, Shaken, ShakenOut
from defectlog.report.shell import shell_command
from defectlog.rulebase.shapes import RuleBase

LEFT_AS_IT_IS = {
    "not-all-good": "bad castings on record",
    "mould-lost": "lost before pouring",
    "mould-of-the-future": "cast on a day that is still to come",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """One thing said about one or more moulds, in the words of whoever said it.

    `moulds` as typed ("M-225..M-240"); `counts` castings by disposition; `photo` the name that it is kept under;
    `where` a row of a sheet, for messages.
    """

    moulds: str
    good: bool = False
    counts: Mapping[str, int] = field(default_factory=dict)
    impressions: tuple[int, ...] = ()
    defect: str = ""
    seen: str = ""
    place: str = ""
    found: str = "shakeout"
    found_at: datetime | None = None
    by: str = ""
    note: str = ""
    photo: str = ""
    secondary: bool = False
    where: str = ""


@dataclass(frozen=True, slots=True)
class Understood:
    """One Told with its names settled."""

    told: Told
    laid: Laid
    shares: tuple[Share, ...]
    defect: Named | None = None
    placed: Placed = field(default_factory=lambda: Placed("", ()))


@dataclass(slots=True)
class Plan:
    """What is to be written of a mould."""

    bench: Bench
    good: bool = False
    findings: list[Finding] = field(default_factory=list)
    rows: list[int] = field(default_factory=list)


def shake_out(
    book: Book,
    rules: RuleBase,
    told: Sequence[Told],
    *,
    command: str,
    now: datetime,
    who: str | None = None,
    token: str | None = None,
    photo: Photo | None = None,
    dry_run: bool = False,
) -> ShakenOut:
    """All of it or nothing, in one act. Raises BadInput with everything that cannot be, row by row.

    The same `token` a second time writes nothing. A `photo` that is told of is kept before the act that names it.
    """
    with writing(book, command, who=who, token=token, dry_run=dry_run) as act:
        if act.again:
            return ShakenOut(act.id, again=True, undone_by=undone_by(book, act.id))
        understood, problems = understand_all(book, rules, told)
        benches = lay_out(book, list(dict.fromkeys(name for item in understood for name in item.laid.names)))
        plans, left_out, wrong = planned(understood, benches, now)
        raise_if([*problems, *wrong])
        if photo is not None and not dry_run:
            keep(book.path, photo)
        for plan in plans.values():
            write(act, plan)
        recurrences, looks = said_of(book, rules, understood, plans, now.date())
    shaken = [shaken_from(plan) for plan in plans.values()]
    return ShakenOut(
        act=act.id,
        wrote=act.wrote,
        dry_run=dry_run,
        moulds=tuple(shaken),
        left_out=tuple(left_out),
        missing=tuple(dict.fromkeys(name for item in understood for name in item.laid.missing)),
        said=tuple(dict.fromkeys(text for item in understood for text in said_in(item) if text)),
        looks=looks,
        recurrences=recurrences,
    )


def understand_all(book: Book, rules: RuleBase, told: Sequence[Told]) -> tuple[list[Understood], list[Problem]]:
    """What can be understood, and the problems of the rest."""
    shop_words = learned(book)
    understood: list[Understood] = []
    problems: list[Problem] = []
    for one in told:
        try:
            understood.append(understand(book, rules, one, shop_words))
        except BadInput as error:
            problems += [replace(item, where=one.where or item.where) for item in error.problems]
    return understood, problems


def understand(book: Book, rules: RuleBase, told: Told, shop_words: Mapping[str, str]) -> Understood:
    """Raises BadInput with every name and count that cannot be taken."""
    problems: list[Problem] = []
    laid, defect = Laid((), frozenset(), (), ()), None
    shares: tuple[Share, ...] = ()
    try:
        laid = meant(book, told.moulds)
    except BadInput as error:
        problems += error.problems
    if told.defect:
        try:
            defect = name_defect(told.defect, rules, shop_words, advice=advice_for(told))
        except BadInput as error:
            problems += error.problems
    if not told.good:
        try:
            shares = shares_of(told.counts, told.impressions, secondary=told.secondary)
        except BadInput as error:
            problems += error.problems
    raise_if(problems)
    return Understood(told, laid, shares, defect, name_places(told.place, rules))


def advice_for(told: Told) -> Callable[[str], str]:
    def advice(defect: str) -> str:
        teach = shell_command("identify", told.defect, "--is", defect)
        return f"name one: --defect {defect}; or teach your word for it once: {teach}; or say it as --seen"

    return advice


def said_in(item: Understood) -> Iterable[str]:
    yield from item.laid.said
    if item.defect is not None:
        yield item.defect.said
    yield item.placed.said


def planned(
    understood: Sequence[Understood], benches: Mapping[str, Bench], now: datetime
) -> tuple[dict[str, Plan], list[LeftOut], list[Problem]]:
    """Mould → what to write; what is passed over; what cannot be.

    What is planned for a mould counts for whatever is said of it afterwards.
    """
    plans: dict[str, Plan] = {}
    left_out: list[LeftOut] = []
    problems: list[Problem] = []
    for item in understood:
        for name in item.laid.names:
            bench = benches[name]
            wrong = cannot_be_shaken_out(bench, now, item.told.found_at, item.told.where)
            wrong = wrong or cannot_be_said(item, bench)
            if wrong and item.told.good and name not in item.laid.one_by_one:
                left_out.append(LeftOut(name, LEFT_AS_IT_IS.get(wrong[0].code, wrong[0].found)))
                continue
            problems += wrong
            if not wrong:
                plan = plans.setdefault(name, Plan(bench))
                plan.good = item.told.good
                findings = [finding_from(item, share, name, now) for share in item.shares]
                plan.findings += findings
                bench.findings += findings
    return plans, left_out, problems


def cannot_be_said(item: Understood, bench: Bench) -> list[Problem]:
    where = item.told.where or f"mould {bench.name}"
    if not item.told.good:
        return cannot_be_charged(bench, item.shares, where, secondary=item.told.secondary)
    if not bench.bad:
        return []
    found = f"{bench.name} has {bench.bad} of {bench.castings} castings on record as bad, so it is not all good"
    step = f"to take that back: defectlog history {bench.name}, then defectlog undo and the act's number"
    return [Problem("not-all-good", where, found, "allowed: --good for a mould without a bad casting", step)]


def finding_from(item: Understood, share: Share, mould: str, now: datetime) -> Finding:
    told = item.told
    notes = [text for text in (told.note, item.placed.note) if text]
    return Finding(
        mould=mould,
        impression=share.impression,
        castings=share.castings,
        defect=item.defect.name if item.defect else None,
        seen=told.seen or (None if item.defect else NOT_SAID),
        place=item.placed.place or None,
        disposition=share.disposition,
        found=told.found,
        found_at=told.found_at,
        recorded_at=now,
        primary=not told.secondary,
        by=told.by or None,
        photo=told.photo or None,
        note="; ".join(notes) or None,
    )


def write(act: Act, plan: Plan) -> None:
    plan.rows = [act.add(finding) for finding in plan.findings]
    if plan.bench.mould.outcome is None:
        act.amend(Mould, plan.bench.name, {"outcome": "poured"})


def shaken_from(plan: Plan) -> Shaken:
    bench = plan.bench
    return Shaken(
        mould=bench.name,
        pattern=bench.mould.pattern,
        revision=bench.revision,
        castings=bench.castings,
        good=not bench.bad,
        taken_as_poured=not bench.poured,
        undated=bench.cast_at is None,
        findings=tuple(plan.findings),
    )


def said_of(
    book: Book, rules: RuleBase, understood: Sequence[Understood], plans: Mapping[str, Plan], today: date
) -> tuple[tuple[Recurrence, ...], tuple[LooksLike, ...]]:
    """How often each defect of each pattern was there before, and what the unnamed findings look like."""
    shop_words = learned(book)
    read = defect_reader(rules, shop_words)
    groups: dict[tuple[str, str, bool], list[Plan]] = {}
    looks: list[LooksLike] = []
    for item in understood:
        if item.told.good:
            continue
        defect, if_so = (read(item.defect.name), False) if item.defect else ("", True)
        if item.defect is None and item.told.seen:
            look = looks_like(item, rules, shop_words)
            add_look(looks, look)
            defect = "" if look.found.undecided else look.found.defects[0].defect
        if defect:
            for name in item.laid.names:
                groups.setdefault((plans[name].bench.mould.pattern, defect, if_so), []).append(plans[name])
    found = [counted(book, key, group, read, today) for key, group in groups.items()]
    return tuple(item for item in found if item is not None), tuple(looks)


def add_look(looks: list[LooksLike], look: LooksLike) -> None:
    """The same words about the same moulds are told once, whatever becomes of the castings."""
    for number, other in enumerate(looks):
        if (other.seen, other.moulds, other.found) == (look.seen, look.moulds, look.found):
            whole = () if not (other.impressions and look.impressions) else other.impressions + look.impressions
            looks[number] = replace(other, impressions=whole)
            return
    looks.append(look)


def counted(
    book: Book, key: tuple[str, str, bool], plans: Sequence[Plan], read: Callable[[str], str], today: date
) -> Recurrence | None:
    pattern, defect, if_so = key
    days = [plan.bench.cast_at.date() for plan in plans if plan.bench.cast_at is not None]
    rows = {
        row
        for plan in plans
        for row, finding in zip(plan.rows, plan.findings, strict=True)
        if (finding.defect is None if if_so else finding.defect is not None)
    }
    return recurrence(book, pattern, defect, read, max(days, default=today), rows, if_so=if_so)


def looks_like(item: Understood, rules: RuleBase, shop_words: Mapping[str, str]) -> LooksLike:
    from defectlog.diagnosis.identify import identify
    from defectlog.jobs.words import ready_words

    ready_words(rules)
    words = f"{item.told.seen}, {item.told.place}" if item.told.place else item.told.seen
    found = identify(words, rules, learned=shop_words)
    return LooksLike(item.told.seen, found, item.told.moulds, item.told.impressions)
