"""The review of a small invented month, read aloud, and what must hold for any month."""

import json
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as some

from defectlog.foundry.money import Rates
from defectlog.records.kinds import FOUND, Remedy
from defectlog.records.ledgers import MarkedChange, MonthLedger, OutOfBalance, PatternMetal, RemedyTally, Tally
from defectlog.review.cost import ShopRates
from defectlog.review.month import review_month
from defectlog.review.month_json import month_as_json
from tests.review.months import charge, ledger, month_of, months_before

APRIL_9, FEBRUARY_2 = date(2026, 4, 9), date(2026, 2, 2)


def small_shop() -> MonthLedger:
    """P-104 has turned bad, P-7 is as always, P-9 is new. All invented."""
    months = [
        *months_before([1] * 4 + [0] * 96),
        month_of([1] * 30 + [0] * 70, reworked=2),
        *months_before([1] * 2 + [0] * 78, castings=2, pattern="P-7"),
        month_of([1] * 3 + [0] * 77, 2, "P-7"),
        month_of([2, 0], 6, "P-9"),
    ]
    charges = [
        *(charge(f"M-{n}", "gas-holes", kg_each=0.5, impression=3, impressions=4) for n in range(25)),
        *(charge(f"M-{n}", "misrun", kg_each=0.5, found="machining", found_on=APRIL_9) for n in range(25, 30)),
        charge("M-40", "flash", 2, disposition="rework", kg_each=0.5),
        *(charge(f"M-{n}", "sink", pattern="P-7", kg_each=1.0) for n in range(50, 53)),
        charge("M-60", "misrun", 2, pattern="P-9"),
        charge("M-12", "sink", pattern="P-7", kg_each=1.0, cast_on=FEBRUARY_2, found="customer"),
    ]
    return ledger(
        months,
        charges,
        metal=(PatternMetal("P-104", 200.0, 400.0), PatternMetal("P-9", None, None)),
        out_of_balance=(OutOfBalance("M-60", "P-9", date(2026, 3, 9), 1, 2),),
        lost_before_pouring=2,
        trials=1,
    )


def test_the_month_by_month_cast() -> None:
    review = review_month(small_shop())
    assert (review.counts.moulds, review.counts.castings, review.counts.scrapped) == (182, 572, 35)
    assert review.scrap_rate == pytest.approx(35 / 572)
    assert review.interval is not None and review.interval.low < 35 / 572 < review.interval.high
    assert [row.pattern for row in review.patterns] == ["P-104", "P-7", "P-9"]
    bad, usual, new = review.patterns
    assert (bad.signal, bad.firm, bad.main_defect) == ("above", True, "gas-holes")
    assert usual.signal in ("none", "too few")
    assert (new.signal, new.chart, new.limits, new.expected) == ("too few", None, None, None)


def test_expected_scrap_is_from_each_patterns_own_past() -> None:
    review = review_month(small_shop())
    assert review.patterns[0].expected == pytest.approx(4.0)
    assert review.mix is not None
    assert review.mix.expected == pytest.approx(4.0 + 2.0)
    assert review.mix.without_past == ("P-9",)


def test_by_month_found_counts_what_turned_up_in_it_and_judges_nothing() -> None:
    review = review_month(small_shop(), by="found")
    found = {row.pattern: row for row in review.patterns}
    assert found["P-104"].counts.scrapped == 25
    assert found["P-7"].counts.scrapped == 4
    assert review.found["customer"] == 1
    assert {row.signal for row in review.patterns} == {None}
    assert review.interval is None and review.mix is None
    assert any("By month found" in note for note in review.notes)


def test_cost_and_weight_leave_out_what_is_not_known_and_say_so() -> None:
    review = review_month(small_shop(), rates=ShopRates(Rates(metal_per_kg=3.0, remelt_per_kg=1.0), "EUR"))
    assert review.cost.total == pytest.approx((30 * 0.5 + 3 * 1.0) * 2)
    assert review.cost.left_out == 2
    assert review.kg.total == pytest.approx(18.0)
    assert review.patterns[0].yield_pct == pytest.approx(50.0)
    assert any("no part in the cost" in note for note in review.notes)
    assert review_month(small_shop()).cost.total is None


def test_the_notes_say_what_the_figures_cannot() -> None:
    notes = " ".join(review_month(small_shop()).notes)
    assert "Luck alone marks an unchanged one about once in 100 months" in notes
    assert "1 pattern has no past yet" in notes
    assert "1 mould has more castings charged than poured" in notes
    assert "1 trial mould and 2 moulds lost before pouring" in notes
    assert "5 scrapped castings poured in this month came to light after it" in notes


def test_no_norm_and_no_person_is_in_the_review() -> None:
    text = json.dumps(month_as_json(review_month(small_shop()))).lower()
    for word in ("norm", "benchmark", "industry", "moulder", "poured_by"):
        assert word not in text


def test_a_remedy_with_an_answer_and_no_verdict_is_due() -> None:
    remedy = Remedy(pattern="P-104", defect="gas-holes", change="dryer sand")
    tallies = (
        RemedyTally(4, remedy, date(2026, 1, 12), Tally(40, 6, 160, 9), Tally(40, 0, 160, 0)),
        RemedyTally(5, remedy, date(2026, 3, 20), Tally(40, 6, 160, 9), Tally(5, 0, 20, 0)),
    )
    done, early = review_month(ledger([month_of([0] * 9)], remedies=tallies)).remedies
    assert (done.outcome.answer, done.due) == ("worked", True)
    assert (early.outcome.answer, early.due) == ("too soon", False)


def test_a_marked_change_is_named() -> None:
    change = MarkedChange("P-104", date(2025, 8, 1), "bigger feeder")
    notes = review_month(ledger([month_of([0] * 9)], changes=(change,))).notes
    assert any("P-104 from 2025-08-01" in note for note in notes)


def test_an_empty_month_has_counts_of_nothing_and_no_rates() -> None:
    answer = month_as_json(review_month(ledger([])))
    assert (answer["castings"], answer["scrap_rate"], answer["interval"]) == (0, None, None)
    assert answer["patterns"] == answer["defects"] == answer["remedies"] == []
    assert set(FOUND) <= set(answer["found"])


KEYS = "month by moulds castings scrapped reworked scrap_rate interval expected_for_job_mix cost currency patterns"
PATTERN_KEYS = "pattern moulds castings scrapped scrap_rate interval expected limits chart signal cost kg main_defect"


@pytest.mark.parametrize("by", ["cast", "found"])
def test_the_json_has_every_key_that_scripts_read(by: str) -> None:
    answer = json.loads(json.dumps(month_as_json(review_month(small_shop(), by=by))))  # type: ignore[arg-type]  # one of two
    assert {*KEYS.split(), "defects", "found", "remedies", "out_of_balance"} <= set(answer)
    assert all(set(PATTERN_KEYS.split()) <= set(row) for row in answer["patterns"])
    assert all({"defect", "castings", "moulds", "kg", "cost", "cumulative"} <= set(row) for row in answer["defects"])
    assert (answer["month"], answer["by"]) == ("2026-03", by)


scraps = some.lists(some.integers(0, 4), min_size=1, max_size=40)


@given(some.lists(some.tuples(scraps, scraps), min_size=1, max_size=4))
def test_whatever_the_month_totals_tie_and_limits_are_in_order(shop: list[tuple[list[int], list[int]]]) -> None:
    months, charges = [], []
    for at, (past, now) in enumerate(shop):
        name = f"P-{at}"
        months += [*months_before(past, 12, pattern=name), month_of(now, pattern=name)]
        charges += [charge(f"{name}/{n}", castings=k, pattern=name) for n, k in enumerate(now) if k]
    review = review_month(ledger(months, charges))
    assert review.counts.scrapped == sum(row.counts.scrapped for row in review.patterns)
    assert review.counts.scrapped == sum(row.castings for row in review.defects) == sum(review.found.values())
    for row in review.patterns:
        assert row.interval is not None and row.scrap_rate is not None
        assert row.interval.low <= row.scrap_rate <= row.interval.high
        assert row.signal in ("none", "above", "below", "too few")
        if row.limits is not None:
            assert row.limits[0] <= row.limits[1]
        if row.chart == "p" and row.limits is not None:
            assert row.limits[0] >= 0 and row.limits[1] <= 1
    json.dumps(month_as_json(review), allow_nan=False)
