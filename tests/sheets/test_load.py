"""Import: all or nothing, nothing twice, and no record overwritten by a sheet."""

import pytest

from defectlog.book.acts import writing
from defectlog.book.records import castings_of, count, find, get
from defectlog.book.undo import undo
from defectlog.errors import BadInput
from defectlog.records.kinds import KINDS, Finding, Mould, Pattern
from defectlog.sheets.load import import_folder

ROWS = {"patterns": 3, "sand": 3, "heats": 3, "moulds": 12, "findings": 6, "causes": 2, "remedies": 2}
NONE = dict.fromkeys(ROWS, 0)


def refusal(book, path):
    with pytest.raises(BadInput) as caught:
        import_folder(book, path)
    return caught.value.problems


def test_a_folder_comes_in_whole_and_in_one_act(book, small_shop):
    done = import_folder(book, small_shop, who="Ann")
    assert (done.added, done.already, done.act) == (ROWS, NONE, 1)
    assert {kind.sheet: count(book, kind) for kind in KINDS} == ROWS
    assert book.rows("SELECT who, command FROM act") == [("Ann", f"import {small_shop}")]
    assert book.row("PRAGMA foreign_key_check") is None


def test_the_defaults_of_moulds_are_worked_out(book, small_shop):
    import_folder(book, small_shop)
    assert castings_of(book, ["M-001", "M-003", "M-004", "M-005", "M-012"]) == {
        "M-001": 4,
        "M-003": 3,
        "M-004": 1,
        "M-005": 6,
        "M-012": 1,
    }
    assert book.value("SELECT count(*) FROM mould WHERE counted = 1") == 9


def test_running_it_again_changes_nothing(book, small_shop):
    import_folder(book, small_shop)
    again = import_folder(book, small_shop)
    assert (again.added, again.already, again.act) == (NONE, ROWS, 0)
    assert book.value("SELECT count(*) FROM act") == 1


def test_running_it_again_after_corrections_in_the_book_changes_nothing(book, small_shop):
    """Rows are known again by what they were when they came in, so the correction stands and nothing comes twice."""
    import_folder(book, small_shop)
    with writing(book, "corrections") as act:
        act.amend(Mould, "M-001", {"pour_c": 699.0, "sand": "S-2"})
        act.amend(Finding, find(book, Finding)[0].row, {"place": "cope face", "castings": None})
    assert import_folder(book, small_shop).added == NONE
    assert get(book, Mould, "M-001").record.pour_c == 699.0


def test_after_an_undo_it_can_be_imported_again(book, small_shop):
    import_folder(book, small_shop)
    undo(book)
    assert {kind.sheet: count(book, kind) for kind in KINDS} == NONE
    assert import_folder(book, small_shop).added == ROWS


def test_two_equal_findings_are_two_and_a_third_is_new(book, folder):
    sheets = {"patterns": "pattern,impressions\nP-1,4\n", "moulds": "mould,pattern\nM-1,P-1\n"}
    import_folder(book, folder(**sheets, findings="mould,seen\n" + "M-1,hole\n" * 2))
    done = import_folder(book, folder(**sheets, findings="mould,seen\n" + "M-1,hole\n" * 3))
    assert (done.added["findings"], done.already["findings"]) == (1, 2)
    assert count(book, Finding) == 3


def test_a_row_that_differs_from_the_book_names_the_difference_and_the_command(book, small_shop, folder):
    import_folder(book, small_shop)
    problems = refusal(book, folder(moulds="mould,pattern,pour_c\nM-001,P-1,724\nM-002,P-2,720\n"))
    assert [(problem.code, problem.where) for problem in problems] == [
        ("differs", "moulds.csv row 3, column pattern"),
        ("differs", "moulds.csv row 3, column pour_c"),
    ]
    assert problems[1].found == "720, and the book has 721.5"
    assert problems[1].next_step == "to correct the book: defectlog mould amend M-002 --pour-c 720"


def test_a_sheet_with_fewer_columns_is_compared_in_those(book, small_shop, folder):
    import_folder(book, small_shop)
    assert import_folder(book, folder(moulds="mould,pattern\nM-001,P-1\n")).already == {"moulds": 1}


def test_all_problems_of_all_sheets_come_at_once_and_nothing_is_written(book, folder):
    path = folder(
        patterns="pattern,impressions\nP-1,4\nP-1,6\n",
        moulds="mould,pattern,revision,sand,pour_c\nM-1,P-1,,S-9,hot\nM-2,P-8,,,\nM-3,P-1,C,,\n",
        findings="mould,defect,seen\nM-1,,\nM-7,misrun,\n",
        remedies="pattern,defect,change\nP-1,misrun,hotter\n",
    )
    assert {(problem.code, problem.where) for problem in refusal(book, path)} == {
        ("row-twice", "patterns.csv row 3, column pattern"),
        ("sand-unknown", "moulds.csv row 2, column sand"),
        ("not-a-number", "moulds.csv row 2, column pour_c"),
        ("pattern-unknown", "moulds.csv row 3, column pattern"),
        ("revision-unknown", "moulds.csv row 4, column revision"),
        ("nothing-seen", "findings.csv row 2"),
        ("mould-unknown", "findings.csv row 3, column mould"),
        ("remedy-without-start", "remedies.csv row 2"),
    }
    assert count(book, Pattern) == 0
    assert book.value("SELECT count(*) FROM act") == 0


def test_references_to_what_is_in_the_book_already(book, small_shop, folder):
    import_folder(book, small_shop)
    path = folder(moulds="mould,pattern,sand\nM-100,P-1,S-1\n", findings="mould,seen\nM-001,lump\nM-100,lump\n")
    assert import_folder(book, path).added == {"moulds": 1, "findings": 2}


def test_a_new_revision_in_a_sheet_and_moulds_that_follow_it(book, small_shop, folder):
    """A card that begins in the past: moulds that left their revision open are worked out anew, and so journalled."""
    import_folder(book, small_shop)
    import_folder(book, folder(patterns="pattern,revision,in_force_from,impressions\nP-2,B,2026-03-10,2\n"))
    assert castings_of(book, ["M-004", "M-008", "M-011"]) == {"M-004": 1, "M-008": 2, "M-011": 2}
    assert book.value("SELECT count(*) FROM change WHERE field = 'castings_in_it'") == 3


def test_a_dry_run_counts_and_writes_nothing(book, small_shop):
    done = import_folder(book, small_shop, dry_run=True)
    assert (done.added, done.act) == (ROWS, 0)
    assert count(book, Mould) == 0


def test_an_import_that_is_stopped_at_any_moment_leaves_nothing_behind(book, small_shop):
    """Reading, comparing, writing, sealing: one transaction."""

    class Impatient:
        def __init__(self, last):
            self.last, self.told = last, []

        def __call__(self, what, _done, _of):
            self.told.append(what)
            if len(self.told) == self.last:
                raise KeyboardInterrupt

    whole = Impatient(0)
    import_folder(book, small_shop, dry_run=True, tell=whole)
    for moment in range(1, len(whole.told) + 1):
        with pytest.raises(KeyboardInterrupt):
            import_folder(book, small_shop, tell=Impatient(moment))
        assert {kind.sheet: count(book, kind) for kind in KINDS} == NONE
        assert book.value("SELECT count(*) FROM act") == 0
    while_sealing = Impatient(0)
    assert import_folder(book, small_shop, tell=while_sealing).added == ROWS
    first_words = {what.split(" ")[0].strip(",") for what in while_sealing.told}
    assert first_words == {"reading", "comparing", "writing", "seals"}


def test_an_import_that_is_stopped_while_it_is_sealed_leaves_nothing_behind(book, small_shop):
    def stop(what, _done, _of):
        if what == "seals, mould":
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        import_folder(book, small_shop, tell=stop)
    assert book.value("SELECT count(*) FROM act") == 0
    assert import_folder(book, small_shop).added == ROWS


def test_a_cell_that_cannot_be_read_in_a_row_that_is_there_is_one_problem(book, small_shop, tmp_path):
    import_folder(book, small_shop)
    pattern = get(book, Mould, "M-001").record.pattern
    sheet = tmp_path / "moulds.csv"
    sheet.write_text(f"mould,pattern,pour_c\nM-001,{pattern},hot\n")
    assert [(item.code, item.where) for item in refusal(book, sheet)] == [
        ("not-a-number", "moulds.csv row 2, column pour_c")
    ]
