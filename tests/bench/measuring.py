"""How often a way of ranking puts the planted cause first, and how far its shares can be believed."""

import time
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from defectlog.diagnosis.arrays import Floats
from defectlog.rulebase.shapes import Cause, RuleBase
from defectlog.rulebase.weights import weight
from tests.bench.conditions import Condition
from tests.bench.rankings import Case, Method, Said, case_of
from tests.bench.shops import causes_of, limit_of, simulate

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


def pairs_for(rules: RuleBase, condition: Condition) -> list[Pair]:
    """What may be planted: pairs of defects that have causes enough, and a second cause where two are wanted."""
    read, unread = pairs_with_a_trace(rules), pairs_without_a_trace(rules)
    pairs = {"read": read, "unread": unread, "any": read + unread}[condition.plants]
    return [
        (defect, cause)
        for defect, cause in pairs
        if len(causes_of(rules, defect)) >= condition.candidates
        and (condition.planted < 2 or seconds(rules, pairs, defect, cause))
    ]


def seconds(rules: RuleBase, pairs: Sequence[Pair], defect: str, first: str) -> list[str]:
    """Causes of the defect that go by another reading than the first does."""

    def quantity(cause: str) -> str:
        reading = rules.causes[cause].reading
        return reading.quantity if reading else cause

    return [other for of, other in pairs if of == defect and quantity(other) != quantity(first)]


def cases(rules: RuleBase, condition: Condition, shops: int, first_seed: int) -> Iterator[Case]:
    """`shops` simulated shops, each with causes of one defect planted; the same seeds give the same shops."""
    draw, pairs = np.random.default_rng(first_seed), pairs_for(rules, condition)
    chances = chances_of(rules, condition, pairs)
    for number in range(shops):
        defect, cause = pairs[int(draw.choice(len(pairs), p=chances))]
        planted = [cause]
        if condition.planted > 1:
            others = [(defect, other) for other in seconds(rules, pairs, defect, cause)]
            planted.append(others[int(draw.choice(len(others), p=chances_of(rules, condition, others)))][1])
        known = narrowed(rules, defect, planted, condition.candidates, draw) if condition.candidates else rules
        yield case_of(simulate(known, defect, planted, condition, first_seed + number), known)


def chances_of(rules: RuleBase, condition: Condition, pairs: Sequence[Pair]) -> Floats:
    """(pairs,) how often each is planted: every defect as often as the next, its causes as the condition says."""
    if not condition.as_named:
        return np.full(len(pairs), 1 / len(pairs))
    weights, of_defect = np.array([named(rules, *pair) for pair in pairs]), Counter[str]()
    for (defect, _), each in zip(pairs, weights, strict=True):
        of_defect[defect] += each
    return np.asarray(weights / np.array([of_defect[defect] for defect, _ in pairs]) / len(of_defect))


def named(rules: RuleBase, defect: str, cause: str) -> float:
    """The handbooks' weight for a cause of a defect."""
    return sum(weight(pair, rules.sources) for pair in rules.causes[cause].explains if pair.defect == defect)


def narrowed(rules: RuleBase, defect: str, planted: Sequence[str], size: int, draw: np.random.Generator) -> RuleBase:
    """The rules with `size` causes of the defect: the planted ones and some of the others, by lot."""
    others = [cause.id for cause in causes_of(rules, defect) if cause.id not in planted]
    kept = {*planted, *draw.choice(others, size - len(planted), replace=False).tolist()}
    return replace(rules, causes={item: cause for item, cause in rules.causes.items() if item in kept})


@dataclass
class Tally:
    """What one way of ranking did in many shops."""

    places: list[int] = field(default_factory=list)
    both_first: list[bool] = field(default_factory=list)
    log_losses: list[float] = field(default_factory=list)
    stood_out: list[float] = field(default_factory=list)
    first_shares: list[tuple[float, bool]] = field(default_factory=list)
    level_first: list[bool] = field(default_factory=list)
    missed: Counter[Pair] = field(default_factory=Counter)
    seconds: float = 0.0

    def add(self, case: Case, said: Said) -> None:
        planted = case.shop.planted
        order = list(said.order)
        if planted:
            place = min((order.index(cause) + 1 for cause in planted if cause in order), default=len(order) + 1)
            self.places.append(place)
            self.both_first.append(set(order[: len(planted)]) == set(planted))
            if place > 1:
                self.missed[case.shop.defect, planted[0]] += 1
        if said.stands_out is not None:
            self.stood_out.append(said.stands_out)
        if said.level and planted:
            self.level_first.append(said.level == case.rules.causes[planted[0]].acts_at)
        if said.shares is not None:
            self.add_shares(planted, said.order[0], said.shares)

    def add_shares(self, planted: Sequence[str], first: str, shares: Mapping[str, float]) -> None:
        """The log loss is that of the planted causes together, given that something stands out."""
        self.first_shares.append((shares[first], first in planted))
        if planted:
            theirs = sum(shares.get(cause, 0.0) for cause in planted)
            self.log_losses.append(-float(np.log(max(theirs / self.last_stood_out(), LEAST_SHARE))))

    def last_stood_out(self) -> float:
        return max(self.stood_out[-1], 1e-12) if self.stood_out else 1.0

    @property
    def shops(self) -> int:
        return max(len(self.places), len(self.first_shares), 1)

    def within(self, place: int) -> float:
        """Share of shops in which a planted cause stood at `place` or before."""
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

    @property
    def mean_ms(self) -> float:
        return 1000 * self.seconds / self.shops


def measured(shops: Iterator[Case], methods: Mapping[str, Method]) -> dict[str, Tally]:
    """Every way of ranking over the same shops, by its name, each timed on its own."""
    tallies = {name: Tally() for name in methods}
    for case in shops:
        for name, method in methods.items():
            start = time.perf_counter()
            said = method(case)
            tallies[name].seconds += time.perf_counter() - start
            tallies[name].add(case, said)
    return tallies
