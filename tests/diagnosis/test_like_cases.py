"""What the book holds of the same defect elsewhere."""

from datetime import date

from defectlog.diagnosis.like_cases import like_cases
from defectlog.records.kinds import Remedy, Verdict


def verdict(pattern: str, cause: str, day: date, says: str = "confirmed", defect: str = "gas-holes") -> Verdict:
    return Verdict(pattern=pattern, defect=defect, cause=cause, verdict=says, decided_on=day)


def same(written: str) -> str:
    return {"blows": "gas-holes"}.get(written, written)


def test_confirmed_causes_of_the_same_defect_come_with_the_change_that_cured_it() -> None:
    remedy = Remedy(
        pattern="P-2", defect="blows", cause="sand-too-wet", change="batch dried", from_date=date(2026, 2, 1),
        verdict="worked",
    )  # fmt: skip
    found = like_cases("gas-holes", "P-1", "", [verdict("P-2", "sand-too-wet", date(2026, 2, 3))], [remedy], same)
    assert [(case.pattern, case.change, case.remedy_verdict) for case in found] == [("P-2", "batch dried", "worked")]


def test_a_cause_ruled_out_and_another_defect_are_no_like_case() -> None:
    verdicts = [
        verdict("P-2", "sand-too-wet", date(2026, 2, 3), "ruled out"),
        verdict("P-2", "sand-too-wet", date(2026, 2, 3), defect="misrun"),
    ]
    assert like_cases("gas-holes", "P-1", "", verdicts, [], same) == ()


def test_cases_of_the_cause_that_leads_now_come_first_then_the_latest() -> None:
    verdicts = [
        verdict("P-2", "gassy-melt", date(2026, 5, 1)),
        verdict("P-3", "sand-too-wet", date(2026, 1, 1)),
        verdict("P-4", "sand-too-wet", date(2026, 3, 1)),
    ]
    found = like_cases("gas-holes", "P-1", "sand-too-wet", verdicts, [], same)
    assert [case.pattern for case in found] == ["P-4", "P-3", "P-2"]


def test_a_remedy_that_was_judged_counts_without_a_verdict_on_the_cause() -> None:
    remedy = Remedy(pattern="P-2", defect="gas-holes", change="vented", from_date=date(2026, 2, 1), verdict="worked")
    waiting = Remedy(pattern="P-3", defect="gas-holes", change="rammed softer", from_date=date(2026, 2, 1))
    found = like_cases("gas-holes", "P-1", "", [], [remedy, waiting], same)
    assert [(case.pattern, case.verdict, case.change) for case in found] == [("P-2", "believed", "vented")]
