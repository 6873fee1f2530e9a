"""The scrap rate of one pattern over a window, with its interval, from its moulds one by one."""

from collections.abc import Sequence
from dataclasses import dataclass

from defectlog.records.counts import MouldCount, count_mould, total
from defectlog.records.histories import PatternHistory, Seen
from defectlog.review.clusters import FEWEST, Sums, design_effect, intraclass
from defectlog.review.intervals import Interval, rate_interval


@dataclass(frozen=True, slots=True)
class PatternRate:
    """Counts of a window and the rate of castings scrapped; `interval` is None when nothing was cast."""

    moulds: int
    moulds_with_scrap: int
    castings: int
    scrapped: int
    reworked: int
    undecided: int
    interval: Interval | None

    @property
    def rate(self) -> float:
        return self.scrapped / self.castings if self.castings else 0.0


def rate_of(history: PatternHistory) -> PatternRate:
    """A mould with more bad castings than it has is taken as it stands: `check` reports it, nothing is mended here."""
    counts = count_moulds(history)
    sums = sums_of(counts)
    whole = total(counts)
    # With too few bad moulds of its own, castings of a mould are taken to fail together: the wider interval.
    rho = intraclass([sums]) if sums.with_bad >= FEWEST else None
    return PatternRate(
        moulds=len(counts),
        moulds_with_scrap=sums.with_bad,
        castings=whole.castings,
        scrapped=whole.scrapped,
        reworked=whole.reworked,
        undecided=whole.undecided,
        interval=rate_interval(whole.scrapped, whole.castings, design_effect(sums, 1.0 if rho is None else rho)),
    )


def count_moulds(history: PatternHistory) -> list[MouldCount]:
    by_mould: dict[str, list[Seen]] = {}
    for finding in history.findings:
        by_mould.setdefault(finding.mould, []).append(finding)
    return [count_mould(mould.castings or 0, by_mould.get(mould.mould, ())) for mould in history.moulds]


def sums_of(counts: Sequence[MouldCount]) -> Sums:
    """Moulds as clusters of castings."""
    return Sums(
        clusters=len(counts),
        units=sum(count.castings for count in counts),
        bad=sum(count.scrapped for count in counts),
        units_squared=sum(count.castings**2 for count in counts),
        bad_squared=sum(count.scrapped**2 for count in counts),
        bad_by_units=sum(count.scrapped * count.castings for count in counts),
        with_bad=sum(count.scrapped > 0 for count in counts),
    )
