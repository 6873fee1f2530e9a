"""The month reviewed: its ledger from the book, defects read into ids, the pure review over both."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from defectlog.book.learned import learned, settings
from defectlog.book.ledgers import month_ledger
from defectlog.book.open import Book
from defectlog.book.records import first_and_last_day, resolve
from defectlog.errors import BadInput, Problem
from defectlog.foundry.money import Rates
from defectlog.jobs.why import defect_reader
from defectlog.records.kinds import Pattern
from defectlog.records.ledgers import MonthLedger
from defectlog.review.cost import ShopRates
from defectlog.review.found import By
from defectlog.review.month import MonthReview, review_month
from defectlog.review.pareto import Order
from defectlog.rulebase.shapes import RuleBase

RATE_SETTINGS = (
    "metal_per_kg", "remelt_per_kg", "energy_per_kg", "melting_labour_per_kg", "labour_per_hour", "melt_loss_pct",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Reviewed:
    """The review, the pattern it was narrowed to ("" for all), and what was taken for what."""

    review: MonthReview
    pattern: str
    rules: RuleBase
    said: tuple[str, ...]


def review_of(
    book: Book, rules: RuleBase, month: date, *, by: By = "cast", order: Order = "castings", pattern: str = ""
) -> Reviewed:
    """Review one month (its first day). Raises NotFound for a pattern that is not in the book."""
    resolved = resolve(book, Pattern, pattern) if pattern else None
    ledger = month_ledger(book, month, defect_of=defect_reader(rules, learned(book)))
    if resolved is not None:
        ledger = only(ledger, resolved.name)
    review = review_month(ledger, by=by, rates=rates_of(settings(book)), order=order)
    said = (resolved.said,) if resolved is not None and resolved.said else ()
    return Reviewed(review, resolved.name if resolved else "", rules, said)


def only(ledger: MonthLedger, pattern: str) -> MonthLedger:
    """The ledger of one pattern alone."""
    from dataclasses import replace

    return replace(
        ledger,
        months=tuple(row for row in ledger.months if row.pattern == pattern),
        metal=tuple(row for row in ledger.metal if row.pattern == pattern),
        charges=tuple(row for row in ledger.charges if row.pattern == pattern),
        out_of_balance=tuple(row for row in ledger.out_of_balance if row.pattern == pattern),
        remedies=tuple(row for row in ledger.remedies if row.remedy.pattern == pattern),
        changes=tuple(row for row in ledger.changes if row.pattern == pattern),
    )


def rates_of(found: Mapping[str, str]) -> ShopRates | None:
    """The shop's own rates, None while it has set none: no cost is printed then."""
    named = {name: float(found[name]) for name in RATE_SETTINGS if found.get(name)}
    if not named:
        return None
    return ShopRates(Rates(**named), currency=found.get("currency", ""))


def month_to_review(book: Book, today: date) -> date:
    """The month to look at when none is named: last month, or the last one cast where that is earlier.

    Raises BadInput when nothing was ever cast.
    """
    span = first_and_last_day(book)
    if span is None:
        raise BadInput(
            Problem(
                "nothing-cast",
                "review",
                "no mould is in the book yet",
                "",
                "type: defectlog mould add -h, or: defectlog import FOLDER",
            )
        )
    last_month = (today.replace(day=1) - timedelta(days=1)).replace(day=1)
    return min(last_month, span[1].replace(day=1))
