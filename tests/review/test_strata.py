"""Two times compared pattern by pattern: statsmodels gives the same figures on any tables."""

import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as some
from statsmodels.stats.contingency_tables import StratifiedTable

from defectlog.review.strata import (
    Stratum,
    common_interval,
    common_odds_ratio,
    no_difference,
    odds_ratio,
    one_figure_for_all,
)
from defectlog.review.usual import month_before
from defectlog.review.years import year_on_year
from tests.review.months import MARCH, month_of

cells = some.integers(1, 60)
tables = some.lists(some.builds(Stratum, cells, cells, cells, cells), min_size=2, max_size=6)


@given(tables)
def test_the_common_odds_ratio_and_its_tests_are_those_of_statsmodels(strata: list[Stratum]) -> None:
    theirs = StratifiedTable([np.array([[s.bad_1, s.good_1], [s.bad_2, s.good_2]], dtype=float) for s in strata])
    ours = common_interval(strata)
    assert ours is not None
    assert common_odds_ratio(strata) == pytest.approx(theirs.oddsratio_pooled)
    assert (ours.low, ours.high) == pytest.approx(theirs.oddsratio_pooled_confint())
    plain, alike = no_difference(strata, continuity=False), one_figure_for_all(strata)
    assert plain is not None and alike is not None
    assert plain.statistic == pytest.approx(theirs.test_null_odds().statistic, abs=1e-9)
    assert plain.chance == pytest.approx(theirs.test_null_odds().pvalue, abs=1e-9)
    # At a common odds ratio of 1 statsmodels divides by nothing.
    assume(abs(theirs.oddsratio_pooled - 1) > 1e-3)
    assert alike.statistic == pytest.approx(theirs.test_equal_odds().statistic, rel=1e-6, abs=1e-9)


def test_where_nothing_is_bad_nothing_can_be_told() -> None:
    clean = [Stratum(0, 10, 0, 12), Stratum(0, 5, 0, 9)]
    assert common_odds_ratio(clean) is None
    assert common_interval(clean) is None
    assert no_difference(clean) is None
    assert one_figure_for_all(clean) is None
    assert odds_ratio(Stratum(3, 1, 0, 4)) == math.inf


def test_a_harder_job_mix_does_not_pass_for_a_worse_year() -> None:
    """Both patterns run as they did; only there is more of the hard one. Added up, scrap doubles."""
    now = [month_of([1] * 2 + [0] * 98, 1, "easy"), month_of([1] * 60 + [0] * 240, 1, "hard")]
    year_ago = month_before(MARCH, 12)
    then = [month_of([1] * 6 + [0] * 294, 1, "easy", year_ago), month_of([1] * 20 + [0] * 80, 1, "hard", year_ago)]
    found = year_on_year([*now, *then], MARCH)
    assert found is not None
    assert found.moulds == (400, 400)
    assert found.moulds_with_scrap == (62, 26)
    assert found.odds_ratio == pytest.approx(1.0, abs=1e-9)
    assert found.interval is not None and found.interval.low < 1 < found.interval.high


def test_without_a_pattern_in_both_years_there_is_no_comparison() -> None:
    assert year_on_year([month_of([0, 1])], MARCH) is None
