"""python -m tests.bench.bench_writers --programs 8 --writes 2000: many programs, each writing one row an act, at once.

Each act adds a finding and counts up a number that it read under its own lock, so that one lost and one overwritten are
both seen. Every tenth act is sent twice with the same token, as after a lost answer. Nothing is asserted here.
"""

import argparse
import subprocess
import sys
import tempfile
import time
from collections.abc import Sequence
from pathlib import Path

from defectlog.book.acts import writing
from defectlog.book.open import open_book
from defectlog.book.soundness import file_problems
from defectlog.records.kinds import Mould, Pattern

WRITER = """
import sys, time
from defectlog.book.acts import writing
from defectlog.book.open import open_book
from defectlog.book.records import get
from defectlog.records.kinds import Finding, Mould
longest = 0.0
with open_book(sys.argv[1]) as book:
    for number in range(int(sys.argv[3])):
        for _ in range(2 if number % 10 == 0 else 1):
            start = time.monotonic()
            with writing(book, f"{sys.argv[2]} {number}", token=f"{sys.argv[2]}-{number}") as act:
                act.add(Finding(mould="M-1", seen=f"{sys.argv[2]} {number}"))
                if not act.again:
                    act.amend(Mould, "M-1", {"pour_order": get(book, Mould, "M-1").record.pour_order + 1})
            longest = max(longest, time.monotonic() - start)
print(longest)
"""


def main(arguments: Sequence[str] | None = None) -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--programs", type=int, default=8)
    parser.add_argument("--writes", type=int, default=2000, help="acts of each program")
    asked = parser.parse_args(arguments)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "book.db"
        with open_book(path) as book, writing(book, "start") as act:
            act.add(Pattern(pattern="P-1", impressions=4))
            act.add(Mould(mould="M-1", pattern="P-1", pour_order=1))
        start = time.monotonic()
        running = [
            subprocess.Popen(
                [sys.executable, "-c", WRITER, str(path), f"program {number}", str(asked.writes)],
                stdout=subprocess.PIPE,
                stderr=subprocess.PIPE,
                text=True,
            )
            for number in range(asked.programs)
        ]
        said = [program.communicate() for program in running]
        seconds = time.monotonic() - start
        tell(path, asked.programs, asked.writes, seconds, said)
        errors = [(program.returncode, err) for program, (_, err) in zip(running, said, strict=True)]
        print("errors shown:", sum(1 for code, err in errors if code or err))


def tell(path: Path, programs: int, writes: int, seconds: float, said: Sequence[tuple[str, str]]) -> None:
    wanted = {f"program {program} {number}" for program in range(programs) for number in range(writes)}
    with open_book(path) as book:
        there = [seen for (seen,) in book.rows("SELECT seen FROM finding")]
        counted = book.value("SELECT pour_order FROM mould") - 1
        problems = file_problems(book)
    longest = max((float(out) for out, _ in said if out.strip()), default=0.0)
    print(f"{programs} programs, {writes} acts each: {seconds:.0f} s, the longest act took {longest:.1f} s")
    print(
        f"lost {len(wanted - set(there))}, twice {len(there) - len(set(there))}, overwritten {len(wanted) - counted},"
    )
    print(f"problems of the book afterwards: {len(problems)}")


if __name__ == "__main__":
    main()
