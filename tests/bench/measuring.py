"""How often a ranking puts the planted cause first, and how far its shares can be believed."""

from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from defectlog.diagnosis.ranking import Ranking
from defectlog.rulebase.shapes import Cause, RuleBase
from tests.bench.rankings import Case, case_of
from tests.bench.shops import Condition, causes_of, limit_of, simulate

DEFECTS = (
    "gas-holes", "misrun", "dross", "sand-inclusion", "shrinkage-cavity", "rough-surface", "sticker", "pinholes",
)  # fmt: skip
# Section 6 of the design takes the log of no share below this.
LEAST_SHARE = 0.02
BANDS = (0.0, 0.2, 0.5, 0.8, 0.95)
Pair = tuple[str, str]


def pairs_with_a_trace(rules: RuleBase) -> list[Pair]:
    """(defect, cause) where a reading shows the cause and no other cause of that defect goes by the same reading."""
    return [(defect, cause.id) for defect, cause in all_pairs(rules) if has_own_trace(rules, defect, cause)]


def pairs_without_a_trace(rules: RuleBase) -> list[Pair]:
    """(defect, cause) where no reading shows the cause."""
    return [(defect, cause.id) for defect, cause in all_pairs(rules) if cause.reading is None]


def all_pairs(rules: RuleBase) -> Iterator[tuple[str, Cause]]:
    for defect in DEFECTS:
        for cause in causes_of(rules, defect):
            yield defect, cause


def has_own_trace(rules: RuleBase, defect: str, cause: Cause) -> bool:
    alike = [other for other in causes_of(rules, defect) if other.reading == cause.reading]
    return limit_of(rules, cause) is not None and alike == [cause]


def cases(rules: RuleBase, pairs: Sequence[Pair], condition: Condition, shops: int, first_seed: int) -> Iterator[Case]:
    """`shops` simulated shops, each with one of the pairs planted; the same seeds give the same shops."""
    draw = np.random.default_rng(first_seed)
    for number in range(shops):
        defect, cause = pairs[int(draw.integers(len(pairs)))]
        yield case_of(simulate(rules, defect, cause, condition, first_seed + number), rules)


@dataclass
class Tally:
    """What one ranking did in many shops."""

    places: list[int] = field(default_factory=list)
    log_losses: list[float] = field(default_factory=list)
    stood_out: list[float] = field(default_factory=list)
    first_shares: list[tuple[float, bool]] = field(default_factory=list)
    level_first: list[bool] = field(default_factory=list)
    missed: Counter[Pair] = field(default_factory=Counter)

    def add_order(self, case: Case, order: Sequence[str]) -> None:
        planted = case.shop.planted
        place = order.index(planted) + 1 if planted else len(order) + 1
        self.places.append(place)
        if place > 1 and planted:
            self.missed[case.shop.defect, planted] += 1

    def add_ranking(self, case: Case, ranking: Ranking) -> None:
        order = [ranked.candidate.id for ranked in ranking.causes]
        self.add_order(case, order)
        self.stood_out.append(ranking.stands_out)
        self.first_shares.append((ranking.causes[0].share, order[0] == case.shop.planted))
        if case.shop.planted:
            share = ranking.causes[order.index(case.shop.planted)].share / max(ranking.stands_out, 1e-12)
            self.log_losses.append(-float(np.log(max(share, LEAST_SHARE))))
            self.level_first.append(likeliest_level(ranking) == case.rules.causes[case.shop.planted].acts_at)

    def within(self, place: int) -> float:
        """Share of shops in which the planted cause stood at `place` or before."""
        return float(np.mean(np.array(self.places) <= place))

    def stands_out(self) -> float:
        """Share of shops in which something was said to stand out."""
        return float(np.mean(np.array(self.stood_out) > 0.5))

    def named(self, share: float = 0.8) -> float:
        """Share of shops in which a cause was named with more than `share`."""
        return float(np.mean([first > share for first, _ in self.first_shares]))

    def bands(self) -> dict[float, tuple[int, int]]:
        """Lower end of each band of the first cause's share → (shops, of them right)."""
        counts = dict.fromkeys(BANDS, (0, 0))
        for share, right in self.first_shares:
            low = max(band for band in BANDS if share >= band)
            counts[low] = (counts[low][0] + 1, counts[low][1] + right)
        return counts


def likeliest_level(ranking: Ranking) -> str:
    """The level (sand, heat, mould …) whose causes, known and unknown, hold the largest share together."""
    shares = dict(ranking.latent)
    for ranked in ranking.causes:
        level = ranked.candidate.cause.acts_at
        shares[level] = shares.get(level, 0.0) + ranked.share
    return max(shares, key=lambda level: shares[level])


def measured(
    shops: Iterator[Case],
    orders: Mapping[str, Callable[[Case], Sequence[str]]],
    rankings: Mapping[str, Callable[[Case], Ranking]],
) -> dict[str, Tally]:
    """Every ranking over the same shops, by its name."""
    tallies = {name: Tally() for name in (*orders, *rankings)}
    for case in shops:
        for name, order in orders.items():
            tallies[name].add_order(case, order(case))
        for name, ranking in rankings.items():
            tallies[name].add_ranking(case, ranking(case))
    return tallies
