"""Which moulds count, and what is summed over them. The numbers are counted by hand."""

from datetime import datetime

import pytest

from defectlog.records.counts import count_mould
from defectlog.records.kinds import Finding, Mould
from defectlog.report.moulds import DefectSeen, MouldSeen, counted, defects_of, poured, stages_of, waiting

AT = datetime(2026, 3, 9, 14, 20)


def mould(**fields):
    return Mould(mould=fields.pop("mould", "M-1"), pattern="P-1", **fields)


def seen(one, *findings):
    return MouldSeen(one, findings, count_mould(4, findings))


@pytest.mark.parametrize(
    ("one", "is_poured", "is_waiting"),
    [
        (mould(), False, True),
        (mould(heat="H-1"), True, False),
        (mould(poured_at=AT), True, False),
        (mould(outcome="poured"), True, False),
        (mould(outcome="lost before pouring"), False, False),
        (mould(outcome="lost before pouring", poured_at=AT), False, False),
    ],
)
def test_a_mould_is_poured_waiting_or_lost(one, is_poured, is_waiting):
    assert (poured(one), waiting(one)) == (is_poured, is_waiting)


def test_castings_are_charged_once_and_trials_do_not_count():
    findings = (
        Finding(mould="M-1", castings=2, defect="gas-holes", disposition="scrap", found="shakeout"),
        Finding(mould="M-1", castings=1, defect="dross", disposition="rework"),
        Finding(mould="M-1", castings=1, defect="misrun", disposition="scrap", primary=False),
    )
    moulds = [seen(mould(poured_at=AT), *findings), seen(mould(mould="M-2", poured_at=AT, trial=True), findings[0])]
    summed = counted(moulds)
    assert (summed.castings, summed.scrapped, summed.reworked, summed.good) == (4, 2, 1, 1)
    assert defects_of(moulds) == (DefectSeen("gas-holes", 4, 2), DefectSeen("dross", 1, 1))
    assert stages_of(moulds) == {"shakeout": 4, "": 1}
