"""The whole book through the checks."""

from datetime import date, datetime

from defectlog.book.acts import writing
from defectlog.book.checking import check_book
from defectlog.records.kinds import Finding, Heat, Mould, Pattern, Sand


def test_every_problem_is_found_by_mould(book):
    with writing(book, "start") as act:
        act.add(Pattern(pattern="P-1", impressions=2, alloy="356"))
        act.add(Pattern(pattern="P-2", impressions=2, pour_low_c=740.0, pour_high_c=700.0))
        act.add(Sand(sand="S-1", mixed_at=datetime(2026, 3, 9, 6)))
        act.add(Heat(heat="H-1", melted_at=datetime(2026, 3, 9, 9), alloy="319"))
        act.add(Mould(mould="M-1", pattern="P-1", poured_at=datetime(2026, 3, 9, 11)))
        act.add(Mould(mould="M-2", pattern="P-1", heat="H-1", poured_at=datetime(2026, 4, 9, 11)))
        act.add(Mould(mould="M-3", pattern="P-1", sand="S-1", made_at=datetime(2026, 3, 8)))
        act.add(Finding(mould="M-1", defect="misrun", castings=3))
    found = {(problem.code, problem.where) for problem in check_book(book)}
    assert found == {
        ("range-reversed", "pattern P-2 A"),
        ("castings-too-many", "mould M-1"),
        ("out-of-balance", "mould M-1"),
        ("alloy-differs", "mould M-2"),
        ("dates-out-of-order", "mould M-3"),
    }
    assert ("alloy-differs", "mould M-2") not in {
        (problem.code, problem.where) for problem in check_book(book, date(2026, 3, 1), date(2026, 3, 31))
    }


def test_a_sound_book_is_silent(book):
    with writing(book, "start") as act:
        act.add(Pattern(pattern="P-1", impressions=2))
        act.add(Mould(mould="M-1", pattern="P-1", poured_at=datetime(2026, 3, 9, 11)))
        act.add(Finding(mould="M-1", defect="misrun", castings=2))
    assert check_book(book) == []
