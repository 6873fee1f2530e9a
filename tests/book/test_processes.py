"""Several programs write at once: each act is there once, whole, with its journal line."""

import subprocess
import sys

from defectlog.book.acts import writing
from defectlog.book.soundness import file_problems
from defectlog.records.kinds import Mould, Pattern

PROGRAMS, ACTS = 8, 20
SCRIPT = """
import sys
from defectlog.book.acts import writing
from defectlog.book.open import open_book
from defectlog.book.records import get
from defectlog.records.kinds import Finding, Mould
with open_book(sys.argv[1]) as book:
    for number in range(int(sys.argv[3])):
        for _ in range(2):  # as after an answer that was lost
            with writing(book, f"{sys.argv[2]} {number}", token=f"{sys.argv[2]}-{number}") as act:
                act.add(Finding(mould="M-1", seen=f"{sys.argv[2]} {number}"))
                counted = get(book, Mould, "M-1").record.pour_order
                act.amend(Mould, "M-1", {"pour_order": counted + 1})
"""


def test_eight_programs_at_once_lose_nothing_and_double_nothing(book):
    with writing(book, "start") as act:
        act.add(Pattern(pattern="P-1", impressions=4))
        act.add(Mould(mould="M-1", pattern="P-1", pour_order=1))
    running = [
        subprocess.Popen([sys.executable, "-c", SCRIPT, str(book.path), f"program {number}", str(ACTS)])
        for number in range(PROGRAMS)
    ]
    assert [program.wait() for program in running] == [0] * PROGRAMS
    wanted = {f"program {program} {number}" for program in range(PROGRAMS) for number in range(ACTS)}
    assert sorted(seen for (seen,) in book.rows("SELECT seen FROM finding")) == sorted(wanted)
    # Each read the number under its own lock and wrote the next: none was overwritten by another.
    assert book.value("SELECT pour_order FROM mould") == 1 + PROGRAMS * ACTS
    assert book.value("SELECT count(*) FROM change WHERE field = 'pour_order'") == PROGRAMS * ACTS
    assert book.value("SELECT count(*) FROM act") == 1 + PROGRAMS * ACTS
    assert file_problems(book) == []


def test_two_programs_make_the_same_book(tmp_path):
    """Both find no book and begin one: the second finds it done."""
    script = "import sys; from defectlog.book.open import open_book; open_book(sys.argv[1]).close()"
    path = str(tmp_path / "book.db")
    running = [subprocess.Popen([sys.executable, "-c", script, path]) for _ in range(2)]
    assert [program.wait() for program in running] == [0, 0]
