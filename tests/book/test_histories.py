"""What the reasoning is handed, worked out by hand on a little book."""

from datetime import date, datetime

import pytest

from defectlog.book.acts import writing
from defectlog.book.histories import pattern_history, shop_usual
from defectlog.errors import NotFound
from defectlog.records.histories import DefectDay
from defectlog.records.kinds import Finding, Heat, Mould, Pattern, Remedy, Sand, Verdict

SINCE, UNTIL = date(2026, 3, 1), date(2026, 3, 31)
IDS = {"gas-holes": "gas-holes", "blows": "gas-holes", "misrun": "misrun"}


def defect_of(written):
    return IDS.get(written, "")


@pytest.fixture
def shop(book):
    """P-1, four on the plate, six from the 20th on: seven moulds in March of which five count; P-2: one mould."""
    with writing(book, "start") as act:
        act.add(Pattern(pattern="P-1", impressions=4))
        act.add(Pattern(pattern="P-1", revision="B", in_force_from=date(2026, 3, 20), impressions=6))
        act.add(Pattern(pattern="P-2", impressions=1))
        act.add(Sand(sand="S-1", mixed_at=datetime(2026, 3, 9, 6), moisture_pct=3.5))
        act.add(Sand(sand="S-2", mixed_at=datetime(2026, 4, 9, 6), moisture_pct=9.0))
        act.add(Heat(heat="H-1", melted_at=datetime(2026, 3, 9, 9), skimmed=True))
        march = {"pattern": "P-1", "sand": "S-1", "heat": "H-1"}
        act.add(
            Mould(
                mould="M-2", poured_at=datetime(2026, 3, 9, 11), pour_order=2, made_at=datetime(2026, 3, 9, 8), **march
            )
        )
        act.add(Mould(mould="M-1", poured_at=datetime(2026, 3, 9, 11), pour_order=1, pour_c=720.0, **march))
        act.add(Mould(mould="M-3", poured_at=datetime(2026, 3, 31, 23, 59), **march))
        act.add(Mould(mould="M-4", made_at=datetime(2026, 3, 20), outcome="poured", pattern="P-1", castings=5))
        act.add(Mould(mould="M-5", poured_at=datetime(2026, 3, 1), pattern="P-1", revision="B"))
        act.add(Mould(mould="M-6", poured_at=datetime(2026, 3, 10), pattern="P-1", trial=True))
        act.add(Mould(mould="M-7", made_at=datetime(2026, 3, 10), pattern="P-1", outcome="lost before pouring"))
        act.add(Mould(mould="M-8", made_at=datetime(2026, 3, 10), pattern="P-1"))
        act.add(Mould(mould="M-9", poured_at=datetime(2026, 4, 1), pattern="P-1", sand="S-2"))
        act.add(Mould(mould="M-10", poured_at=datetime(2026, 3, 9), pattern="P-2"))
        act.add(Finding(mould="M-1", defect="blows", castings=2, disposition="scrap", found="customer"))
        act.add(Finding(mould="M-1", defect="gas-holes", primary=False))
        act.add(Finding(mould="M-2", seen="odd lump"))
        act.add(Finding(mould="M-6", defect="misrun"))
        act.add(Finding(mould="M-10", defect="misrun"))
        act.add(Verdict(pattern="P-2", defect="misrun", cause="cold", verdict="confirmed", decided_on=date(2026, 3, 9)))
        act.add(Verdict(pattern="P-1", defect="misrun", cause="cold", verdict="ruled out", decided_on=date(2026, 3, 9)))
        act.add(Remedy(pattern="P-1", defect="misrun", change="hotter", from_date=date(2026, 3, 9)))
    with writing(book, "mistaken") as act:
        row = act.add(Finding(mould="M-2", defect="misrun"))
        act.add(Mould(mould="M-11", pattern="P-1", poured_at=datetime(2026, 3, 9)))
    with writing(book, "withdrawn") as act:
        act.withdraw(Finding, row)
        act.withdraw(Mould, "M-11")
    return book


def test_the_moulds_of_the_window_in_the_order_of_pouring(shop):
    history = pattern_history(shop, "P-1", SINCE, UNTIL, defect_of)
    assert [(mould.mould, mould.revision, mould.castings) for mould in history.moulds] == [
        ("M-5", "B", 6),
        ("M-1", "A", 4),
        ("M-2", "A", 4),
        ("M-4", "B", 5),
        ("M-3", "B", 6),
    ]
    assert (history.trials, history.lost_before_pouring) == (1, 1)
    assert [card.revision for card in history.revisions] == ["A", "B"]
    assert set(history.sands) == {"S-1"}
    assert history.heats["H-1"].skimmed is True
    assert len(history.verdicts) == len(history.remedies) == 1


def test_the_findings_of_those_moulds_with_their_defaults(shop):
    first, second, third = pattern_history(shop, "P-1", SINCE, UNTIL, defect_of).findings
    assert (first.defect, first.defect_as_written, first.castings, first.found) == ("gas-holes", "blows", 2, "customer")
    assert (second.castings, second.primary, second.disposition) == (1, False, "undecided")
    assert (third.defect, third.seen, third.primary) == ("", "odd lump", True)


def test_a_pattern_that_is_not_there(shop):
    with pytest.raises(NotFound, match="P-3 is not in the book"):
        pattern_history(shop, "P-3", SINCE, UNTIL)


def test_the_shops_usual_run(shop):
    usual = shop_usual(shop, SINCE, UNTIL, defect_of)
    assert (usual.moulds, usual.castings) == (6, 6 + 4 + 4 + 5 + 6 + 1)
    assert usual.bad == {"gas-holes": 3, "misrun": 1, "": 1}
    assert usual.readings["moisture_pct"] == (3.5,)
    assert usual.readings["skimmed"] == (1.0,)
    assert usual.readings["pour_c"] == (720.0,)
    assert usual.readings["stood_h"] == (3.0,)
    assert usual.readings["gfn"] == ()
    assert "castings" not in usual.readings
    assert len(usual.verdicts) == 2


def test_the_days_of_the_patterns_that_had_the_defect(shop):
    usual = shop_usual(shop, SINCE, UNTIL, defect_of, readings=["moisture_pct"])
    assert usual.readings == {"moisture_pct": (3.5,)}
    assert set(usual.days) == {"gas-holes", "misrun", ""}
    assert usual.days["gas-holes"] == (
        DefectDay("P-1", date(2026, 3, 1), moulds=1, castings=6, bad=0),
        DefectDay("P-1", date(2026, 3, 9), moulds=2, castings=8, bad=3),
        DefectDay("P-1", date(2026, 3, 20), moulds=1, castings=5, bad=0),
        DefectDay("P-1", date(2026, 3, 31), moulds=1, castings=6, bad=0),
    )
    assert usual.days["misrun"] == (DefectDay("P-2", date(2026, 3, 9), moulds=1, castings=1, bad=1),)


def test_an_empty_window_is_empty_and_no_error(shop):
    usual = shop_usual(shop, date(2030, 1, 1), date(2030, 1, 31), defect_of)
    assert (usual.moulds, usual.castings, usual.bad, usual.days) == (0, 0, {}, {})
    assert usual.readings["moisture_pct"] == ()
    assert pattern_history(shop, "P-1", date(2030, 1, 1), date(2030, 1, 31)).moulds == ()
