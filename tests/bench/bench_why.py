"""python -m tests.bench.bench_why --shops 200: how often each ranking finds the planted cause, as a table.

Progress goes to the error stream, the table to the output. Nothing is asserted here.
"""

import argparse
import sys
import time
from collections.abc import Callable, Iterator, Sequence

import numpy as np

from defectlog.diagnosis.ranking import Ranking
from defectlog.rulebase.load import load_rules
from defectlog.rulebase.shapes import RuleBase
from tests.bench import shops
from tests.bench.measuring import Pair, Tally, cases, measured, pairs_with_a_trace, pairs_without_a_trace
from tests.bench.rankings import Case, by_exact_test, by_handbook, by_share_out, ours, true_rates

CONDITIONS = (
    shops.PLAIN,
    shops.HARD,
    shops.HARD_TWO_MONTHS,
    shops.HARD_ONE_MONTH,
    shops.NOTHING_FIVE_MONTHS,
    shops.NOTHING_ONE_MONTH,
)
ORDERS: dict[str, Callable[[Case], Sequence[str]]] = {
    "handbook weights alone": by_handbook,
    "share of bad moulds out of limits": by_share_out,
    "2×2 exact test, by castings": by_exact_test,
}
RANKINGS: dict[str, Callable[[Case], Ranking]] = {
    "ours, no overdispersion": lambda case: ours(case, rho=0.0),
    "ours": ours,
    "ours, true rates known": lambda case: ours(case, grid=true_rates(case.shop)),
}


def main(arguments: Sequence[str] | None = None) -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--shops", type=int, default=200, help="shops a condition")
    parser.add_argument("--first-seed", type=int, default=1, help="seeds are counted up from here")
    parser.add_argument("--no-trace", action="store_true", help="plant causes that leave no reading")
    asked = parser.parse_args(arguments)
    rules = load_rules()
    pairs = pairs_without_a_trace(rules) if asked.no_trace else pairs_with_a_trace(rules)
    for condition in CONDITIONS:
        clock = Clock()
        timed = {**RANKINGS, "ours": clock.timing(ours)}
        shown = with_progress(cases(rules, pairs, condition, asked.shops, asked.first_seed), condition.name)
        print_table(condition, measured(shown, ORDERS, timed), clock.mean_ms, rules, pairs)


class Clock:
    """Counts the time spent in one ranking."""

    def __init__(self) -> None:
        self.seconds: list[float] = []

    def timing(self, ranking: Callable[[Case], Ranking]) -> Callable[[Case], Ranking]:
        def timed(case: Case) -> Ranking:
            start = time.perf_counter()
            result = ranking(case)
            self.seconds.append(time.perf_counter() - start)
            return result

        return timed

    @property
    def mean_ms(self) -> float:
        return 1000 * float(np.mean(self.seconds))


def with_progress(every: Iterator[Case], name: str) -> Iterator[Case]:
    for number, case in enumerate(every, start=1):
        print(f"\r{name}: {number}", end="", file=sys.stderr, flush=True)
        yield case
    print(file=sys.stderr)


def print_table(
    condition: shops.Condition, tallies: dict[str, Tally], ms: float, rules: RuleBase, pairs: Sequence[Pair]
) -> None:
    print(f"\n{condition.name} ({len(tallies['ours'].places)} shops, {ms:.0f} ms each, {len(pairs)} pairs)")
    for name, tally in tallies.items():
        parts = [f"{name:36s}"]
        if condition.planted:
            parts.append(f"first {tally.within(1):.2f}  first three {tally.within(3):.2f}")
            parts.append(f"first five {tally.within(5):.2f}")
        if tally.log_losses:
            parts.append(f"−log share {np.mean(tally.log_losses):.2f}  level {np.mean(tally.level_first):.2f}")
        if tally.stood_out:
            parts.append(f"stands out {tally.stands_out():.2f}  named {tally.named():.2f}")
        print("  ".join(parts))
    if condition.planted:
        bands = tallies["ours"].bands()
        print("share → right: " + "  ".join(f"{low:.2f}+ {right}/{of}" for low, (of, right) in bands.items() if of))
        levels: dict[str, int] = {}
        for (_, cause), count in tallies["ours"].missed.items():
            level = rules.causes[cause].acts_at
            levels[level] = levels.get(level, 0) + count
        print("missed by level:", ", ".join(f"{level} {count}" for level, count in sorted(levels.items())) or "none")


if __name__ == "__main__":
    main()
