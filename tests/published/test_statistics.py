"""Every published statistic of check_values.toml, met by the review's own arithmetic within the tolerance beside it.

The file names source, place, kind and tolerance of each value; nothing here repeats a number of it. Rows whose
`from_memory` is true were recalled by whoever gathered them, not located again.
"""

import tomllib
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from defectlog.review import charts, distributions, drift, exact, intervals, run_rules, strata

CHECKS: dict[str, dict[str, Any]] = {
    check["id"]: check
    for check in tomllib.loads(Path(__file__).with_name("check_values.toml").read_text(encoding="utf-8"))["check"]
    if check["topic"].split(".")[0] == "stats"
}
# What no sum of ours answers, and why. None at present: every statistic of the file has its sum.
NOT_A_SUM: dict[str, str] = {}
In = Mapping[str, Any]
Ends = list[float]


def base(check: In) -> In:
    inputs: In = CHECKS[check["base"]]["inputs"]
    return inputs


def equal_p_chart(check: In, drop: tuple[int, ...] = ()) -> charts.Chart:
    bad = [count for place, count in enumerate(check["defectives"], start=1) if place not in drop]
    return charts.p_chart(bad, [check["n_per_sample"]] * len(bad))


def p_limits(chart: charts.Chart) -> Ends:
    return [chart.centre, chart.upper[0], chart.lower[0]]


def c_limits(check: In) -> Ends:
    return p_limits(charts.c_chart(check["counts"]))


def from_total(check: In) -> Ends:
    chart = charts.p_chart([check["sum_d"] / check["m"]] * check["m"], [check["n_per_sample"]] * check["m"])
    return [chart.centre, chart.upper[0]]


def laney_limits(check: In) -> Ends:
    data = base(check)
    chart = charts.laney_chart(data["defectives"], [data["n_per_sample"]] * len(data["defectives"]))
    return [chart.upper[0], chart.lower[0]]


def sigma_of_plain_binomial(check: In) -> float:
    """Mean σz over invented months in which nothing but counting varies."""
    dice = np.random.default_rng(check["seed"])
    of = [check["n"]] * check["m"]
    draws = dice.binomial(check["n"], check["p"], size=(2000, check["m"])).tolist()
    return float(np.mean([charts.laney_sigma(charts.p_chart(bad, of).scores) for bad in draws]))


def individuals(check: In) -> Ends:
    chart = charts.individuals_chart(check["x"])
    return [chart.centre, charts.moving_range(check["x"]), chart.upper[0], chart.lower[0]]


def cusum_lengths(check: In) -> Ends:
    return [drift.cusum_run_length(check["k"], height, shift) for height in check["h"] for shift in check["delta"]]


def ewma_lengths(check: In) -> Ends:
    return [drift.ewma_run_length(lam, wide) for lam, wide in zip(check["lam"], check["l"], strict=True)]


def ewma_ends(check: In) -> Ends:
    low, high = drift.ewma_limits(check["e0"], check["s"], check["lam"], check["k"])
    return [high, low]


def false_alarms(check: In) -> Ends:
    assert [rule.points for rule in run_rules.NELSON] == check["windows"]
    return [rule.false_alarm for rule in run_rules.NELSON]


def nelson(check: In) -> int:
    return run_rules.first_signal(check["z"], run_rules.NELSON[check["rule"] - 1])


def two_run_lengths(check: In) -> list[int]:
    lengths = (run_rules.RUN_WESTERN_ELECTRIC, run_rules.RUN_NELSON)
    return [run_rules.first_signal(check["z"], run_rules.run_rule(length)) for length in lengths]


def ends(interval: intervals.Interval | None) -> Ends:
    assert interval is not None
    return [interval.low, interval.high]


def wilson(check: In) -> Ends:
    return ends(intervals.wilson(check["x"] / check["n"], check["n"], check["conf"]))


def clopper(check: In) -> Ends:
    return ends(intervals.clopper_pearson(check["x"], check["n"], check["conf"]))


def tea(check: In) -> Ends:
    (a, b), (c, d) = check["table"]
    odds = exact.fisher_exact(a, a + b, c, c + d)
    return [odds.more, odds.either]


def twins(check: In) -> Ends:
    (a, b), (c, d) = check["table"]
    odds = exact.fisher_exact(a, a + b, c, c + d)
    return [odds.either, odds.fewer]


def stratum(table: list[list[float]]) -> strata.Stratum:
    """Columns are the two times, the first row what is counted, as `bad` is."""
    (bad_1, bad_2), (good_1, good_2) = table
    return strata.Stratum(bad_1, good_1, bad_2, good_2)


def departments(check: In) -> list[strata.Stratum]:
    tables = check["tables"] if "tables" in check else base(check)["tables"]
    return [stratum(table) for table in tables]


def result(found: strata.TestResult | None) -> Ends:
    assert found is not None
    return [found.statistic, found.chance]


def rejected(check: In) -> list[int]:
    bonferroni = sum(p <= check["q"] / len(check["p"]) for p in check["p"])
    return [sum(exact.still_stand_out(check["p"], check["q"])), bonferroni]


def pooled_z(check: In) -> Ends:
    """Two counts are tested exactly here. One stratum's uncorrected chi-square is z²·(n − 1)/n, so z follows."""
    one = strata.Stratum(check["x1"], check["n1"] - check["x1"], check["x2"], check["n2"] - check["x2"])
    found = strata.no_difference([one], continuity=False)
    assert found is not None
    z2 = found.statistic * one.total / (one.total - 1)
    return [z2**0.5, distributions.chi_square_tail(z2, 1)]


def score_at_known_rate(check: In) -> float:
    return charts.p_chart([check["x"]], [check["n"]], centre=check["p0"]).scores[0]


SUMS: dict[str, Callable[[In], Any]] = {
    "nist-p-chart": lambda c: p_limits(equal_p_chart(c)),
    "nist-p-chart-signals": lambda c: equal_p_chart(base(c)).outside,
    "montgomery-p-chart-revised": lambda c: p_limits(equal_p_chart(base(c), tuple(c["drop"]))),
    "montgomery-ex6-1-revised": from_total,
    "p-chart-variable-n": lambda c: charts.p_chart(c["d"], c["n"]).centre,
    "p-chart-variable-n-signal": lambda c: charts.p_chart(base(c)["d"], base(c)["n"]).outside,
    "nist-c-chart": c_limits,
    "nist-c-chart-signal": lambda c: charts.c_chart(base(c)["counts"]).outside,
    "montgomery-c-chart": c_limits,
    "montgomery-c-chart-signals": lambda c: charts.c_chart(base(c)["counts"]).outside,
    "laney-sigma-z": lambda c: charts.laney_sigma(equal_p_chart(base(c)).scores),
    "laney-limits": laney_limits,
    "laney-binomial-null": sigma_of_plain_binomial,
    "nist-individuals": individuals,
    "nist-ewma-series": lambda c: drift.ewma(c["x"], c["lam"], c["e0"]),
    "nist-ewma-limits": ewma_ends,
    "nist-cusum-lo": lambda c: drift.cusum(c["x"], c["mu0"], c["k"])[0],
    "cusum-arl-h4-h5": cusum_lengths,
    "ewma-arl-500": ewma_lengths,
    "shewhart-arl-370": lambda c: run_rules.points_between_false_alarms(run_rules.chance_beyond(c["k"], 1, 1)),
    "nelson-false-alarm-probs": false_alarms,
    **{f"nelson-rule-{number}": nelson for number in range(1, 9)},
    "we-8-vs-nelson-9": two_run_lengths,
    "wilson-81-263": wilson,
    "clopper-81-263": clopper,
    "wilson-0-20": wilson,
    "clopper-0-20": clopper,
    "wilson-1-29": wilson,
    "clopper-1-29": clopper,
    "jeffreys-n7": lambda c: [ends(intervals.jeffreys(x, c["n"])) for x in c["x"]],
    "jeffreys-x0": lambda c: intervals.jeffreys(c["x"], c["n"]).high,
    "rule-of-three-exact": lambda c: intervals.highest_rate_unseen(c["n"]),
    "fisher-tea": tea,
    "fisher-twins": twins,
    "mh-berkeley-or": lambda c: strata.common_odds_ratio(departments(c)),
    "mh-berkeley-ci": lambda c: ends(strata.common_interval(departments(c))),
    "cmh-berkeley": lambda c: result(strata.no_difference(departments(c))),
    "cmh-berkeley-uncorrected": lambda c: result(strata.no_difference(departments(c), continuity=False)),
    "simpson-crude-or": lambda c: strata.odds_ratio(stratum(c["table"])),
    "breslow-day-berkeley": lambda c: result(strata.one_figure_for_all(departments(c))),
    "bh-1995-rejections": rejected,
    "two-prop-z": pooled_z,
    "two-prop-newcombe": lambda c: ends(intervals.difference_interval(c["x1"], c["n1"], c["x2"], c["n2"], c["conf"])),
    "one-prop-z-nist": score_at_known_rate,
}


@pytest.mark.parametrize("name", SUMS)
def test_the_published_value_comes_out(name: str) -> None:
    check = CHECKS[name]
    found = np.asarray(SUMS[name](check["inputs"]), dtype=float)
    expected = np.asarray(check["expected"], dtype=float)
    assert found.shape == expected.shape
    assert np.abs(found - expected).max(initial=0.0) <= check["tolerance"] + 1e-12, found


def test_no_statistic_of_the_file_is_passed_over() -> None:
    assert set(SUMS) | set(NOT_A_SUM) == set(CHECKS)
    assert not set(SUMS) & set(NOT_A_SUM)
