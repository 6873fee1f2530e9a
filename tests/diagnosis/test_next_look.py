"""Which missing reading would be expected to move the ranking most."""

from dataclasses import replace
from datetime import date
from itertools import product
from math import log2

import numpy as np
import pytest

from defectlog.diagnosis.next_look import (
    LEAST_GAIN,
    MOST_UNITS,
    count_distribution,
    entropy,
    expected_gain,
    next_looks,
)
from defectlog.diagnosis.ranking import rank
from defectlog.diagnosis.recurrence import prior_of
from tests.diagnosis.small_books import (
    COLD,
    DAMP_LADLE,
    GAS,
    WET,
    array,
    asked_field,
    candidate,
    evidence_of,
    history,
    sand,
    wet_sand_book,
)

IF_CAUSE, OTHERWISE = array(0.9, 0.7, 0.4, 0.05), array(0.2, 0.2, 0.2, 0.1)


def outcomes(chances) -> dict[tuple[int, ...], float]:
    return {
        way: float(np.prod([chance if out else 1 - chance for out, chance in zip(way, chances, strict=True)]))
        for way in product((0, 1), repeat=len(chances))
    }


def test_the_count_past_the_limit_by_every_outcome() -> None:
    expected = [sum(p for way, p in outcomes(IF_CAUSE).items() if sum(way) == count) for count in range(5)]
    np.testing.assert_allclose(count_distribution(IF_CAUSE), expected)


@pytest.mark.parametrize("share", [0.05, 0.4, 0.9])
def test_the_gain_is_the_mean_fall_in_entropy_by_every_count(share: float) -> None:
    """Bayes' rule for each count past the limit, then the entropy of the answer averaged over the counts."""
    left = 0.0
    for count in range(5):
        by_cause = sum(p for way, p in outcomes(IF_CAUSE).items() if sum(way) == count)
        by_others = sum(p for way, p in outcomes(OTHERWISE).items() if sum(way) == count)
        whole = share * by_cause + (1 - share) * by_others
        after = share * by_cause / whole
        left += whole * -(after * log2(after) + (1 - after) * log2(1 - after))
    before = -(share * log2(share) + (1 - share) * log2(1 - share))
    assert expected_gain(share, IF_CAUSE, OTHERWISE) == pytest.approx(before - left)


def test_a_reading_that_would_be_the_same_either_way_teaches_nothing() -> None:
    assert expected_gain(0.5, OTHERWISE, OTHERWISE) == 0.0


def test_it_never_teaches_more_than_there_is_doubt() -> None:
    sure, never = np.full(60, 0.98), np.full(60, 0.02)
    assert expected_gain(0.3, sure, never) == pytest.approx(entropy(array(0.3, 0.7)), abs=1e-6)
    assert expected_gain(0.3, sure, never) == pytest.approx(expected_gain(0.3, sure[:MOST_UNITS], never[:MOST_UNITS]))


def test_entropy_is_in_bits() -> None:
    assert entropy(array(0.5, 0.5)) == 1.0
    assert entropy(array(1.0, 0.0)) == 0.0


def looks_for(book, *standing):
    field = asked_field(evidence_of(book))
    told = [field.told(item, {}) for item in standing]
    none = np.zeros(len(standing))
    prior = prior_of(standing, "P-1", GAS, (), date(2026, 12, 1))
    return next_looks(field, rank(told, prior, none, none, {"sand": field.latent("sand")}, field.nothing()))


def unread(book, names):
    """The same book with the moisture of these batches not on record."""
    return history(book.moulds, book.findings, [sand(n) if n in names else batch for n, batch in book.sands.items()])


def test_the_reading_to_take_is_the_one_that_nobody_took() -> None:
    """No batch has its moisture on record; every mould has its pouring temperature."""
    book = unread(wet_sand_book(), {f"S{n}" for n in range(1, 13)})
    found = looks_for(book, candidate(WET), candidate(COLD), candidate(DAMP_LADLE))
    assert [look.reading for look in found] == ["moisture_pct"]
    assert (found[0].cause, found[0].unit, found[0].on_record, found[0].of) == (WET.id, "sand", 0, 12)
    assert LEAST_GAIN <= found[0].gain_bits <= 1.0


def test_with_every_reading_on_record_there_is_nothing_to_take() -> None:
    assert looks_for(wet_sand_book(), candidate(WET), candidate(COLD)) == ()


def test_the_bad_batches_teach_more_than_as_many_good_ones() -> None:
    standing = candidate(WET), candidate(replace(WET, id="another", reading=None))
    bad = looks_for(unread(wet_sand_book(), {"S2", "S5", "S9"}), *standing)
    good = looks_for(unread(wet_sand_book(), {"S1", "S4", "S8"}), *standing)
    assert bad[0].gain_bits > sum(look.gain_bits for look in good)
