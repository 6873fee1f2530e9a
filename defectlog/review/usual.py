"""A pattern's own past: the only thing it is held against. There is no norm for a shop like this one.

The past is frozen. It is the first BASELINE_MONTHS months with moulds since the pattern's last marked change, at most
LOOK_BACK_MONTHS back; months after them are judged against it and never move it. A past that kept rolling forward would
swallow a slow decline month by month. A change is marked only by a remedy that the shop has judged to have worked.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from defectlog.dates import month_after
from defectlog.records.ledgers import MarkedChange, PatternMonth
from defectlog.review.charts import laney_sigma, p_chart
from defectlog.review.clusters import intraclass, month_effect, month_sums, pattern_rho, shop_rho

BASELINE_MONTHS = 12
LOOK_BACK_MONTHS = 36
# Fewer months say nothing steady about how far months lie apart by themselves. Judgement.
FEWEST_MONTHS = 8
# The most that bad days and bad months are taken to explain away. Judgement.
MOST_MONTH_RHO = 0.2


@dataclass(frozen=True, slots=True)
class Past:
    """One pattern's frozen past: `baseline` counts, and the months `since` it, before the month under review."""

    baseline: tuple[PatternMonth, ...]
    since: tuple[PatternMonth, ...]
    changed: MarkedChange | None = None

    @property
    def castings(self) -> int:
        return sum(month.castings for month in self.baseline)

    @property
    def scrapped(self) -> int:
        return sum(month.scrapped for month in self.baseline)

    @property
    def moulds(self) -> int:
        return sum(month.moulds for month in self.baseline)

    @property
    def moulds_with_scrap(self) -> int:
        return sum(month.moulds_with_scrap for month in self.baseline)

    @property
    def rate(self) -> float | None:
        """Scrapped over cast; None when nothing was cast."""
        return min(self.scrapped / self.castings, 1.0) if self.castings else None


@dataclass(frozen=True, slots=True)
class ShopSpread:
    """What all patterns together say of scrap that comes in clumps.

    `mould_rho`: castings of a mould (clusters.py). `month_rho`: moulds of a month, for reasons nobody changed.
    `month_sigma`: Laney's σz of monthly scrap rates beyond what moulds explain, 1 at least.
    """

    mould_rho: float
    month_rho: float
    month_sigma: float


def month_before(month: date, back: int) -> date:
    """The first day of the month `back` months earlier."""
    number = month.year * 12 + month.month - 1 - back
    return date(number // 12, number % 12 + 1, 1)


def by_pattern(months: Iterable[PatternMonth]) -> dict[str, list[PatternMonth]]:
    """In order of the month."""
    found: dict[str, list[PatternMonth]] = {}
    for row in sorted(months, key=lambda row: (row.pattern, row.month)):
        found.setdefault(row.pattern, []).append(row)
    return found


def past_of(months: Sequence[PatternMonth], month: date, changes: Iterable[MarkedChange] = ()) -> Past:
    """The past of one pattern as it stands for a review of `month`.

    A change in the middle of a month starts the new past with the month after: the month itself holds both.
    """
    marked = max((change for change in changes if change.started < month), key=lambda c: c.started, default=None)
    first = month_before(month, LOOK_BACK_MONTHS)
    if marked:
        started = marked.started
        first = max(first, started if started.day == 1 else month_after(started.replace(day=1)))
    before = [row for row in months if first <= row.month < month and row.moulds]
    return Past(tuple(before[:BASELINE_MONTHS]), tuple(before[BASELINE_MONTHS:]), marked)


def spread_of_shop(pasts: Mapping[str, Past]) -> ShopSpread:
    """From every pattern's frozen past. While there is too little, moulds count once and months are taken as alike."""
    baselines = {pattern: past.baseline for pattern, past in pasts.items() if past.baseline}
    mould_rho = shop_rho(baselines)
    long_enough = [months for months in baselines.values() if len(months) > 1]
    month_rho = intraclass(month_sums(months) for months in long_enough)
    sigmas = [(len(months), own_sigma(months, mould_rho)) for months in long_enough]
    told = [(count - 1, sigma) for count, sigma in sigmas if sigma is not None]
    total = sum(count for count, _ in told)
    sigma = sum(count * value for count, value in told) / total if total >= FEWEST_MONTHS else 1.0
    return ShopSpread(mould_rho, min(month_rho or 0.0, MOST_MONTH_RHO), max(sigma, 1.0))


def own_sigma(months: Sequence[PatternMonth], mould_rho: float) -> float | None:
    """σz of one pattern's months about their common rate, each month's castings counted at what its moulds are worth.

    None when it cannot be told: fewer than two months, or none or all scrapped.
    """
    worth = [row.castings / month_effect(row, mould_rho) for row in months]
    rates = [min(row.scrapped / row.castings, 1.0) if row.castings else 0.0 for row in months]
    bad = [rate * number for rate, number in zip(rates, worth, strict=True)]
    if len(months) < 2 or not 0 < sum(bad) < sum(worth) or min(worth) <= 0:
        return None
    return laney_sigma(p_chart(bad, worth).scores)


def sigma_of(past: Past, rho: float, shop: ShopSpread) -> float:
    """How much wider a pattern's months lie than its moulds explain: the shop's word, or its own where that is more.

    A dozen months tell it badly: taken alone, they made 53 false alarms in 1000 months, and not 40, where days differ
    wildly (invented shops, p chart).
    """
    own = own_sigma(past.baseline, rho) if len(past.baseline) >= FEWEST_MONTHS else None
    return max(1.0, shop.month_sigma, own or 0.0)


def rho_of(past: Past, shop: ShopSpread) -> float:
    return pattern_rho(past.baseline, shop.mould_rho)
