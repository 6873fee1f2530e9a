"""Reports by people who had not seen the signs: how often the right defect comes first, or among the first three.

The aim is 0.85 in first place and 0.97 in the first three on reports that nothing was tuned on and that were scored
once. The 160 of kept_reports.toml are those: 151 and 158. What came later was for other texts: MOST and the names
among the reports for texts of a word or two, three reports in rules/told/ for a case, MISTOLD for the shares of all
reports; with them it is 151 and 156. Of blind_reports.toml, 115 reports were tuned on; the other 95 were a first
attempt, which scored 70 and 87. They chose the numbers of `tellings`, so that what they score now is no measure. The
misses are printed with -s.
"""

import tomllib
from collections import Counter
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from defectlog.diagnosis.identify import identify
from defectlog.rulebase.lint import plain
from defectlog.rulebase.shapes import RuleBase
from tests.diagnosis.small_rules import real_rules

HERE = Path(__file__).parent
TUNED_ON, FIRST_KEPT_BACK, KEPT_BACK = SETS = ("tuned on", "first kept back", "kept back")


@cache
def reports(which: str) -> tuple[dict[str, Any], ...]:
    if which == KEPT_BACK:
        return tuple(tomllib.loads((HERE / "kept_reports.toml").read_text(encoding="utf-8"))["report"])
    found = tomllib.loads((HERE / "blind_reports.toml").read_text(encoding="utf-8"))["report"]
    return tuple(report for report in found if report["kept_back"] is (which == FIRST_KEPT_BACK))


@cache
def places(which: str) -> tuple[tuple[int, float, bool], ...]:
    """Of every report: the place of the right defect (from 1), the leader's share, and whether one answer is given."""
    rules: RuleBase = real_rules()
    found = []
    for report in reports(which):
        told = identify(report["text"], rules)
        ids = [item.defect for item in told.defects]
        place = ids.index(report["defect"]) + 1 if report["defect"] in ids else len(rules.defects)
        if place > 1:
            print(f"{place:3d}  {report['defect']}, taken for {ids[0] if ids else 'nothing'}: {report['text']}")
        found.append((place, told.defects[0].share if ids else 0.0, not told.undecided))
    return tuple(found)


@pytest.mark.parametrize(
    ("which", "first", "first_three"), [(TUNED_ON, 0.95, 0.98), (FIRST_KEPT_BACK, 0.85, 0.97), (KEPT_BACK, 0.85, 0.97)]
)
def test_plain_reports_are_named(which: str, first: float, first_three: float) -> None:
    found = [place for place, _, _ in places(which)]
    print(f"{which}: {sum(place == 1 for place in found)} and {sum(place <= 3 for place in found)} of {len(found)}")
    assert sum(place == 1 for place in found) >= first * len(found)
    assert sum(place <= 3 for place in found) >= first_three * len(found)


def test_a_share_is_about_as_often_right_as_it_says() -> None:
    """The table is printed with -s. No band of fifteen reports or more is off by more than a fifth."""
    for which in SETS:
        bands: dict[int, list[tuple[float, bool]]] = {}
        for place, share, _ in places(which):
            bands.setdefault(min(int(share * 5), 4), []).append((share, place == 1))
        for band, rows in sorted(bands.items()):
            said = sum(share for share, _ in rows) / len(rows)
            was = sum(right for _, right in rows) / len(rows)
            print(
                f"{which}, {band / 5:.1f}-{band / 5 + 0.2:.1f}: {len(rows)} reports, said {said:.2f}, right {was:.2f}"
            )
            assert len(rows) < 15 or abs(said - was) <= 0.2


def test_where_one_answer_is_given_it_is_nearly_always_right() -> None:
    decided = [place for place, _, one_answer in places(KEPT_BACK) if one_answer]
    print(f"one answer for {len(decided)} of {len(places(KEPT_BACK))}; right: {decided.count(1)}")
    assert len(decided) >= 0.8 * len(places(KEPT_BACK))
    assert decided.count(1) >= 0.9 * len(decided)


@pytest.mark.parametrize("which", SETS)
def test_there_are_two_reports_of_every_defect_or_more(which: str) -> None:
    counts = Counter(report["defect"] for report in reports(which))
    assert set(counts) == set(real_rules().defects)
    assert min(counts.values()) >= 2


def test_no_report_stands_in_the_rules() -> None:
    """What is measured may not be what was taught."""
    told = {plain(report) for item in real_rules().told.values() for report in item.told}
    assert told.isdisjoint(plain(report["text"]) for which in SETS for report in reports(which))
