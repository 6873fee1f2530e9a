"""Expected scrap for the job mix: how many castings would be scrap, had every pattern run as it always does.

"Tough jobs this month" is an excuse or the truth; this tells which: 200 castings at 2 %, 60 at 12 % and 15 at 40 %
expect 17.
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass

TWO_SIDED_95 = 1.96


@dataclass(frozen=True, slots=True)
class Job:
    """One pattern's month, its usual `rate` (None without a past), and the variance of a month's rate about it."""

    pattern: str
    castings: int
    scrapped: int
    rate: float | None
    variance: float | None = None

    @property
    def expected(self) -> float | None:
        """Castings."""
        return None if self.rate is None else self.rate * self.castings


@dataclass(frozen=True, slots=True)
class JobMix:
    """`expected` castings scrapped against those that were.

    `low` to `high` holds 19 months of 20 when nothing has changed. All of the patterns with a past; those
    `without_past` are left out of every figure here.
    """

    expected: float | None
    low: float | None
    high: float | None
    castings: int
    scrapped: int
    without_past: tuple[str, ...]


def job_mix(jobs: Iterable[Job]) -> JobMix:
    rows = list(jobs)
    known = [job for job in rows if job.rate is not None]
    without = tuple(job.pattern for job in rows if job.rate is None)
    castings, scrapped = sum(job.castings for job in known), sum(job.scrapped for job in known)
    if not known:
        return JobMix(None, None, None, 0, 0, without)
    expected = math.fsum((job.rate or 0.0) * job.castings for job in known)
    if any(job.variance is None for job in known):
        return JobMix(expected, None, None, castings, scrapped, without)
    half = TWO_SIDED_95 * math.sqrt(math.fsum((job.variance or 0.0) * job.castings**2 for job in known))
    return JobMix(expected, max(0.0, expected - half), expected + half, castings, scrapped, without)
