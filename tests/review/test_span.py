"""Many months at once: nothing is lost in the sum, nothing is judged anew. Invented months."""

from datetime import date

import pytest

from defectlog.foundry.money import Rates
from defectlog.records.ledgers import MonthLedger, OutOfBalance
from defectlog.review.cost import ShopRates
from defectlog.review.month import review_month
from defectlog.review.span import review_span
from defectlog.review.span_json import span_as_json
from defectlog.review.usual import month_before
from tests.review.months import MARCH, charge, month_of, months_before

FEBRUARY = date(2026, 2, 1)
RATES = ShopRates(Rates(metal_per_kg=2.0), "EUR")


def ledgers() -> list[MonthLedger]:
    """February as always, March bad; P-7 was poured in March alone."""
    usual, bad = [1] * 4 + [0] * 96, [1] * 30 + [0] * 70
    months = [*months_before(usual, 14), month_of(bad), month_of([1, 0], 2, "P-7")]
    february = tuple(charge(f"F-{n}", "misrun", kg_each=0.5, cast_on=date(2026, 2, 9)) for n in range(4))
    march = (
        *(charge(f"M-{n}", kg_each=0.5) for n in range(30)),
        charge("M-50", pattern="P-7", kg_each=1.0, found="customer"),
    )
    until_february = tuple(row for row in months if row.month <= FEBRUARY)
    over = (OutOfBalance("M-50", "P-7", date(2026, 3, 9), 2, 3),)
    return [
        MonthLedger(FEBRUARY, until_february, charges=february, trials=1),
        MonthLedger(MARCH, tuple(months), charges=march, out_of_balance=over),
    ]


def test_the_sum_is_that_of_the_months() -> None:
    span = review_span(ledgers(), rates=RATES)
    assert (span.first, span.last, len(span.months)) == (FEBRUARY, MARCH, 2)
    assert (span.counts.moulds, span.counts.castings, span.counts.scrapped) == (202, 804, 35)
    assert span.first_pass == sum(month.first_pass or 0 for month in span.months) == 804 - 35 + 1
    assert (span.returned, span.excess) == (1, 1)
    assert span.kg.total == pytest.approx(34 * 0.5 + 1.0) and span.cost.total == pytest.approx(36.0)
    assert [(row.defect, row.castings) for row in span.defects] == [("gas-holes", 31), ("misrun", 4)]
    assert [row.mould for row in span.out_of_balance] == ["M-50"]


def test_each_month_is_judged_as_it_is_judged_alone() -> None:
    several = review_span(ledgers(), rates=RATES).months
    alone = tuple(review_month(ledger, rates=RATES) for ledger in ledgers())
    assert several == alone


def test_a_pattern_over_the_months_has_how_often_it_was_marked() -> None:
    rows = {row.pattern: row for row in review_span(ledgers(), rates=RATES).patterns}
    assert (rows["P-104"].above, rows["P-104"].below, rows["P-104"].judged) == (1, 0, 2)
    assert rows["P-104"].expected == pytest.approx(8.0)
    assert (rows["P-7"].judged, rows["P-7"].expected) == (0, None)
    assert rows["P-104"].interval is not None
    assert rows["P-104"].interval.low < 34 / 800 < rows["P-104"].interval.high


def test_one_pattern_alone_and_the_month_found() -> None:
    only = review_span(ledgers(), only="P-7")
    assert (only.counts.castings, only.counts.scrapped, [row.pattern for row in only.patterns]) == (4, 1, ["P-7"])
    found = review_span(ledgers(), by="found")
    assert (found.first_pass, found.interval, found.expected) == (None, None, None)
    assert found.counts.scrapped == 31  # the four of February were found in March, outside their own ledger


def test_a_span_of_one_month_is_that_month() -> None:
    answer = span_as_json(review_span(ledgers()[1:]))
    month = review_month(ledgers()[1])
    assert (answer["castings"], answer["scrapped"]) == (month.counts.castings, month.counts.scrapped)
    assert answer["interval"] is not None and month.interval is not None
    assert answer["interval"] == pytest.approx([month.interval.low, month.interval.high])
    assert answer["from"] == answer["until"] == "2026-03"


def test_no_month_is_no_span() -> None:
    with pytest.raises(ValueError, match="at least one month"):
        review_span([])


def test_the_past_of_a_month_is_said_with_the_review() -> None:
    (row,) = review_month(ledgers()[0]).patterns
    assert row.past_span == (month_before(MARCH, 14), month_before(MARCH, 3))
