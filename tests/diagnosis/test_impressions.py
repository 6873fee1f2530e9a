"""One impression of the plate against the others, nobody knows which."""

from math import log

import numpy as np
import pytest
from scipy.special import logsumexp

from defectlog.diagnosis.evidence import gather_evidence
from defectlog.diagnosis.impressions import impression_counts, impression_log_evidence, impression_moulds
from defectlog.diagnosis.likelihood import cell_log_likelihood
from defectlog.diagnosis.rates import rate_grid
from tests.diagnosis.small_books import GAS, card, history, mould, seen

GRID, RHO = rate_grid(0.03), 0.05
PLATE = [card(impressions=3)]


def book(findings, moulds=((1, 3), (1, 3), (2, 3), (3, 3))):
    """M1 and M2 on the first day, M3 on the second, M4 on the third; three castings each."""
    rows = [mould(f"M{number}", day, castings) for number, (day, castings) in enumerate(moulds, start=1)]
    return gather_evidence(history(rows, findings, cards=PLATE))


def of_impression(evidence, impression: int, rate: float) -> float:
    """log likelihood of one impression's castings, a loop over the days."""
    total = 0.0
    for day in range(len(evidence.day_names)):
        rows = [row for row, of in enumerate(evidence.days) if of == day]
        names = {evidence.moulds[row] for row in rows}
        bad = sum(item.mould in names and item.impression == impression for item in evidence.findings)
        total += float(cell_log_likelihood(np.array([bad]), np.array([len(rows)]), np.array([rate]), RHO)[0, 0])
    return total


def test_exactly_one_is_odd_and_each_is_as_likely() -> None:
    """Against the sum over three impressions and every pair of rates, written out."""
    evidence = book([seen("M1", impression=2), seen("M2", impression=2), seen("M3", impression=1)])
    terms = [
        GRID.log_pair[a, b]
        - log(3)
        + of_impression(evidence, odd, GRID.on[b])
        + sum(of_impression(evidence, other, GRID.off[a]) for other in (1, 2, 3) if other != odd)
        for odd in (1, 2, 3)
        for a in range(len(GRID.off))
        for b in range(len(GRID.on))
    ]
    found = impression_log_evidence(evidence, GAS, evidence.bad(GAS), GRID, RHO)
    assert found == pytest.approx(float(logsumexp(terms)), abs=1e-9)


def test_which_impression_it_is_does_not_matter_only_that_it_is_the_same() -> None:
    def evidence_for(*impressions: int) -> float:
        evidence = book([seen(f"M{n}", impression=one) for n, one in enumerate(impressions, start=1)])
        return impression_log_evidence(evidence, GAS, evidence.bad(GAS), GRID, RHO)

    assert evidence_for(1, 1, 1) == pytest.approx(evidence_for(3, 3, 3))
    assert evidence_for(1, 1, 1) > evidence_for(1, 2, 3) + 1


def test_a_finding_with_no_impression_is_taken_at_the_plates_mean_rate() -> None:
    evidence = book([seen("M1", impression=2), seen("M2")])
    counts, unclear = impression_counts(evidence, GAS, evidence.bad(GAS))
    assert counts.tolist() == [[0, 1, 0], [0, 0, 0], [0, 0, 0], [0, 0, 0]]
    assert unclear.tolist() == [False, True, False, False]
    only = gather_evidence(history([mould("M1", 1, 3)], [seen("M1")], cards=PLATE))
    terms = [
        GRID.log_pair[a, b]
        + float(cell_log_likelihood(np.array([1]), np.array([3]), np.array([(on + 2 * off) / 3]), RHO)[0, 0])
        for a, off in enumerate(GRID.off)
        for b, on in enumerate(GRID.on)
    ]
    found = impression_log_evidence(only, GAS, only.bad(GAS), GRID, RHO)
    assert found == pytest.approx(float(logsumexp(terms)), abs=1e-9)


def test_a_mould_not_cast_full_does_not_say_which_were_there() -> None:
    evidence = book([], moulds=((1, 3), (1, 2)))
    assert impression_counts(evidence, GAS, evidence.bad(GAS))[1].tolist() == [False, True]


def test_moulds_are_counted_by_impression() -> None:
    evidence = book([seen("M1", impression=2), seen("M1", impression=3), seen("M2", impression=2), seen("M3")])
    assert impression_moulds(evidence, GAS).tolist() == [0, 2, 1]


def test_an_impression_that_the_plate_does_not_have_places_nothing() -> None:
    evidence = book([seen("M1", impression=9)])
    assert impression_moulds(evidence, GAS).tolist() == [0, 0, 0]
    assert impression_counts(evidence, GAS, evidence.bad(GAS))[1].tolist() == [True, False, False, False]
