"""The line that makes logging worth while, and the small words in it."""

import pytest

from defectlog.report.shakeout import ordinal, recurrence_line
from defectlog.report.shakeout_answers import Recurrence

TRY = " – try: defectlog why P-104"


@pytest.mark.parametrize(
    ("told", "line"),
    [
        (Recurrence("P-104", "gas-holes", 1, 1, 1), "first gas-holes on P-104 in 30 days"),
        (
            Recurrence("P-104", "gas-holes", 4, 3, 1, impression=3, there=3, placed=4),
            "4th gas-holes on P-104 in 30 days (4 castings, 3 moulds), 3 of 4 at impression 3" + TRY,
        ),
        (
            Recurrence("P-104", "misrun", 12, 9, 2, place="thin-section", there=8, placed=10),
            "12th misrun on P-104 in 30 days (12 castings, 9 moulds), 8 of 10 at thin-section" + TRY,
        ),
        (Recurrence("P-104", "misrun", 3, 1, 3), "first misrun (3 castings) on P-104 in 30 days"),
        (
            Recurrence("P-104", "misrun", 2, 2, 1, if_so=True),
            "if so, 2nd misrun on P-104 in 30 days (2 castings, 2 moulds)" + TRY,
        ),
    ],
)
def test_the_line(told: Recurrence, line: str) -> None:
    assert recurrence_line(told) == line


@pytest.mark.parametrize(
    ("number", "word"),
    [
        (1, "1st"),
        (2, "2nd"),
        (3, "3rd"),
        (4, "4th"),
        (11, "11th"),
        (12, "12th"),
        (13, "13th"),
        (21, "21st"),
        (112, "112th"),
    ],
)
def test_ordinals(number: int, word: str) -> None:
    assert ordinal(number) == word
