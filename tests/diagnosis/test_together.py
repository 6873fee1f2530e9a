"""Two causes at once: the second is named when it explains what the first leaves."""

from datetime import date

from defectlog.diagnosis.looks import Look
from defectlog.diagnosis.why import Asked, DefectAnswer, diagnose
from defectlog.records.histories import DefectDay, Seen, ShopUsual
from defectlog.records.kinds import Mould, Sand
from tests.diagnosis.small_history import START, history_of, mould, seen
from tests.diagnosis.small_rules import real_rules


def answer(*, rammed_hard: bool) -> DefectAnswer:
    """Thirty days of two batches: every fifth batch is wet; and, if wished, every seventh mould is rammed hard."""
    moulds: list[Mould] = []
    sands: list[Sand] = []
    findings: list[Seen] = []
    number = 0
    for batch in range(60):
        wet = batch % 5 == 0
        sands.append(Sand(sand=f"S{batch}", mixed_at=START, moisture_pct=6.0 if wet else 3.5))
        for _ in range(6):
            number += 1
            odd = rammed_hard and number % 7 == 0
            moulds.append(mould(number, day=batch // 2, sand=f"S{batch}", hardness_b=96.0 if odd else 80.0))
            if (wet and number % 2 == 0) or (odd and number % 14 == 0):
                findings.append(seen(number, castings=2))
    usual = ShopUsual(
        moulds=2000, castings=8000, bad={"gas-holes": 80 + 2 * len(findings)},
        readings={"moisture_pct": tuple(sand.moisture_pct or 0.0 for sand in sands)},
        days={"gas-holes": (DefectDay("P-2", date(2026, 3, 2), 100, 400, 4),)},
    )  # fmt: skip
    history = history_of(moulds, findings, sands=sands)
    asked = Asked(today=date(2026, 6, 1), defect="gas-holes")
    return diagnose(history, usual, real_rules(), asked, lambda _: Look({})).defects[0]


def test_the_second_cause_is_named_beside_the_first() -> None:
    found = answer(rammed_hard=True)
    assert found.beside is not None
    assert {found.causes[0].cause.id, found.beside.second.candidate.id} == {"sand-too-wet", "rammed-hard"}
    assert found.beside.bad > 0


def test_nobody_is_named_beside_a_cause_that_explains_it_all() -> None:
    found = answer(rammed_hard=False)
    assert found.causes[0].cause.id == "sand-too-wet"
    assert found.beside is None


def test_what_the_first_leaves_holds_none_of_its_own_moulds() -> None:
    found = answer(rammed_hard=True)
    assert found.beside is not None
    assert found.beside.of_moulds == 360 - 360 // 7
    assert found.beside.moulds <= found.moulds
