"""What this shop found before, by hand: the handbooks count three cases, a fresh verdict one."""

from datetime import timedelta

import numpy as np
import pytest

from defectlog.diagnosis.recurrence import fading, prior_of
from defectlog.records.kinds import Verdict
from tests.diagnosis.small_books import COLD, DAMP_LADLE, GAS, TODAY, WET, candidate, verdict

# Named four times as often, and so twice as likely. Shares 0.5, 0.25, 0.25 by the handbooks: 1.5, 0.75 and 0.75 cases.
STANDING = (candidate(WET, weight=4.0), candidate(COLD, weight=1.0), candidate(DAMP_LADLE, weight=1.0))
A_YEAR_AGO = TODAY - timedelta(days=365)


def shares(*verdicts: Verdict) -> list[float]:
    found = prior_of(STANDING, "P-1", GAS, verdicts, TODAY)
    np.testing.assert_allclose(found.handbook, [0.5, 0.25, 0.25])
    assert found.with_history.sum() == pytest.approx(1.0)
    return [float(share) for share in found.with_history]


def test_without_verdicts_the_handbooks_alone() -> None:
    assert shares() == pytest.approx([0.5, 0.25, 0.25])


def test_confirmed_here_today_is_one_case() -> None:
    assert shares(verdict(COLD.id)) == pytest.approx([1.5 / 4, 1.75 / 4, 0.75 / 4])


def test_confirmed_a_year_ago_is_half_a_case() -> None:
    assert fading(A_YEAR_AGO, TODAY) == 0.5
    assert shares(verdict(COLD.id, on=A_YEAR_AGO)) == pytest.approx([1.5 / 3.5, 1.25 / 3.5, 0.75 / 3.5])


def test_confirmed_on_another_pattern_is_three_tenths_of_a_case() -> None:
    assert shares(verdict(COLD.id, pattern="P-9")) == pytest.approx([1.5 / 3.3, 1.05 / 3.3, 0.75 / 3.3])


def test_ruled_out_leaves_about_a_seventh_and_never_nothing() -> None:
    whole = 1.5 * 0.15 + 1.5
    assert shares(verdict(WET.id, "ruled out")) == pytest.approx([0.225 / whole, 0.75 / whole, 0.75 / whole])
    assert shares(*[verdict(WET.id, "ruled out")] * 5)[0] > 0


def test_ruled_out_a_year_ago_leaves_the_root_of_it() -> None:
    whole = 1.5 * 0.15**0.5 + 1.5
    assert shares(verdict(WET.id, "ruled out", on=A_YEAR_AGO))[0] == pytest.approx(1.5 * 0.15**0.5 / whole)


@pytest.mark.parametrize(
    "other",
    [
        verdict(COLD.id, defect="misrun"),
        verdict("a-cause-of-something-else"),
        verdict(COLD.id, on=TODAY + timedelta(days=1)),
    ],
    ids=["another defect", "another cause", "tomorrow"],
)
def test_what_does_not_belong_changes_nothing(other: Verdict) -> None:
    assert shares(other) == pytest.approx([0.5, 0.25, 0.25])


def test_the_shops_own_name_for_the_defect_is_read_as_its_id() -> None:
    found = prior_of(STANDING, "P-1", GAS, [verdict(COLD.id, defect="blows")], TODAY, {"blows": GAS})
    assert found.with_history[1] == pytest.approx(1.75 / 4)
