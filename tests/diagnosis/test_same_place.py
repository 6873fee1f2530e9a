"""Always the same impression, or wandering; the odds of luck against every way in which the moulds could fall."""

from collections import Counter
from itertools import product

import pytest
from scipy.stats import binom, multinomial

from defectlog.diagnosis.evidence import gather_evidence
from defectlog.diagnosis.same_place import odds_of_luck, same_place
from tests.diagnosis.small_books import GAS, card, history, mould, seen


@pytest.mark.parametrize(
    "counts", [(3, 0), (4, 1, 0), (2, 2, 2), (5, 1, 1, 0), (3, 3, 0, 1), (1, 0, 0, 0, 0), (6, 0), (4, 2, 1)]
)
def test_small_cases_by_counting_every_way(counts: tuple[int, ...]) -> None:
    """Each of k**n ways in which n moulds could fall on k impressions is as likely."""
    ways = list(product(range(len(counts)), repeat=sum(counts)))
    as_uneven = sum(max(Counter(way).values()) >= max(counts) for way in ways)
    assert odds_of_luck(counts) == pytest.approx(as_uneven / len(ways))


def test_against_scipys_multinomial() -> None:
    """Twelve moulds on four impressions, the fullest with seven: scipy.stats.multinomial over every count."""
    exact = sum(
        multinomial.pmf(counts, 12, [0.25] * 4)
        for counts in product(range(13), repeat=4)
        if sum(counts) == 12 and max(counts) >= 7
    )
    assert odds_of_luck([7, 2, 2, 1]) == pytest.approx(exact)


def test_very_small_odds_keep_their_digits() -> None:
    """Forty moulds, always the same of six: 6 · (1/6)⁴⁰; thirty-five of forty: six binomial tails, to many digits."""
    assert odds_of_luck([40, 0, 0, 0, 0, 0]) == pytest.approx(6.0**-39, rel=1e-9)
    tail = 6 * float(binom.sf(34, 40, 1 / 6))
    assert odds_of_luck([35, 1, 1, 1, 1, 1]) == pytest.approx(tail, rel=1e-9)


def test_both_ways_of_counting_agree_where_they_meet() -> None:
    """Just above the odds at which the first term takes over, the two differ by less than the second term."""
    tail = 5 * float(binom.sf(13, 20, 1 / 5))
    assert odds_of_luck([14, 2, 2, 1, 1]) == pytest.approx(tail, rel=1e-3)


def test_the_evenest_count_is_no_surprise_at_all() -> None:
    assert odds_of_luck([3, 3, 3]) == 1.0
    assert odds_of_luck([1, 0, 0]) == 1.0


def test_moulds_are_counted_by_impression_and_the_unplaced_apart() -> None:
    book = history(
        [mould("M1", castings=3), mould("M2", castings=3), mould("M3", castings=3)],
        [
            seen("M1", impression=2),
            seen("M2", impression=2),
            seen("M3"),
            seen("M3", impression=8),
            seen("M1", impression=1, defect="misrun"),
        ],
        cards=[card(impressions=3)],
    )
    found = same_place(gather_evidence(book), GAS)
    assert found is not None
    assert found.impressions == {1: 0, 2: 2, 3: 0}
    assert found.odds_of_luck == pytest.approx(1 / 3)
    assert found.not_on_record == 2


def test_with_no_impression_on_record_there_are_no_odds() -> None:
    found = same_place(gather_evidence(history([mould("M1")], [seen("M1")])), GAS)
    assert found is not None
    assert found.odds_of_luck is None


def test_a_plate_of_one_has_no_other_place() -> None:
    assert same_place(gather_evidence(history([mould("M1")], cards=[card(impressions=1)])), GAS) is None
