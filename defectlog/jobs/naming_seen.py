"""Naming afterwards what was only described at shakeout: `shakeout M-231 --is gas-holes`."""

from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import date

from defectlog.book.acts import writing
from defectlog.book.journal import undone_by
from defectlog.book.learned import learned
from defectlog.book.open import Book
from defectlog.book.rows import Stored
from defectlog.errors import BadInput, Problem
from defectlog.jobs.bench import Bench, findings_on, lay_out, meant
from defectlog.jobs.naming import defect_reader, name_defect
from defectlog.jobs.recurrence import recurrence
from defectlog.records.kinds import Finding
from defectlog.report.shakeout_answers import Recurrence, Shaken, ShakenOut
from defectlog.rulebase.shapes import RuleBase


def name_seen(
    book: Book,
    rules: RuleBase,
    moulds: str,
    words: str,
    impressions: Sequence[int] = (),
    *,
    command: str,
    today: date,
    who: str | None = None,
    token: str | None = None,
    dry_run: bool = False,
) -> ShakenOut:
    """Every finding of these moulds (at these impressions, if any are named) that has no defect gets the one named.

    Raises BadInput: a mould or defect that cannot be settled, or nothing there without a name.
    """
    with writing(book, command, who=who, token=token, dry_run=dry_run) as act:
        if act.again:
            return ShakenOut(act.id, again=True, undone_by=undone_by(book, act.id))
        laid = meant(book, moulds)
        shop_words = learned(book)
        defect = name_defect(words, rules, shop_words, where="--is", advice=lambda item: f"type: --is {item}")
        there = findings_on(book, laid.names)
        unnamed = [stored for stored in there if stored.record.defect is None and at_one_of(stored, impressions)]
        if not unnamed:
            raise BadInput(nothing_unnamed(moulds, there))
        for stored in unnamed:
            act.amend(Finding, stored.row, {"defect": defect.name})
        benches = lay_out(book, list(dict.fromkeys(stored.record.mould for stored in unnamed)))
        read = defect_reader(rules, shop_words)
        rows = {stored.row for stored in unnamed}
        patterns = dict.fromkeys(bench.mould.pattern for bench in benches.values())
        again: list[Recurrence | None] = [
            recurrence(book, pattern, read(defect.name), read, latest(benches.values(), pattern, today), rows)
            for pattern in patterns
        ]
    return ShakenOut(
        act=act.id,
        wrote=act.wrote,
        dry_run=dry_run,
        moulds=tuple(shaken(bench, unnamed, defect.name) for bench in benches.values()),
        missing=laid.missing,
        said=tuple(text for text in (*laid.said, defect.said) if text),
        recurrences=tuple(item for item in again if item is not None),
        named=True,
    )


def at_one_of(stored: Stored[Finding], impressions: Sequence[int]) -> bool:
    return not impressions or stored.record.impression in impressions


def latest(benches: Iterable[Bench], pattern: str, today: date) -> date:
    days = (bench.cast_at.date() for bench in benches if bench.cast_at is not None and bench.mould.pattern == pattern)
    return max(days, default=today)


def nothing_unnamed(moulds: str, there: Sequence[Stored[Finding]]) -> Problem:
    named = [f"{item.record.mould}: {item.record.defect}" for item in there if item.record.defect]
    found = f"no finding on {moulds} is without a defect's name"
    on_record = f"on record: {', '.join(named[:6])}" if named else "nothing bad is on record there"
    return Problem("nothing-unnamed", "--is", found, on_record, f"look at: defectlog history {moulds.split()[0]}")


def shaken(bench: Bench, unnamed: Sequence[Stored[Finding]], defect: str) -> Shaken:
    findings = tuple(replace(item.record, defect=defect) for item in unnamed if item.record.mould == bench.name)
    undated = bench.cast_at is None
    return Shaken(
        bench.name, bench.mould.pattern, bench.revision, bench.castings, not bench.bad, False, undated, findings
    )
