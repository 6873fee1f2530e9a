"""The review in words: a count beside every share, and luck in turns rather than powers of ten."""

import pytest

from defectlog.review.intervals import Interval
from defectlog.review.wording import answer_text, odds_text, rate_text, share_text


def test_a_rate_is_said_with_its_counts_and_its_interval() -> None:
    text = rate_text(52, 1648, Interval(0.024, 0.0411))
    assert text == "52 of 1648 castings scrapped (3.2 %, 95 % interval 2.4 % to 4.1 %)"
    assert rate_text(0, 1, None) == "0 of 1 casting scrapped (0 %)"
    assert rate_text(3, 0, None) == "3 castings scrapped, none poured"


@pytest.mark.parametrize(("share", "text"), [(0.41, "41 %"), (0.0316, "3.2 %"), (0.0004, "0.04 %"), (0.0, "0 %")])
def test_shares(share: float, text: str) -> None:
    assert share_text(share) == text


@pytest.mark.parametrize(
    ("chance", "text"),
    [
        (1 / 16, "about 1 in 16 by luck"),
        (1 / 1234, "about 1 in 1000 by luck"),
        (1e-9, "less than 1 in a million by luck"),
        (0.8, "more likely than not by luck"),
    ],
)
def test_odds(chance: float, text: str) -> None:
    assert odds_text(chance) == text


def test_too_soon_says_how_many_to_go() -> None:
    assert answer_text("too soon", 14) == "too soon to tell: 14 more moulds to pour first"
    assert answer_text("too soon", 1) == "too soon to tell: 1 more mould to pour first"
    assert answer_text("worked", 0) == "it worked"
