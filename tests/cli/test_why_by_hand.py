"""A shop without a moisture test: the squeezed handful on the sand sheet is its reading, and `why` uses it."""

import json

import pytest

from tests.cli.conftest import Typing

WET_DAYS = (3, 7, 11)


@pytest.fixture
def squeezed(typed: Typing) -> Typing:
    """Twelve days, a batch of sand and three moulds of two castings each; on three days the sand stuck to the hand and
    a casting of each mould had gas holes."""
    typed("pattern add P-1 --impressions 2")
    for day in range(1, 13):
        wet = day in WET_DAYS
        typed(f'sand add S-{day} --mixed-at "2026-03-{day:02d} 7:00" --squeeze {"sticky" if wet else "holds"}')
        first = 3 * day - 2
        typed(f'mould add M-{first} --count 3 --pattern P-1 --sand S-{day} --poured-at "2026-03-{day:02d} 14:00"')
        if wet:
            typed(f'shakeout M-{first}..M-{first + 2} --scrap 1 --defect "gas holes"')
    return typed


def test_the_sand_that_stuck_to_the_hand_comes_first_of_the_sand_causes(squeezed: Typing) -> None:
    answer = squeezed("why P-1")
    assert "1. Sand too wet" in answer.out
    assert "a squeezed handful sticks on 3 of 3 bad" in " ".join(answer.out.split())


def test_every_batch_shows_what_the_hand_said(squeezed: Typing) -> None:
    answer = squeezed("why P-1 --defect gas-holes --explain sand-too-wet")
    assert "by hand: sticks" in answer.out
    assert "by hand: does not stick" in answer.out
    units = json.loads(squeezed("why P-1 --defect gas-holes --explain sand-too-wet --json").out)
    found = json.dumps(units)
    assert '"hand_test": true' in found
    assert '"hand_test": false' in found
