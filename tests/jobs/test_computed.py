"""Computed readings join those on record, and never take their place."""

from datetime import datetime, timedelta
from pathlib import Path

import numpy as np
import pytest

from defectlog.diagnosis.evidence import gather_evidence
from defectlog.jobs.computed import OF_A_MOULD, card_readings, of_moulds, over_moulds, provenance_of, shaken_out
from defectlog.records.histories import PatternHistory, Seen
from defectlog.records.kinds import Heat, Mould, Pattern, Sand
from defectlog.rulebase.load import load_rules

POURED = datetime(2026, 3, 9, 9, 40)
CARD = Pattern(
    pattern="P-1", revision="A", impressions=4, alloy="356", choke_mm2=110.0, gate_mm2=210.0, sprue_height_mm=150.0,
    poured_kg=4.0, min_section_mm=5.0,
)  # fmt: skip


def history(moulds: tuple[Mould, ...], findings: tuple[Seen, ...] = ()) -> PatternHistory:
    return PatternHistory(
        pattern="P-1", since=POURED.date(), until=POURED.date(), revisions=(CARD,), moulds=moulds,
        sands={"S": Sand(sand="S", mixed_at=POURED, moisture_pct=3.6, active_clay_pct=9.0)},
        heats={"H": Heat(heat="H", melted_at=POURED, alloy="A356")}, findings=findings,
    )  # fmt: skip


def mould(name: str, **fields: object) -> Mould:
    return Mould(mould=name, pattern="P-1", revision="A", castings=4, poured_at=POURED, sand="S", heat="H", **fields)  # type: ignore[arg-type] # fields as a test wants them


def test_the_card_gives_every_mould_its_gate_velocity_and_says_from_what() -> None:
    by_revision = card_readings(history((mould("M1"),)))
    values = over_moulds(history((mould("M1"), mould("M2"))), by_revision)
    assert len(set(values["gate_velocity_m_s"])) == 1
    (line,) = provenance_of(by_revision)["gate_velocity_m_s"]
    assert "computed from choke 110 mm², gate 210 mm², head 150 mm" in line


def test_superheat_and_temper_ratio_follow_from_the_mould_its_heat_and_its_sand() -> None:
    found = of_moulds(history((mould("M1", pour_c=715.0), mould("M2"))), load_rules(), set(OF_A_MOULD))
    assert found["superheat_c"] == [pytest.approx(100.0), None]  # 356: liquidus 615 °C, rules/alloys.toml
    assert found["temper_ratio"] == [pytest.approx(0.4)] * 2


def test_the_time_in_the_mould_runs_to_the_first_finding_at_shakeout() -> None:
    late, early = (
        Seen(number, "M1", 1, "hot-tear", found="shakeout", found_at=POURED + timedelta(minutes=minutes))
        for number, minutes in ((1, 90), (2, 45))
    )
    a_day_alone = Seen(3, "M2", 1, "hot-tear", found="shakeout", found_at=datetime(2026, 3, 10))
    moulds = (mould("M1"), mould("M2"))
    assert shaken_out(history(moulds, (late, early, a_day_alone))) == {"M1": POURED + timedelta(minutes=45)}
    found = of_moulds(history(moulds, (late, early, a_day_alone)), load_rules(), ["cooling_min"])
    assert found["cooling_min"] == [45.0, None]


def test_what_was_measured_comes_before_what_was_computed() -> None:
    evidence = gather_evidence(history((mould("M1", cooling_min=30.0), mould("M2"))), {"cooling_min": [45.0, 50.0]})
    assert evidence.readings["cooling_min"].tolist() == [30.0, 50.0]


def test_a_day_without_a_clock_gives_no_standing_time() -> None:
    clock = mould("M1", made_at=POURED - timedelta(hours=2))
    day_alone = mould("M2", made_at=datetime(2026, 3, 9))
    hours = gather_evidence(history((clock, day_alone))).readings["stood_h"]
    assert hours[0] == pytest.approx(2.0)
    assert np.isnan(hours[1])


def test_nothing_is_worked_out_that_no_cause_asks_for(tmp_path: Path) -> None:
    assert of_moulds(history((mould("M1", pour_c=715.0),)), load_rules(cache_folder=tmp_path), []) == {}
