"""Is the book sound, on the command line."""

import json
import shutil
import sqlite3
from pathlib import Path

OLD = Path(__file__).parents[1] / "history" / "m001.db"


def test_a_sound_book_is_said_to_be_sound_on_stderr(typed):
    typed("pattern add P-1 --impressions 4")
    answer = typed("check")
    assert (answer.code, answer.out) == (0, "")
    journal, sound = answer.err.splitlines()
    assert journal.startswith("journal: 1 act, sealed; the last seal is ")
    assert sound == "sound: nothing to look at, in 0 moulds"
    assert typed("check --json").out == "[]\n"


def test_problems_are_listed_with_their_place_and_end_with_1(typed):
    typed("pattern add P-1 --impressions 4 --min-section-mm 9 --max-section-mm 5")
    typed("mould add M-1 --pattern P-1 --made-at '2026-03-03 9:00' --poured-at '2026-03-02 9:00'")
    answer = typed("check")
    assert answer.code == 1
    assert "pattern P-1 A: thinnest wall 9 is more than thickest wall 5" in answer.out
    assert "mould M-1: poured 2026-03-02T09:00, before made 2026-03-03T09:00" in answer.out
    assert answer.err.endswith("\n2 things to look at, in 1 mould\n")
    codes = {problem["code"] for problem in json.loads(typed("check --json").out)}
    assert codes == {"range-reversed", "dates-out-of-order"}


def test_a_path_mistyped_makes_no_empty_book(typed, book_path):
    answer = typed("check")
    assert answer.code == 3
    assert "there is no book here" in answer.err
    assert not book_path.exists()


def test_a_hand_edit_is_found(typed, book_path):
    """By somebody with a database tool, who took the trigger out of the way first."""
    typed("heat add H-7 --melted-at 2026-03-02 --returns-pct 40")
    with sqlite3.connect(book_path) as stranger:
        stranger.execute("DROP TRIGGER heat_changed")
        stranger.execute("UPDATE heat SET returns_pct = 60")
    stranger.close()
    answer = typed("check")
    assert answer.code == 1
    assert "act 1 (defectlog heat add H-7" in answer.out
    assert "changed by hand" in " ".join(answer.out.split())


def test_an_old_book_is_said_to_be_sealed_late(typed, book_path):
    shutil.copy(OLD, book_path)
    answer = typed("check")
    assert answer.code == 1
    assert "mould M-227, hardness_b: hardness_b is 105" in answer.out
    assert "heat H-3, returns_pct: returns_pct is -2" in answer.out
    assert "13 acts, sealed, the first 13 of them when the book was brought up to date" in answer.err


def test_a_book_on_a_share_is_warned_of(typed, tmp_path, monkeypatch):
    (tmp_path / "mounts").write_text(f"nas:/ {tmp_path} nfs4 rw 0 0\n")
    monkeypatch.setattr("defectlog.book.shares.MOUNTS", tmp_path / "mounts")
    typed("pattern add P-1 --impressions 4")
    answer = typed("check")
    assert answer.code == 1
    assert "the book is on a network share (nfs4)" in " ".join(answer.out.split())
