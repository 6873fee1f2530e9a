"""Every story that competes to explain where the bad castings fell, each with its log evidence.

Candidates of the rule base; "something at this level" for each level, a state with no reading; and "nothing stands
out", one constant rate near the shop's usual one. A tool that must always name a culprit is worse than none.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from defectlog.diagnosis.arrays import Floats, Ints
from defectlog.diagnosis.candidates import Candidate
from defectlog.diagnosis.evidence import Evidence
from defectlog.diagnosis.graded import (
    GradedLikelihood,
    graded_likelihood,
    graded_log_evidence,
    is_graded,
    weights_by_limit,
)
from defectlog.diagnosis.impressions import impression_log_evidence
from defectlog.diagnosis.likelihood import (
    Cells,
    UnitLikelihood,
    log_constant,
    log_evidence,
    make_cells,
    unit_likelihood,
    unit_log_likelihood,
)
from defectlog.diagnosis.rates import RateGrid, log_sum
from defectlog.diagnosis.states import States, chances_by_limit, states_of

LEVELS = ("sand", "heat", "mould", "moulder", "pattern")
# "Something at this level" is on in few units or in many; nobody knows which.
LATENT_SHARES = (0.05, 0.15, 0.4)
# How likely it is that things go wrong by degrees past a limit, and not all at once. Judgement; on simulated shops with
# a month of records (tests/bench/bench_why.py, 400 each of four conditions) one half found the cause in one less of a
# hundred than this. With 0.95 it was found in as many, but then a bad mould well inside the limit, which another cause
# spoiled, speaks too loudly against a cause that stands beside another.
BY_DEGREES = 0.8


@dataclass(frozen=True, slots=True)
class Told:
    """A candidate's log evidence with its readings and with every reading blanked, and its states (if it has units)."""

    candidate: Candidate
    log_evidence: float
    log_blanked: float
    states: States | None


@dataclass(frozen=True)
class Field:
    """One defect of one pattern, ready to be asked what explains it.

    `bad` (moulds,) castings, in parts where only the look is known; `rho` overdispersion.
    """

    evidence: Evidence
    defect: str
    bad: Floats
    grid: RateGrid
    rho: float

    @cached_property
    def counted(self) -> Ints:
        """(moulds,) castings whose defect is settled."""
        return self.evidence.settled(self.defect)

    @cached_property
    def by_level(self) -> dict[str, UnitLikelihood]:
        return {}

    @cached_property
    def graded_by_level(self) -> dict[str, GradedLikelihood]:
        return {}

    def cells(self, level: str) -> Cells:
        return make_cells(self.evidence.units[level].codes, self.evidence.days, self.bad, self.evidence.castings)

    def likelihood(self, level: str) -> UnitLikelihood:
        if level not in self.by_level:
            self.by_level[level] = unit_likelihood(self.cells(level), self.grid, self.rho)
        return self.by_level[level]

    def nothing(self) -> float:
        """log P(data | one constant rate near the shop's usual)."""
        everything = np.zeros(len(self.bad), dtype=np.int64)
        cells = make_cells(everything, self.evidence.days, self.bad, self.evidence.castings)
        return log_constant(unit_log_likelihood(cells, self.grid.off, self.rho), self.grid.log_off)

    def latent(self, level: str) -> float:
        """log P(data | something at this level, whose nature nobody recorded)."""
        likelihood = self.likelihood(level)
        size = likelihood.off.shape[1]
        shares = [np.full(size, share) for share in LATENT_SHARES]
        return log_mean(log_evidence(likelihood, share, share, self.grid) for share in shares)

    def told(self, candidate: Candidate, shop_readings: Mapping[str, Sequence[float]]) -> Told:
        if candidate.cause.acts_at == "impression":
            value = impression_log_evidence(self.evidence, self.defect, self.bad, self.grid, self.rho)
            return Told(candidate, value, value, None)
        likelihood = self.likelihood(candidate.cause.acts_at)
        states = states_of(candidate, self.evidence, shop_readings)
        blanked = log_evidence(likelihood, states.blanked, states.blanked, self.grid)
        if states.chance is states.blanked:
            return Told(candidate, blanked, blanked, states)
        return Told(candidate, self.by_readings(candidate, states), blanked, states)

    def by_readings(self, candidate: Candidate, states: States) -> float:
        """log evidence over the limits that may be this shop's, on or off and, where it may be, by degrees.

        Nobody knows which holds: a reading near the limit may be wrong, or the fault slight.
        """
        level = candidate.cause.acts_at
        on_or_off = log_mean(
            log_evidence(self.likelihood(level), chance, states.blanked, self.grid)
            for chance in chances_by_limit(candidate, states)
        )
        if not is_graded(candidate) or np.isnan(states.values).all():
            return on_or_off
        if level not in self.graded_by_level:
            self.graded_by_level[level] = graded_likelihood(self.cells(level), self.grid, self.rho)
        by_degrees = log_mean(
            graded_log_evidence(self.graded_by_level[level], weights, states.blanked, self.grid)
            for weights in weights_by_limit(candidate, states)
        )
        return float(np.logaddexp(np.log(BY_DEGREES) + by_degrees, np.log1p(-BY_DEGREES) + on_or_off))


def log_mean(logs: Iterable[float]) -> float:
    """log of the mean of what is given by its logs."""
    values = np.array(list(logs))
    return float(log_sum(values) - np.log(len(values)))
