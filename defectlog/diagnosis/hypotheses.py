"""Every story that competes to explain where the bad castings fell, each with its log evidence.

Candidates of the rule base; "something at this level" for each level, a state with no reading; and "nothing stands
out", one constant rate near the shop's usual one. A tool that must always name a culprit is worse than none.
"""

from collections.abc import Iterator, Mapping, Sequence
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
        each = [log_evidence(likelihood, np.full(size, share), self.grid) for share in LATENT_SHARES]
        return float(log_sum(np.array(each)) - np.log(len(each)))

    def told(self, candidate: Candidate, shop_readings: Mapping[str, Sequence[float]]) -> Told:
        if candidate.cause.acts_at == "impression":
            value = impression_log_evidence(self.evidence, self.defect, self.bad, self.grid, self.rho)
            return Told(candidate, value, value, None)
        likelihood = self.likelihood(candidate.cause.acts_at)
        states = states_of(candidate, self.evidence, shop_readings)
        blanked = log_evidence(likelihood, states.blanked, self.grid)
        if states.chance is states.blanked:
            return Told(candidate, blanked, blanked, states)
        by_limit = list(self.by_limit(candidate, states, shop_readings))
        return Told(candidate, float(log_sum(np.array(by_limit)) - np.log(len(by_limit))), blanked, states)

    def by_limit(
        self, candidate: Candidate, states: States, shop_readings: Mapping[str, Sequence[float]]
    ) -> Iterator[float]:
        """log P(data | the cause) for each limit that may be this shop's, on or off and, where it may be, by degrees.

        Nobody knows which holds: a reading near the limit may be wrong, or the fault slight.
        """
        level = candidate.cause.acts_at
        if is_graded(candidate) and not np.isnan(states.values).all():
            if level not in self.graded_by_level:
                self.graded_by_level[level] = graded_likelihood(self.cells(level), self.grid, self.rho)
            for weights in weights_by_limit(candidate, states, shop_readings):
                yield graded_log_evidence(self.graded_by_level[level], weights, self.grid)
        for chance in chances_by_limit(candidate, states, shop_readings):
            yield log_evidence(self.likelihood(level), chance, self.grid)
