"""Each check of records: a record that is sound is silent, a breach is named by its mould."""

from dataclasses import replace
from datetime import datetime

import pytest

from defectlog.records.checks import MouldCase, check_mould, faults, range_reversed
from defectlog.records.kinds import Finding, Heat, Mould, Pattern, Remedy, Sand

SOUND = MouldCase(
    mould=Mould(
        mould="M-1", pattern="P-1", made_at=datetime(2026, 3, 9, 8), poured_at=datetime(2026, 3, 9, 11), heat="H-1"
    ),
    castings=4,
    pattern=Pattern(pattern="P-1", impressions=4, alloy="356"),
    findings=(
        Finding(mould="M-1", defect="gas-holes", impression=2, disposition="scrap", found_at=datetime(2026, 3, 9, 15)),
        Finding(mould="M-1", defect="rough-surface", impression=2, primary=False),
    ),
    sand=Sand(sand="S-1", mixed_at=datetime(2026, 3, 9, 6)),
    heat=Heat(heat="H-1", melted_at=datetime(2026, 3, 9, 9), alloy="356"),
)


def codes(case):
    problems = check_mould(case)
    assert all("M-1" in problem.where for problem in problems)
    return [problem.code for problem in problems]


def test_a_sound_mould_is_silent():
    assert codes(SOUND) == []


@pytest.mark.parametrize(
    ("change", "code"),
    [
        ({"findings": (Finding(mould="M-1", seen="holes", castings=5),)}, "castings-too-many"),
        ({"findings": (Finding(mould="M-1", seen="holes", impression=5),)}, "impression-unknown"),
        ({"findings": tuple(Finding(mould="M-1", seen="holes", castings=2) for _ in range(3))}, "out-of-balance"),
        ({"findings": (Finding(mould="M-1", seen="holes", primary=False),)}, "never-charged"),
        ({"findings": (Finding(mould="M-1", seen="holes", found_at=datetime(2026, 3, 8)),)}, "dates-out-of-order"),
        ({"sand": Sand(sand="S-1", mixed_at=datetime(2026, 3, 9, 9))}, "dates-out-of-order"),
        ({"heat": Heat(heat="H-1", melted_at=datetime(2026, 3, 9, 12))}, "dates-out-of-order"),
        ({"heat": Heat(heat="H-1", melted_at=datetime(2026, 3, 9), alloy="319")}, "alloy-differs"),
        ({"mould": replace(SOUND.mould, poured_at=datetime(2026, 3, 9, 7, 30)), "heat": None}, "dates-out-of-order"),
        ({"mould": replace(SOUND.mould, outcome="lost before pouring")}, "lost-yet-poured"),
        ({"mould": Mould(mould="M-1", pattern="P-1", heat="H-1"), "findings": ()}, "mould-undated"),
        ({"mould": replace(SOUND.mould, hardness_b=104.0)}, "off-scale"),
    ],
)
def test_a_breach_is_named(change, code):
    assert code in codes(replace(SOUND, **change))


def test_days_without_a_time_of_day_are_compared_as_days():
    """Poured on the 9th, found on the 9th with no time on record: in order."""
    found = Finding(mould="M-1", seen="holes", found_at=datetime(2026, 3, 9))
    assert codes(replace(SOUND, findings=(found,))) == []


def test_a_secondary_beside_a_primary_on_several_castings_is_charged():
    findings = (
        Finding(mould="M-1", seen="holes", castings=3),
        Finding(mould="M-1", seen="rough", impression=2, primary=False),
    )
    assert codes(replace(SOUND, findings=findings)) == []


def test_ranges_the_wrong_way_round():
    card = Pattern(pattern="P-1", impressions=4, min_section_mm=9, max_section_mm=5, pour_low_c=700, pour_high_c=720)
    assert [problem.code for problem in range_reversed(card)] == ["range-reversed"]
    heavy = Pattern(pattern="P-1", impressions=4, casting_kg=1.0, poured_kg=3.0)
    assert [problem.code for problem in range_reversed(heavy)] == ["range-reversed"]
    assert range_reversed(Pattern(pattern="P-1", impressions=4, casting_kg=1.0, poured_kg=6.0)) == []


@pytest.mark.parametrize(
    ("record", "code"),
    [
        (Mould(mould="", pattern="P-1"), "cell-empty"),
        (Mould(mould="M-1", pattern="P-1", pour_c=5000.0), "impossible"),
        (Mould(mould="M-1", pattern="P-1", pour_c=float("nan")), "impossible"),
        (Mould(mould="M-1", pattern="P-1", outcome="melted"), "not-a-choice"),
        (Finding(mould="M-1"), "nothing-seen"),
        (Remedy(pattern="P-1", defect="gas-holes", change="vents"), "remedy-without-start"),
    ],
)
def test_a_record_that_cannot_be_is_refused(record, code):
    assert [problem.code for problem in faults(record, "here")] == [code]
