"""The corrective-action sheet: filled from the record, what is not there shown as a gap. The shop is invented."""

import json
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest

from defectlog.book.acts import writing
from defectlog.book.open import open_book
from defectlog.cli.main import run
from defectlog.errors import NotFound
from defectlog.jobs.corrective_action import corrective_action
from defectlog.jobs.invented_shop import invented_sheets, write_sheets
from defectlog.jobs.rules import the_rules
from defectlog.records.kinds import Pattern, Remedy, Verdict
from defectlog.report.corrective_action import sheet_html, sheet_page
from defectlog.report.corrective_action_answers import CorrectiveAction
from defectlog.report.corrective_action_json import sheet_json
from defectlog.report.plain import plain_text
from defectlog.rulebase.load import load_rules
from tests.report.printed import checked

TODAY = date(2026, 4, 1)
RULES = load_rules()


@pytest.fixture(scope="module")
def quarter(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    folder = tmp_path_factory.mktemp("quarter")
    write_sheets(folder / "sheets")
    assert run(["--book", str(folder / "shop.db"), "import", str(folder / "sheets")]) == 0
    return (folder / "shop.db").read_bytes()


@pytest.fixture
def sheet(quarter: bytes, tmp_path: Path) -> Callable[..., CorrectiveAction]:
    place = tmp_path / "shop.db"
    place.write_bytes(quarter)

    def filled(pattern: str = "P-104", defect: str = "gas holes", *records: object) -> CorrectiveAction:
        with open_book(place) as book:
            if records:
                with writing(book, "test") as act:
                    for record in records:
                        act.add(record)
            return corrective_action(book, the_rules(place), pattern, defect, today=TODAY)

    return filled


def read(sheet: CorrectiveAction) -> str:
    return " ".join(plain_text(sheet_page(sheet, RULES)).split())


def gaps(sheet: CorrectiveAction) -> str:
    return " / ".join(sheet_json(sheet, RULES)["gaps"])


def test_the_problem_in_numbers_is_what_the_sheets_say(sheet: Callable[..., CorrectiveAction]) -> None:
    """Counted once more from the rows that were imported: one casting a row."""
    rows = invented_sheets()
    moulds = {row["mould"] for row in rows["moulds"] if row["pattern"] == "P-104"}
    seen = [row["mould"] for row in rows["findings"] if row["mould"] in moulds and row["defect"] == "gas-holes"]
    found = sheet()
    bad = sum(month.bad_castings for month in found.months)
    assert bad == sum(found.became.values()) == sum(found.found.values()) == len(seen)
    assert sum(month.castings for month in found.months) == 4 * len(moulds)
    text = read(found)
    assert f"{len(seen)} of {4 * len(moulds)} castings (7.2 %) in {len(set(seen))} of {len(moulds)} moulds" in text
    assert text.startswith("Corrective action: P-104 pump cover, Gas holes")


def test_evidence_is_that_of_why_and_names_no_person(sheet: Callable[..., CorrectiveAction]) -> None:
    text = read(sheet())
    assert "Sand too wet" in text and "for: moisture above" in text
    assert "The rate changed about 2026-03-02" in text
    assert "first moulder" not in text


def test_containment_counts_each_mould_once(sheet: Callable[..., CorrectiveAction]) -> None:
    found = sheet()
    assert found.at_risk is not None and found.shared
    assert found.at_risk.moulds < sum(item.moulds for item in found.shared)
    assert found.at_risk.moulds >= max(item.moulds for item in found.shared)
    assert "where the castings that were not scrapped are now" in gaps(found)


def test_what_is_not_on_record_is_a_gap(sheet: Callable[..., CorrectiveAction]) -> None:
    told = gaps(sheet())
    for part in ("a confirmed cause", "what was changed, from which mould on", "a revision of the pattern card"):
        assert part in told


def test_what_is_on_record_is_no_gap(sheet: Callable[..., CorrectiveAction]) -> None:
    found = sheet(
        "P-104",
        "gas-holes",
        Verdict(pattern="P-104", defect="gas-holes", cause="sand-too-wet", verdict="confirmed",
                decided_on=date(2026, 3, 20), basis="dried a batch"),
        Remedy(pattern="P-104", defect="gas-holes", change="moisture meter mended", from_date=date(2026, 3, 23),
               owner="the foreman", check_castings=100, verdict="no effect seen"),
        Pattern(pattern="P-104", revision="B", impressions=4, in_force_from=date(2026, 3, 23), note="two vents more"),
    )  # fmt: skip
    text, told = read(found), gaps(found)
    assert "sand too wet – confirmed on 2026-03-20: dried a batch" in text
    assert "moisture meter mended, from 2026-03-23" in text and "the shop's verdict: no effect seen" in text
    assert "revision B, in force from 2026-03-23: two vents more" in text
    for part in ("a confirmed cause", "who sees to it", "a revision of the pattern card", "a verdict"):
        assert part not in told


def test_a_remedy_half_written_says_what_is_missing(sheet: Callable[..., CorrectiveAction]) -> None:
    found = sheet("P-117", "shrinkage cavity")
    assert "12 of 68 before, 0 of 159 since" in read(found)
    assert "who sees to it; a verdict" in gaps(found)


def test_a_defect_the_pattern_never_had_is_all_gaps(sheet: Callable[..., CorrectiveAction]) -> None:
    found = sheet("P-121", "hot-tear")
    assert "No casting of it is on record" in read(found)
    assert "what was seen, on which castings" in gaps(found)
    json.dumps(sheet_json(found, RULES), allow_nan=False)


def test_a_pattern_that_is_not_there_is_not_found(sheet: Callable[..., CorrectiveAction]) -> None:
    with pytest.raises(NotFound, match="P-99999"):
        sheet("P-99999", "gas-holes")


def test_on_paper_it_keeps_the_rules_of_a_page_and_has_room_for_names(sheet: Callable[..., CorrectiveAction]) -> None:
    page = checked(sheet_html(sheet(), RULES, TODAY))
    assert page.texts("h2")[:2] == ["1. The problem in numbers", "2. Containment: what else may have it"]
    assert "cause agreed by" in page.texts("th")
    assert "defectlog trace" not in " ".join(page.texts("p"))


def test_typed_markup_is_text_on_paper(sheet: Callable[..., CorrectiveAction]) -> None:
    remedy = Remedy(pattern="P-104", defect="gas-holes", change="<script>1</script> & [b]", from_date=date(2026, 3, 23))
    text = sheet_html(sheet("P-104", "gas-holes", remedy), RULES, TODAY)
    checked(text)
    assert "&lt;script&gt;1&lt;/script&gt; &amp; [b]" in text
