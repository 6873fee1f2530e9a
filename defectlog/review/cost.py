"""What scrap costs at the shop's own rates, with the method in plain sight. No rates, no figure."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, fields

from defectlog.foundry.money import Rates, scrap_cost
from defectlog.records.ledgers import Charge

RATE_NAMES = {
    "metal_per_kg": "metal at {value:g} a kg",
    "remelt_per_kg": "taken off for remelt: {value:g} a kg",
    "energy_per_kg": "melting energy at {value:g} a kg poured",
    "melting_labour_per_kg": "melting labour at {value:g} a kg poured",
    "labour_per_hour": "moulding labour at {value:g} an hour",
    "melt_loss_pct": "melt loss of {value:g} % of what is poured",
}
NEED_CASTING_WEIGHT = ("metal_per_kg", "remelt_per_kg")
NEED_POURED_WEIGHT = ("energy_per_kg", "melting_labour_per_kg", "melt_loss_pct")


@dataclass(frozen=True, slots=True)
class ShopRates:
    """The shop's own figures, in its own `currency`.

    `moulding_minutes` of work in one casting (a mould's minutes over its castings); `spent_by_stage` is what has gone
    into a casting by the time it is found, on top: {"fettling": 0.8, "machining": 6.5}. A rate left at 0 is not
    counted.
    """

    rates: Rates
    currency: str = ""
    moulding_minutes: float = 0.0
    spent_by_stage: Mapping[str, float] = field(default_factory=dict)


def cost_each(charge: Charge, shop: ShopRates) -> float | None:
    """Cost of one casting of the charge; None when a weight is missing that a rate needs."""
    rates = shop.rates
    if charge.kg_each is None and any(getattr(rates, name) for name in NEED_CASTING_WEIGHT):
        return None
    if charge.poured_kg_each is None and any(getattr(rates, name) for name in NEED_POURED_WEIGHT):
        return None
    return scrap_cost(
        rates,
        casting_kg=charge.kg_each or 0.0,
        poured_kg_each=charge.poured_kg_each or 0.0,
        moulding_minutes_each=shop.moulding_minutes,
        other_each=shop.spent_by_stage.get(charge.found, 0.0),
    ).total


@dataclass(frozen=True, slots=True)
class Amount:
    """A sum over castings, in kg or money.

    `total` is None when it is known for none; `left_out` castings are not in it.
    """

    total: float | None
    left_out: int

    @property
    def whole(self) -> float | None:
        """The total only when nothing is left out: an unknown is not zero."""
        return self.total if self.left_out == 0 else None


NOTHING = Amount(0.0, 0)


def cost_of(charges: Iterable[Charge], shop: ShopRates | None) -> Amount:
    """Cost of all castings charged; with no rates nothing is known, not even that nothing cost nothing."""
    if shop is None:
        return Amount(None, sum(charge.castings for charge in charges))
    return amount((charge.castings, cost_each(charge, shop)) for charge in charges)


def weight_of(charges: Iterable[Charge]) -> Amount:
    """Weight in kg of all castings charged, without gates and feeders."""
    return amount((charge.castings, charge.kg_each) for charge in charges)


def amount(rows: Iterable[tuple[int, float | None]]) -> Amount:
    total, known, left_out = 0.0, False, 0
    for castings, each in rows:
        if each is None:
            left_out += castings
        else:
            total, known = total + castings * each, True
    return Amount(total if known or not left_out else None, left_out)


def method(shop: ShopRates | None) -> tuple[str, ...]:
    """How the cost was made up, line by line, and what was not counted because the shop has given no rate."""
    if shop is None:
        return ("The shop has given no rates, so scrap is not costed.",)
    given = {item.name: getattr(shop.rates, item.name) for item in fields(Rates)}
    counted = [RATE_NAMES[name].format(value=value) for name, value in given.items() if value]
    if shop.moulding_minutes and given["labour_per_hour"]:
        counted.append(f"{shop.moulding_minutes:g} minutes of moulding a casting")
    counted += [f"{value:g} a casting found at {stage}" for stage, value in shop.spent_by_stage.items() if value]
    missing = [
        name.replace("_per_kg", "").replace("_per_hour", "").replace("_pct", "") for name in given if not given[name]
    ]
    lines = [f"Counted, for each casting scrapped: {'; '.join(counted)}." if counted else "No rate is above nothing."]
    if missing:
        lines.append(f"Not counted, no rate given: {', '.join(name.replace('_', ' ') for name in missing)}.")
    return (*lines, "Lost sales, freight and the replacement run are not in it.")
