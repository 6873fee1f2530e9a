"""A trace as a page says what is at risk, and as rows of a sheet it stays data."""

from datetime import datetime

from defectlog.records.counts import count_mould
from defectlog.records.kinds import Finding, Mould
from defectlog.report.answers import Trace, Traced, Which
from defectlog.report.moulds import MouldSeen
from defectlog.report.plain import plain_text
from defectlog.report.trace import SHEET_COLUMNS, sheet_rows, trace_page


def traced(mould, *findings):
    return Traced(MouldSeen(mould, findings, count_mould(2, findings)), ("heat H-1",))


def trace(*moulds, waiting=()):
    count = count_mould(2 * len(moulds), [finding for item in moulds for finding in item.seen.findings])
    return Trace(Which("heat", "H-1"), (), (), moulds, count, waiting, ())


def test_all_scrapped_means_nothing_is_at_risk():
    poured = Mould(mould="M-1", pattern="P-1", poured_at=datetime(2026, 3, 9))
    both = Finding(mould="M-1", castings=2, seen="holes", disposition="scrap", found="customer")
    page = plain_text(trace_page(trace(traced(poured, both))))
    assert "at risk" not in page
    assert "2 at customer" in page
    assert "not named, only described" in page
    assert "at risk: 2 castings" in plain_text(trace_page(trace(traced(poured))))


def test_a_mould_not_poured_has_no_results_in_the_sheet():
    rows = list(sheet_rows(trace(traced(Mould(mould="=M", pattern="+P")), waiting=("=M",))))
    row = dict(zip(rows[0], rows[1], strict=True))
    assert tuple(rows[0]) == SHEET_COLUMNS
    assert (row["mould"], row["pattern"]) == ("'=M", "'+P")
    assert (row["state"], row["castings"], row["good"], row["scrapped"]) == ("waiting", "2", "", "")


def test_with_nothing_poured_what_can_be_stopped_is_what_counts():
    waiting = trace(traced(Mould(mould="M-1", pattern="P-1")), waiting=("M-1",))
    empty = Trace(waiting.what, (), (), waiting.moulds, count_mould(0, ()), ("M-1",), ())
    page = plain_text(trace_page(empty))
    assert "none poured" in page
    assert "can still be stopped, not poured yet: M-1" in page
    assert "at risk" not in page
