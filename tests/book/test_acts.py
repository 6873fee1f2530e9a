"""Writing: all or nothing, nothing twice, nothing without its line in the journal."""

from datetime import date, datetime

import pytest

from defectlog.book.acts import writing
from defectlog.book.journal import history
from defectlog.book.records import castings_of, count, find, get
from defectlog.errors import BadInput, NotFound
from defectlog.records.kinds import Finding, Heat, Mould, Pattern, Remedy, Sand, Verdict

POURED = datetime(2026, 3, 9, 11, 5)


@pytest.fixture
def shop(book):
    with writing(book, "start", who="Ann") as act:
        act.add(Pattern(pattern="P-1", impressions=4))
        act.add(Sand(sand="S-1", mixed_at=datetime(2026, 3, 9, 6)))
        act.add(Heat(heat="H-1", melted_at=datetime(2026, 3, 9, 9)))
        act.add(Mould(mould="M-1", pattern="P-1", sand="S-1", heat="H-1", poured_at=POURED, pour_c=721.5, vented=True))
        act.add(Finding(mould="M-1", seen="holes", castings=2, primary=True))
        act.add(
            Verdict(pattern="P-1", defect="gas-holes", cause="wet", verdict="ruled out", decided_on=date(2026, 3, 9))
        )
        act.add(Remedy(pattern="P-1", defect="gas-holes", change="vents", from_mould="M-1"))
    return book


def test_a_record_comes_back_as_it_was_typed(shop):
    """Defaults are worked out beside it, not written into it."""
    mould = get(shop, Mould, "M-1").record
    assert mould == Mould(
        mould="M-1", pattern="P-1", sand="S-1", heat="H-1", poured_at=POURED, pour_c=721.5, vented=True
    )
    assert castings_of(shop, ["M-1"]) == {"M-1": 4}
    assert find(shop, Remedy)[0].record.from_mould == "M-1"
    assert find(shop, Verdict)[0].record.decided_on == date(2026, 3, 9)
    assert [stored.record.mould for stored in find(shop, Mould, heat="H-1")] == ["M-1"]


def test_all_faults_are_said_at_once_and_nothing_is_written(shop):
    bad = Mould(mould="M-1", pattern="P-9", sand="S-9", heat="H-9", pour_c=5000.0, outcome="melted")
    with pytest.raises(BadInput) as caught, writing(shop, "mould add") as act:
        act.add(Mould(mould="M-2", pattern="P-1"))
        act.add(bad)
    codes = {problem.code for problem in caught.value.problems}
    assert codes == {"impossible", "not-a-choice", "already-there", "sand-unknown", "heat-unknown", "pattern-unknown"}
    assert count(shop, Mould) == 1
    assert shop.value("SELECT count(*) FROM act") == 1


def test_an_error_of_any_kind_takes_everything_back(shop):
    with pytest.raises(KeyboardInterrupt), writing(shop, "mould add") as act:
        act.add(Mould(mould="M-2", pattern="P-1"))
        raise KeyboardInterrupt
    assert count(shop, Mould) == 1
    assert shop.rows("SELECT * FROM acting") == []


def test_a_retry_with_the_same_token_logs_once(shop):
    """The first time was committed and not acknowledged: the client sends it again."""
    rows = []
    for _ in range(2):
        with writing(shop, "shakeout M-1", token="6f1c") as act:
            rows.append([act.add(Finding(mould="M-1", seen="lump")), act.add(Finding(mould="M-1", seen="fin"))])
    assert rows[0] == rows[1]
    assert count(shop, Finding) == 3
    assert act.again
    assert not act.wrote


def test_a_dry_run_says_the_same_and_writes_nothing(shop):
    with writing(shop, "mould add", dry_run=True) as act:
        act.add(Mould(mould="M-2", pattern="P-1"))
    assert not act.wrote
    assert count(shop, Mould) == 1


def test_an_act_that_changes_nothing_leaves_no_line(shop):
    with writing(shop, "mould amend M-1") as act:
        assert act.amend(Mould, "M-1", {"pour_c": 721.5}) == {}
    assert not act.wrote
    assert shop.value("SELECT count(*) FROM act") == 1


def test_an_amendment_keeps_the_old_value_who_when_and_why(shop):
    with writing(shop, "mould amend M-1", who="Bo", why="misread") as act:
        changed = act.amend(Mould, "M-1", {"pour_c": 712.5, "vented": None, "heat": None})
    assert changed == {"pour_c": (721.5, 712.5), "vented": (True, None), "heat": ("H-1", None)}
    entries = history(shop, Mould, "M-1")
    assert [entry.what for entry in entries] == ["added", "amended", "amended", "amended"]
    assert {(entry.field, entry.was, entry.became) for entry in entries[1:]} == {
        ("heat", "H-1", None),
        ("pour_c", 721.5, 712.5),
        ("vented", 1, None),
    }
    assert {(entry.act.who, entry.act.why) for entry in entries[1:]} == {("Bo", "misread")}


def test_a_mould_can_be_renamed_and_its_findings_follow(shop):
    with writing(shop, "mould amend") as act:
        act.amend(Mould, "M-1", {"mould": "M-11"})
    assert find(shop, Finding)[0].record.mould == "M-11"
    with pytest.raises(NotFound):
        get(shop, Mould, "M-1")
    assert [entry.field for entry in history(shop, Mould, "M-1")] == ["", "mould"]


@pytest.mark.parametrize(("kind", "key"), [(Sand, "S-1"), (Heat, "H-1"), (Mould, "M-1"), (Pattern, "P-1")])
def test_what_others_rest_on_is_not_withdrawn(shop, kind, key):
    with pytest.raises(BadInput) as caught, writing(shop, "withdraw") as act:
        act.withdraw(kind, key)
    assert {problem.code for problem in caught.value.problems} == {"in-use"}
    assert count(shop, kind) == 1


def test_a_withdrawn_finding_is_gone_from_the_counts_and_kept_in_its_history(shop):
    row = find(shop, Finding)[0].row
    with writing(shop, "withdraw", why="wrong mould") as act:
        act.withdraw(Finding, row)
    assert find(shop, Finding) == []
    assert [entry.what for entry in history(shop, Finding, row)] == ["added", "withdrawn"]


def test_a_card_number_in_use_cannot_change_under_its_moulds(shop):
    with pytest.raises(BadInput) as caught, writing(shop, "amend") as act:
        act.amend(Pattern, "P-1", {"pattern": "P-2"})
    assert caught.value.problems[0].code == "in-use"


def test_moulds_follow_their_card(shop):
    """Castings and revision that were left to the card are worked out anew when it is corrected, and the journal
    says so; those that were typed stay."""
    with writing(shop, "mould add") as act:
        act.add(Mould(mould="M-2", pattern="P-1", castings=3, made_at=POURED))
    with writing(shop, "pattern amend") as act:
        act.amend(Pattern, "P-1", {"impressions": 6})
    assert castings_of(shop, ["M-1", "M-2"]) == {"M-1": 6, "M-2": 3}
    followed = [entry for entry in history(shop, Mould, "M-1") if entry.what == "followed"]
    assert [(entry.field, entry.was, entry.became) for entry in followed] == [("castings_in_it", 4, 6)]


@pytest.mark.parametrize(
    ("made", "poured", "typed", "castings"),
    [
        (datetime(2026, 3, 9), None, None, 4),
        (datetime(2026, 4, 1), None, None, 6),
        (datetime(2026, 3, 31, 23), datetime(2026, 4, 1, 7), None, 4),
        (None, datetime(2026, 4, 2), None, 6),
        (datetime(2026, 4, 2), None, "A", 4),
        (None, None, None, 6),
    ],
)
def test_the_revision_in_force_when_the_mould_was_made(shop, made, poured, typed, castings):
    with writing(shop, "revision B") as act:
        act.add(Pattern(pattern="P-1", revision="B", in_force_from=date(2026, 4, 1), impressions=6))
        act.add(Mould(mould="M-2", pattern="P-1", made_at=made, poured_at=poured, revision=typed))
    assert castings_of(shop, ["M-2"]) == {"M-2": castings}
    assert get(shop, Mould, "M-2").record.revision == typed


def test_a_revision_that_is_not_there(shop):
    with pytest.raises(BadInput) as caught, writing(shop, "mould add") as act:
        act.add(Mould(mould="M-2", pattern="P-1", revision="C"))
    assert caught.value.problems[0].code == "revision-unknown"
