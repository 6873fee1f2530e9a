"""The program stopped with SIGKILL at a statement while it writes, and the same command typed again.

The long version, with kills at random moments: python -m tests.bench.bench_kills.
"""

import sys

import pytest

from tests.bench.killing import DEEDS, statements_of, trial

# Where in the command, as parts of all its statements; the last few are where an act is closed.
MOMENTS = (0.3, 0.85, -2, -1)


@pytest.mark.parametrize("deed", DEEDS, ids=lambda deed: deed.name)
def test_nothing_is_lost_half_done_or_done_twice(deed, tmp_path):
    assert sys.platform != "win32", "SIGKILL is of POSIX"
    statements = statements_of(deed, tmp_path / "whole")
    for number, moment in enumerate(MOMENTS):
        statement = int(moment * statements) if moment > 0 else statements + moment
        tally = trial(deed, tmp_path / f"{number}", statement=statement)
        assert tally.killed == 1
        assert tally.clean, tally
