"""The shop's own rates, by which scrap is costed: kept in the book, and none of them has a value until it is given."""

import math
from collections.abc import Mapping, Sequence

from defectlog.book.acts import writing
from defectlog.book.learned import settings, settle
from defectlog.book.open import Book
from defectlog.errors import BadInput, Problem
from defectlog.foundry.money import Rates
from defectlog.records.cells import seen_text
from defectlog.records.kinds import FOUND
from defectlog.report.review_rates import RatesKept
from defectlog.review.cost import ShopRates

RATE_SETTINGS = (
    "metal_per_kg", "remelt_per_kg", "energy_per_kg", "melting_labour_per_kg", "labour_per_hour", "melt_loss_pct",
)  # fmt: skip
MINUTES, CURRENCY, SPENT = "moulding_minutes", "currency", "spent_at_"
SPENT_SETTINGS = tuple(f"{SPENT}{stage}" for stage in FOUND if stage != "shakeout")
NUMBERS = (*RATE_SETTINGS, MINUTES, *SPENT_SETTINGS)
NAMES = (*NUMBERS, CURRENCY)
LONGEST_CURRENCY = 8


def rates_of(found: Mapping[str, str]) -> ShopRates | None:
    """The shop's own rates, None while it has set none: no cost is printed then."""
    named = {name: float(found[name]) for name in RATE_SETTINGS if found.get(name)}
    spent = {name.removeprefix(SPENT): float(found[name]) for name in SPENT_SETTINGS if found.get(name)}
    minutes = float(found.get(MINUTES) or 0)
    if not (named or spent or minutes):
        return None
    return ShopRates(Rates(**named), found.get(CURRENCY, ""), minutes, spent)


def keep_rates(book: Book, typed: Sequence[str], *, command: str, who: str | None = None) -> RatesKept:
    """ "metal_per_kg=3.2", "currency=EUR"; nothing behind the sign takes a rate out.

    Raises BadInput with every fault.
    """
    wanted: dict[str, str | None] = {}
    problems: list[Problem] = []
    for text in typed:
        name, _, value = text.partition("=")
        name = name.strip().lower().replace("-", "_")
        problem = fault(name, value.strip(), text)
        if problem is None:
            wanted[name] = rate_text(name, value.strip()) or None
        else:
            problems.append(problem)
    if problems:
        raise BadInput(problems)
    with writing(book, command, who=who) as act:
        for name, kept in wanted.items():
            settle(act, name, kept)
    there = settings(book)
    return RatesKept(act.id if act.wrote else 0, {name: there[name] for name in NAMES if there.get(name)})


def fault(name: str, value: str, typed: str) -> Problem | None:
    if name not in NAMES:
        step = "such as: defectlog review --rate metal_per_kg=3.20 --rate currency=EUR"
        return Problem("rate-unknown", "--rate", f"{typed!r} names no rate", f"allowed: {', '.join(NAMES)}", step)
    if not value or name == CURRENCY:
        return None
    try:
        number = float(value.replace(",", "."))
    except ValueError:
        number = math.nan
    if not math.isfinite(number) or number < 0 or (name == "melt_loss_pct" and number > 100):
        allowed = "allowed: a number of nought or more, without a sign of currency"
        return Problem("rate-no-number", f"--rate {name}", f"{value!r} is not a rate", allowed)
    return None


def rate_text(name: str, value: str) -> str:
    """As the book keeps it: a plain number, or a short currency."""
    return (
        seen_text(value)[:LONGEST_CURRENCY] if name == CURRENCY or not value else f"{float(value.replace(',', '.')):g}"
    )
