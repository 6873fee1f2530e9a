"""Every number of a cause, as it is shown."""

import pytest

from defectlog.report.why_explained import rounded


@pytest.mark.parametrize(("amount", "shown"), [(-1e-17, "+0.00"), (-0.004, "+0.00"), (-0.006, "-0.01"), (1.0, "+1.00")])
def test_nothing_is_shown_as_nothing_whichever_side_it_came_from(amount: float, shown: str) -> None:
    assert f"{rounded(amount):+.2f}" == shown
