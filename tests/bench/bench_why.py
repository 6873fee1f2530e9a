"""python -m tests.bench.bench_why --shops 200: how often each way of ranking finds the planted cause, as a table.

Simple rankings, two learners (they need scikit-learn: the extra "bench"), ours, and an oracle that knows how the shop
was made, with and without its two rates, over the same shops. Progress goes to the error stream, the table to the
output. Nothing is asserted here.
"""

import argparse
import sys
from collections.abc import Callable, Iterator, Mapping, Sequence

import numpy as np

from defectlog.rulebase.load import load_rules
from tests.bench.conditions import CONDITIONS, Condition
from tests.bench.measuring import Tally, cases, measured, pairs_for
from tests.bench.oracle import by_oracle, by_oracle_without_rates
from tests.bench.rankings import (
    Case,
    Method,
    by_exact_test,
    by_handbook,
    by_share_out,
    ours,
    said_order,
    said_ranking,
    said_shares,
    true_rates,
    with_its_second,
)

ORACLE, NO_RATES, TRUE_RATES = "oracle", "oracle, rates not known", "ours, true rates known"
OURS = "ours"
ORDERS: dict[str, Callable[[Case], Sequence[str]]] = {
    "handbook weights alone": by_handbook,
    "share of bad moulds out of limits": by_share_out,
    "2×2 exact test, by castings": by_exact_test,
}
LEARNERS = ("logistic regression, by castings", "ensemble of trees, by castings")
BY_CASTINGS = ("2×2 exact test, by castings", *LEARNERS)


def methods(condition: Condition) -> dict[str, Method]:
    """Every way of ranking, by its name; without scikit-learn the learners are left out, and that is said."""
    found = {name: said_order(order) for name, order in ORDERS.items()}
    try:
        from tests.bench.learners import by_logistic_regression, by_trees
    except ModuleNotFoundError:
        print("no scikit-learn here: the two learners are left out (pip install -e .[bench])", file=sys.stderr)
    else:
        found |= dict(zip(LEARNERS, (said_shares(by_logistic_regression), said_shares(by_trees)), strict=True))
    return found | {
        "ours, no overdispersion": said_ranking(lambda case: ours(case, rho=0.0)),
        OURS: said_ranking(ours),
        **({"ours, with its second cause": with_its_second} if condition.planted > 1 else {}),
        TRUE_RATES: said_ranking(lambda case: ours(case, grid=true_rates(case.shop))),
        ORACLE: by_oracle,
        # Every pair of causes at every pair of rates would take four seconds a shop.
        **({NO_RATES: by_oracle_without_rates} if condition.planted == 1 else {}),
    }


def main(arguments: Sequence[str] | None = None) -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--shops", type=int, default=200, help="shops a condition")
    parser.add_argument("--first-seed", type=int, default=1, help="seeds are counted up from here")
    parser.add_argument("--only", default="", help="only conditions with this in their name")
    asked = parser.parse_args(arguments)
    chosen = [condition for condition in CONDITIONS if asked.only in condition.name]
    if not chosen:
        parser.error(f"no condition has {asked.only!r} in its name: {', '.join(each.name for each in CONDITIONS)}")
    rules = load_rules()
    for condition in chosen:
        shown = with_progress(cases(rules, condition, asked.shops, asked.first_seed), condition.name)
        print_table(condition, measured(shown, methods(condition)), len(pairs_for(rules, condition)))


def with_progress(every: Iterator[Case], name: str) -> Iterator[Case]:
    for number, case in enumerate(every, start=1):
        print(f"\r{name}: {number}", end="", file=sys.stderr, flush=True)
        yield case
    print(file=sys.stderr)


def print_table(condition: Condition, tallies: Mapping[str, Tally], pairs: int) -> None:
    print(f"\n{condition.name} ({tallies[OURS].shops} shops, {pairs} pairs)\n  {condition.because}")
    for name, tally in tallies.items():
        if condition.planted or tally.first_shares:
            print("  ".join((f"{name:34s}", *columns(tally, condition))), flush=True)
    if condition.planted:
        print(f"  ours: {differences(tallies)}")


def columns(tally: Tally, condition: Condition) -> Iterator[str]:
    if condition.planted:
        yield f"first {tally.within(1):.2f}  three {tally.within(3):.2f}"
    if condition.planted > 1:
        yield f"both {np.mean(tally.both_first):.2f}"
    yield f"{tally.mean_ms:4.0f} ms"
    if tally.log_losses:
        yield f"log loss {np.mean(tally.log_losses):.2f}"
    if tally.stood_out:
        yield f"stands out {tally.stands_out():.2f}"
    if tally.first_shares:
        yield f"named {tally.named():.2f}"
    if condition.planted and tally.first_shares:
        yield "right " + " ".join(f"{low:.2f}+ {right}/{of}" for low, (of, right) in tally.bands().items() if of)


def differences(tallies: Mapping[str, Tally]) -> str:
    """First place against each oracle and against the best of those that count casting by casting."""
    ours_first = tallies[OURS].within(1)
    best = max((name for name in BY_CASTINGS if name in tallies), key=lambda name: tallies[name].within(1))
    oracles = (
        f"{ours_first - tallies[name].within(1):+.3f} to {name}"
        for name in (ORACLE, NO_RATES, TRUE_RATES)
        if name in tallies
    )
    by_castings = ours_first - tallies[best].within(1)
    return f"{', '.join(oracles)}; {by_castings:+.3f} to the best by castings ({best.removesuffix(', by castings')})"


if __name__ == "__main__":
    main()
