"""Castings of a mould = good + reworked + used as is + scrapped + undecided; each is charged once."""

from hypothesis import given
from hypothesis import strategies as st

from defectlog.records.counts import MouldCount, count_mould, total
from defectlog.records.kinds import DISPOSITIONS, Finding

FINDINGS = st.builds(
    Finding,
    mould=st.just("M-1"),
    seen=st.just("hole"),
    castings=st.none() | st.integers(1, 6),
    defect=st.none() | st.sampled_from(["gas-holes", "misrun"]),
    disposition=st.none() | st.sampled_from(DISPOSITIONS),
    primary=st.none() | st.booleans(),
)


@given(st.integers(0, 40), st.lists(FINDINGS))
def test_the_castings_of_a_mould_balance(castings, findings):
    counted = count_mould(castings, findings)
    parts = counted.good + counted.reworked + counted.used_as_is + counted.scrapped + counted.undecided
    assert parts == castings
    assert sum(counted.charged.values()) == counted.bad
    assert counted.bad == sum(item.castings or 1 for item in findings if item.primary is not False)


def test_a_secondary_defect_is_charged_to_nothing():
    """Six castings: one scrapped for gas with a rough face beside it, two reworked, one not decided."""
    findings = [
        Finding(mould="M-1", defect="gas-holes", disposition="scrap"),
        Finding(mould="M-1", defect="rough-surface", disposition="scrap", primary=False),
        Finding(mould="M-1", defect="misrun", disposition="rework", castings=2),
        Finding(mould="M-1", seen="odd lump"),
    ]
    assert count_mould(6, findings) == MouldCount(
        castings=6, scrapped=1, reworked=2, undecided=1, charged={"gas-holes": 1, "misrun": 2, "": 1}
    )


@given(st.lists(st.tuples(st.integers(0, 9), st.lists(FINDINGS, max_size=3)), max_size=5))
def test_the_total_is_the_sum(moulds):
    counts = [count_mould(castings, findings) for castings, findings in moulds]
    whole = total(counts)
    assert whole.castings == sum(item.castings for item in counts)
    assert whole.good == sum(item.good for item in counts)
    assert sum(whole.charged.values()) == whole.bad
