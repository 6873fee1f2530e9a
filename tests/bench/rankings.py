"""Ways of ranking the causes of a simulated shop: three simple ones that people use, and ours.

What every way says is a `Said`: an order of the causes, and with it shares, where it gives any.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

import numpy as np
from scipy.stats import hypergeom

from defectlog.diagnosis.arrays import Flags, Floats
from defectlog.diagnosis.candidates import Candidate, candidates_for
from defectlog.diagnosis.evidence import Evidence, gather_evidence
from defectlog.diagnosis.hypotheses import Field
from defectlog.diagnosis.overdispersion import estimate_rho
from defectlog.diagnosis.ranking import Ranking
from defectlog.diagnosis.rates import RateGrid, grid_from_others
from defectlog.diagnosis.together import second_cause
from defectlog.diagnosis.why import Asked, ranked_causes
from defectlog.rulebase.shapes import RuleBase
from tests.bench.shops import Shop

TODAY = date(2026, 12, 31)


@dataclass(frozen=True)
class Case:
    """A shop with its evidence and candidates, gathered once for every ranking."""

    shop: Shop
    rules: RuleBase
    evidence: Evidence
    candidates: tuple[Candidate, ...]

    @property
    def bad(self) -> Floats:
        return self.evidence.bad(self.shop.defect)


def case_of(shop: Shop, rules: RuleBase) -> Case:
    evidence = gather_evidence(shop.history, shop.computed)
    found = candidates_for(rules, shop.defect, shop.history.revisions, {}, evidence.impressions)
    return Case(shop, rules, evidence, found)


@dataclass(frozen=True)
class Said:
    """Causes, likeliest first; the share of each, none where the way gives none; whether anything stands out, and at
    which level (sand, heat, mould …), None and "" where the way does not say."""

    order: tuple[str, ...]
    shares: Mapping[str, float] | None = None
    stands_out: float | None = None
    level: str = ""


Method = Callable[[Case], Said]


def said_order(order: Callable[[Case], Sequence[str]]) -> Method:
    return lambda case: Said(tuple(order(case)))


def said_shares(shares: Callable[[Case], Mapping[str, float]]) -> Method:
    def said(case: Case) -> Said:
        found = shares(case)
        return Said(tuple(sorted(found, key=lambda cause: -found[cause])), found)

    return said


def said_ranking(ranking: Callable[[Case], Ranking]) -> Method:
    def said(case: Case) -> Said:
        found = ranking(case)
        shares = {ranked.candidate.id: ranked.share for ranked in found.causes}
        return Said(tuple(shares), shares, found.stands_out, likeliest_level(found))

    return said


def likeliest_level(ranking: Ranking) -> str:
    """The level whose causes, known and unknown, hold the largest share together."""
    shares = dict(ranking.latent)
    for ranked in ranking.causes:
        level = ranked.candidate.cause.acts_at
        shares[level] = shares.get(level, 0.0) + ranked.share
    return max(shares, key=lambda level: shares[level])


def by_handbook(case: Case) -> list[str]:
    """The cause that most sources name comes first."""
    return [candidate.id for candidate in case.candidates]


def by_share_out(case: Case) -> list[str]:
    """The share of bad moulds whose reading is out of limits, among those with the reading on record."""

    def share(candidate: Candidate) -> float:
        known, out = readings_out(case, candidate)
        bad = known & (case.bad > 0)
        return float((out & bad).sum() / max(bad.sum(), 1))

    return in_order(case, share)


def by_exact_test(case: Case) -> list[str]:
    """Fisher's exact test of bad castings against readings out of limits, casting by casting, one-sided."""

    def surprise(candidate: Candidate) -> float:
        known, out = readings_out(case, candidate)
        bad, castings = case.bad, case.evidence.castings
        whole, of_out = int(castings[known].sum()), int(castings[known & out].sum())
        if not whole:
            return 0.0
        return -float(hypergeom.logsf(int(bad[known & out].sum()) - 1, whole, int(bad[known].sum()), of_out))

    return in_order(case, surprise)


def in_order(case: Case, measure: Callable[[Candidate], float]) -> list[str]:
    """Highest first; where two are equal the handbook decides."""
    return [candidate.id for candidate in sorted(case.candidates, key=lambda candidate: -measure(candidate))]


def readings_out(case: Case, candidate: Candidate) -> tuple[Flags, Flags]:
    """(moulds,) is the cause's reading on record, and is it past the limit."""
    reading, limit = candidate.cause.reading, candidate.limit
    if reading is None or limit is None or reading.quantity not in case.evidence.readings:
        nowhere = np.zeros(len(case.bad), dtype=np.bool_)
        return nowhere, nowhere
    values = case.evidence.readings[reading.quantity]
    return ~np.isnan(values), values > limit.value if limit.side == "above" else values < limit.value


def ours(case: Case, rho: float | None = None, grid: RateGrid | None = None) -> Ranking:
    """The reasoning as `why` runs it, with no looks and no verdicts. `rho` and `grid` take the place of its own."""
    return ranked(case, field_of(case, rho, grid))


def field_of(case: Case, rho: float | None = None, grid: RateGrid | None = None) -> Field:
    usual, defect, bad = case.shop.usual, case.shop.defect, case.bad
    if grid is None:
        others = int(case.evidence.castings.sum())
        grid = grid_from_others(usual.bad[defect] - int(bad.sum()), usual.castings - others)
    if rho is None:
        rho = estimate_rho(usual.days[defect], leave_out=case.shop.history.pattern)
    return Field(case.evidence, defect, bad, grid, rho)


def ranked(case: Case, field: Field) -> Ranking:
    return ranked_causes(field, case.shop.history, case.shop.usual, case.rules, Asked(today=TODAY), (), ())


def with_its_second(case: Case) -> Said:
    """Ours, and in second place the second cause that `why` names beside the first, where it names one."""
    field = field_of(case)
    first = ranked(case, field)
    said = said_ranking(lambda _: first)(case)
    beside = second_cause(field, first, lambda rest: ranked(case, rest))
    if beside is None:
        return said
    second = beside.second.candidate.id
    rest = tuple(cause for cause in said.order[1:] if cause != second)
    return replace(said, order=(said.order[0], second, *rest))


def true_rates(shop: Shop) -> RateGrid:
    """A grid of one point: the rates that the simulation used for this pattern."""
    certain = np.zeros(1)
    return RateGrid(np.array([shop.base_rate]), np.array([shop.on_rate]), certain, certain, np.zeros((1, 1)))
