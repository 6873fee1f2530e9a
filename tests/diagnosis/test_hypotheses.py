"""The stories that compete to explain where the bad castings fell."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.special import logsumexp

from defectlog.diagnosis.graded import graded_likelihood, graded_log_evidence, weights_by_limit
from defectlog.diagnosis.hypotheses import BY_DEGREES, LATENT_SHARES, LEVELS
from defectlog.diagnosis.likelihood import cell_log_likelihood, log_evidence
from defectlog.diagnosis.states import chances_by_limit
from defectlog.rulebase.shapes import Limit
from tests.diagnosis.small_books import (
    DAMP_LADLE,
    NO_FLOW_OFF,
    ONE_GATE,
    WET,
    array,
    asked_field,
    candidate,
    card,
    cause,
    evidence_of,
    history,
    mould,
    seen,
    wet_sand_book,
)

WET_SAND = asked_field(evidence_of(wet_sand_book()))


def test_nothing_stands_out_is_one_rate_near_the_shops_usual_one() -> None:
    """A loop over the twelve days, each of three moulds of four, six bad on the three wet ones."""
    rates = WET_SAND.grid.off
    bad = np.array([6 if day in (1, 4, 8) else 0 for day in range(12)])
    each = cell_log_likelihood(bad, np.full(12, 12), rates, WET_SAND.rho).sum(axis=1)
    assert WET_SAND.nothing() == pytest.approx(float(logsumexp(each + WET_SAND.grid.log_off)))


def test_something_at_a_level_is_on_in_few_units_or_in_many() -> None:
    likelihood = WET_SAND.likelihood("sand")
    each = [log_evidence(likelihood, *[np.full(12, share)] * 2, WET_SAND.grid) for share in LATENT_SHARES]
    assert WET_SAND.latent("sand") == pytest.approx(float(logsumexp(each)) - np.log(3))


def test_scrap_that_clusters_by_batch_speaks_for_the_sand() -> None:
    """With no reading at all: no other level explains three bad batches of twelve so well."""
    latent = {level: WET_SAND.latent(level) for level in LEVELS}
    assert max(latent, key=lambda level: latent[level]) == "sand"
    assert latent["sand"] > WET_SAND.nothing() + 5


def test_scrap_spread_evenly_over_everything_speaks_for_the_pattern() -> None:
    rows = [mould(f"M{n}", n // 4, sand=f"S{n // 4}", heat=f"H{n // 4}", moulder="AB"[n // 4 % 2]) for n in range(40)]
    even = asked_field(evidence_of(history(rows, [seen(f"M{n}") for n in range(0, 40, 2)])))
    latent = {level: even.latent(level) for level in LEVELS}
    assert max(latent, key=lambda level: latent[level]) == "pattern"


def test_a_reading_that_is_out_on_the_bad_batches_and_in_on_the_good_helps_its_cause() -> None:
    told = WET_SAND.told(candidate(WET), {})
    assert told.log_evidence > told.log_blanked + 3
    assert told.log_blanked > WET_SAND.nothing()


def test_a_reading_out_of_limits_on_good_and_bad_alike_explains_nothing() -> None:
    book = wet_sand_book()
    always_wet = [replace(batch, moisture_pct=5.4) for batch in book.sands.values()]
    field = asked_field(evidence_of(history(book.moulds, book.findings, always_wet)))
    told = field.told(candidate(WET), {})
    assert told.log_evidence < told.log_blanked


def test_a_cause_with_no_reading_has_its_spread_alone() -> None:
    told = WET_SAND.told(candidate(DAMP_LADLE), {})
    assert told.log_evidence == told.log_blanked
    expected = log_evidence(WET_SAND.likelihood("heat"), *[array(*[0.12] * 24)] * 2, WET_SAND.grid)
    assert told.log_evidence == pytest.approx(expected)


def test_a_cause_with_a_reading_is_averaged_over_limits_and_over_degrees_and_on_or_off() -> None:
    told, of = WET_SAND.told(candidate(WET), {}), candidate(WET)
    assert told.states is not None
    by_degrees = graded_likelihood(WET_SAND.cells("sand"), WET_SAND.grid, WET_SAND.rho)
    usual, grid = told.states.blanked, WET_SAND.grid
    slight = [graded_log_evidence(by_degrees, one, usual, grid) for one in weights_by_limit(of, told.states)]
    chances = chances_by_limit(of, told.states)
    sharp = [log_evidence(WET_SAND.likelihood("sand"), chance, usual, grid) for chance in chances]
    assert (len(slight), len(sharp)) == (3, 3)
    expected = BY_DEGREES * np.exp(slight).mean() + (1 - BY_DEGREES) * np.exp(sharp).mean()
    assert told.log_evidence == pytest.approx(float(np.log(expected)))


def test_a_yes_or_no_is_on_or_off_for_each_limit_and_has_no_degrees() -> None:
    riddled = cause("facing-not-riddled", "mould", ("facing_riddled", "below"))
    of = candidate(riddled, Limit("unriddled", "facing_riddled", "below", 0.5, 0.2))
    field = asked_field(evidence_of(history([mould("M1", facing_riddled=False), mould("M2", facing_riddled=True)])))
    told = field.told(of, {})
    assert told.states is not None
    likelihood, usual = field.likelihood("mould"), told.states.blanked
    each = [log_evidence(likelihood, chance, usual, field.grid) for chance in chances_by_limit(of, told.states)]
    assert told.log_evidence == pytest.approx(float(logsumexp(each)) - np.log(3))


def test_a_cause_of_one_impression_has_no_states() -> None:
    assert WET_SAND.told(candidate(ONE_GATE), {}).states is None


def test_missing_readings_neither_help_nor_hurt() -> None:
    book = wet_sand_book()
    unread = asked_field(evidence_of(history(book.moulds, book.findings, heats=book.heats.values())))
    told = unread.told(candidate(WET), {})
    assert told.log_evidence == pytest.approx(told.log_blanked)


def test_a_card_past_its_limit_speaks_for_the_plate_as_much_as_such_cards_are_rare() -> None:
    """Half of the moulds bad, evenly: z/q times what an unread card says, q the usual share of plates (0.15)."""
    rows = [mould(f"M{n}", n // 4) for n in range(40)]
    bad = [seen(f"M{n}") for n in range(0, 40, 2)]
    no_draft = cause("no-draft", "pattern", ("draft_deg", "below"), usual_share=0.15)
    of = candidate(no_draft, Limit("draft", "draft_deg", "below", 1.5, 0.3))
    told = {
        draft: asked_field(evidence_of(history(rows, bad, cards=[card(draft_deg=draft)]))).told(of, {})
        for draft in (None, 0.2, 3.0)
    }
    assert told[0.2].log_evidence - told[None].log_evidence == pytest.approx(np.log(0.98 / 0.15), abs=0.1)
    assert told[3.0].log_evidence - told[None].log_evidence == pytest.approx(np.log(0.02 / 0.15), abs=0.1)


def test_one_revision_is_one_group() -> None:
    told = WET_SAND.told(candidate(NO_FLOW_OFF), {})
    assert told.states is not None
    assert len(told.states.chance) == 1
