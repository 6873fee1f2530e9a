"""python -m tests.bench.bench_scale: how commands grow with the book, whole processes, with their peak memory.

The pattern that is asked about, and its window, are the same in every book; everything else grows. Times are medians of
several runs, the sizes in turn, so that a busy machine slows all alike; ratios are against the first size (×) and
against the bare imports of typer, numpy and sqlite3 (i×). Building a book of ten million moulds takes ten minutes and
3 GB: --sizes 10000 100000 1000000 10000000 --keep FOLDER.

At the end an import of sheets beside the same rows by executemany into bare tables, in processor seconds of each step.
Nothing is asserted here.
"""

import argparse
import csv
import os
import sqlite3
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from defectlog.book.acts import writing
from defectlog.book.open import open_book
from defectlog.records.kinds import Finding
from defectlog.sheets.load import import_folder
from defectlog.sheets.write import export_folder
from tests.bench.big_books import ASKED, LAST_DAY, a_heat_of, big_book

PROGRAM = [sys.executable, "-c", "from defectlog.cli.main import main; main()"]
# The same, telling at the end how much memory it had at most: the system's own count begins with the parent's.
TELLING = """
import sys
if len(sys.argv) > 1:
    from defectlog.cli.main import run
    code = run(sys.argv[1:])
else:
    import typer, numpy, sqlite3
    code = 0
try:
    with open("/proc/self/status") as file:
        print([line.split()[1] for line in file if line.startswith("VmHWM")][0], file=sys.stderr)
except OSError:
    print(0, file=sys.stderr)
sys.exit(code)
"""


@dataclass(frozen=True)
class Run:
    seconds: float
    peak_mb: float


def main(arguments: Sequence[str] | None = None) -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--sizes", type=int, nargs="+", default=[10_000, 100_000, 1_000_000], help="moulds a book")
    parser.add_argument("--runs", type=int, default=7)
    parser.add_argument("--keep", type=Path, help="a folder to keep the books in, and to find them in again")
    parser.add_argument("--import-rows", type=int, default=50_000, help="moulds in the imported sheets")
    asked = parser.parse_args(arguments)
    with tempfile.TemporaryDirectory() as place:
        folder = asked.keep or Path(place)
        folder.mkdir(exist_ok=True)
        books = [built(folder / f"scale-{size}.db", size) for size in asked.sizes]
        print_scale(books, asked.runs, Path(place))
        print_acts(books, Path(place))
        print_import(Path(place), asked.import_rows)


def built(path: Path, moulds: int) -> Path:
    if path.exists():
        return path

    def said(done: int) -> None:
        print(f"\r{path.name}: {done} of {moulds}", end="", file=sys.stderr, flush=True)

    start = time.monotonic()
    big_book(path, moulds, said)
    print(f"\r{path.name}: {moulds} moulds in {time.monotonic() - start:.0f} s", file=sys.stderr)
    return path


def commands_for(path: Path) -> dict[str, list[str]]:
    with open_book(path, read_only=True) as book:
        heat = a_heat_of(book)
        mould = book.value("SELECT mould FROM mould WHERE pattern = ? ORDER BY id DESC LIMIT 1", (ASKED,))
    return {
        "start-up": ["--version"],
        "why": ["why", ASKED],
        "shakeout": ["shakeout", mould, "--scrap", "1", "--defect", "dross", "--dry-run"],
        "review": ["review", f"{LAST_DAY:%Y-%m}"],
        "trace": ["trace", "heat", heat],
        "mould show": ["mould", "show", mould],
        "history": ["history"],
    }


def print_scale(books: Sequence[Path], runs: int, cache: Path) -> None:
    commands = {path: commands_for(path) for path in books}
    names = list(commands[books[0]])
    found: dict[tuple[str, Path], list[Run]] = {}
    bare: list[Run] = []
    for _ in range(runs + 1):
        bare.append(measured([], cache))
        for name in names:
            for path in books:
                run = measured(["--book", str(path), *commands[path][name]], cache)
                found.setdefault((name, path), []).append(run)
    # The first of each fills the caches.
    base = statistics.median(run.seconds for run in bare[1:])
    print(f"importing typer, numpy and sqlite3 alone: {1000 * base:.0f} ms")
    print(f"{'':12s}" + "".join(f"{moulds_in(path):>31s}" for path in books))
    for name in names:
        medians = [statistics.median(run.seconds for run in found[name, path][1:]) for path in books]
        peaks = [max(run.peak_mb for run in found[name, path]) for path in books]
        cells = [
            f"{1000 * seconds:6.0f} ms {peak:4.0f} MB ×{seconds / medians[0]:.2f} i×{seconds / base:.1f}"
            for seconds, peak in zip(medians, peaks, strict=True)
        ]
        print(f"{name:12s}" + "".join(f"{cell:>31s}" for cell in cells))


def moulds_in(path: Path) -> str:
    return f"{int(path.stem.partition('-')[2]):,} moulds"


def measured(words: Sequence[str], cache: Path) -> Run:
    """One process; without words the bare imports."""
    environment = {**os.environ, "XDG_CACHE_HOME": str(cache)}
    start = time.perf_counter()
    done = subprocess.run(
        [sys.executable, "-c", TELLING, *words], stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, env=environment,
        text=True, check=False,
    )  # fmt: skip
    seconds = time.perf_counter() - start
    if done.returncode:
        sys.exit(f"{' '.join(words)} ended with {done.returncode}: {done.stderr}")
    return Run(seconds, int(done.stderr.splitlines()[-1]) / 1024)


def print_acts(books: Sequence[Path], folder: Path) -> None:
    """One finding written and its act sealed, in an open book, beside one row into a bare table as safely written."""
    bare = sqlite3.connect(folder / "one.db", isolation_level=None)
    for sql in ("PRAGMA journal_mode = wal", "PRAGMA synchronous = full", "CREATE TABLE one (text)"):
        bare.execute(sql)
    seconds = []
    for number in range(50):
        start = time.perf_counter()
        bare.execute("INSERT INTO one VALUES (?)", (f"bench {number}",))
        seconds.append(time.perf_counter() - start)
    bare.close()
    print(f"one row into a bare table: {1000 * statistics.median(seconds):.2f} ms")
    for path in books:
        with open_book(path) as book:
            mould = book.value("SELECT mould FROM mould ORDER BY id DESC LIMIT 1")
            seconds = []
            for number in range(50):
                start = time.perf_counter()
                with writing(book, f"bench {number}") as act:
                    act.add(Finding(mould=mould, seen="bench"))
                seconds.append(time.perf_counter() - start)
        print(f"one act in an open book of {moulds_in(path)}: {1000 * statistics.median(seconds):.2f} ms")


def print_import(folder: Path, moulds: int) -> None:
    """The same rows: sheets through the program, against ready values by executemany into tables without anything."""
    source = big_book(folder / "source.db", moulds)
    with open_book(source) as book:
        export_folder(book, folder / "sheets")
    start = time.perf_counter()
    subprocess.run(
        [*PROGRAM, "--book", str(folder / "imported.db"), "import", str(folder / "sheets")],
        check=True, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
    )  # fmt: skip
    whole = time.perf_counter() - start
    steps = Steps()
    with open_book(folder / "again.db") as book:
        steps.tell("", 0, 0)
        import_folder(book, folder / "sheets", tell=steps.tell)
        steps.tell("", 0, 0)
    rows = {path: read_rows(path) for path in sorted((folder / "sheets").glob("*.csv"))}
    start, began = time.perf_counter(), time.process_time()
    bare = sqlite3.connect(folder / "bare.db", isolation_level=None)
    bare.execute("BEGIN")
    for path, (columns, values) in rows.items():
        names = ", ".join(f'"{column}"' for column in columns)
        bare.execute(f'CREATE TABLE "{path.stem}" ({names})')
        bare.executemany(f'INSERT INTO "{path.stem}" VALUES ({", ".join("?" * len(columns))})', values)
    bare.execute("COMMIT")
    bare.close()
    least, least_worked = time.perf_counter() - start, time.process_time() - began
    count = sum(len(values) for _, values in rows.values())
    print(f"import of {count:,} rows: {whole:.1f} s, executemany of the same: {least:.2f} s, ×{whole / least:.0f}")
    told = ", ".join(f"{name} ×{seconds / least_worked:.1f}" for name, seconds in steps.seconds.items())
    print(f"of which, without the start and a new book, in processor seconds: {told}")


class Steps:
    """How long each sort of step took, from what the import tells of itself."""

    def __init__(self) -> None:
        self.seconds: dict[str, float] = {}
        self.name = ""
        self.began = 0.0

    def tell(self, what: str, _done: int, _of: int) -> None:
        now = time.process_time()
        if self.name:
            self.seconds[self.name] = self.seconds.get(self.name, 0.0) + now - self.began
        self.name, self.began = what.split(" ")[0].strip(","), now


def read_rows(path: Path) -> tuple[list[str], list[list[str]]]:
    with path.open(encoding="utf-8-sig", newline="") as file:
        columns, *rows = csv.reader(file)
    return columns, rows


if __name__ == "__main__":
    main()
