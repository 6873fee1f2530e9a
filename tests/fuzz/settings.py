"""How many examples: a few in every run, as many as wanted with DEFECTLOG_FUZZ=5000."""

import os
from typing import Any

from hypothesis import HealthCheck, settings

FEW = 60


def examples(share: float = 1.0) -> Any:
    """Settings of a fuzz test; `share` of the wanted number for a test of which one example takes long."""
    wanted = os.environ.get("DEFECTLOG_FUZZ", "")
    number = int(wanted) if wanted.isdigit() else FEW
    return settings(
        max_examples=max(5, round(number * share)),
        deadline=None,
        derandomize=not wanted,
        suppress_health_check=[HealthCheck.too_slow, HealthCheck.function_scoped_fixture, HealthCheck.data_too_large],
    )
