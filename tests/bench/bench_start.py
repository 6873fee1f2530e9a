"""python -m tests.bench.bench_start --runs 15: how long a command takes from typing to answer, on this machine.

Whole processes, each beside a bare Python that only loads the three libraries every command needs, in turn, so that a
busy machine slows both. The middle ratio is printed. Nothing is asserted here.
"""

import argparse
import os
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Sequence
from pathlib import Path

from defectlog.book.acts import writing
from defectlog.book.open import open_book
from defectlog.records.kinds import Finding
from defectlog.rulebase.load import load_rules
from tests.bench.conditions import PLAIN
from tests.bench.shops import Shop, simulate

BARE = [sys.executable, "-c", "import typer, numpy, sqlite3"]
PROGRAM = [sys.executable, "-c", "from defectlog.cli.main import main; main()"]


def main(arguments: Sequence[str] | None = None) -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--runs", type=int, default=15, help="pairs of runs a command")
    asked = parser.parse_args(arguments)
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder) / "shop.db"
        shop = simulate(load_rules(), "gas-holes", ["sand-too-wet"], PLAIN, 1)
        write_book(place, shop)
        words = {
            "--help": ["--help"],
            "why P-1": ["why", "P-1"],
            "shakeout --good": ["shakeout", last_sound(shop), "--good", "--dry-run"],
        }
        for name, typed in words.items():
            bare, ours = paired([*PROGRAM, *typed], {**os.environ, "DEFECTLOG_BOOK": str(place)}, asked.runs)
            ratio = statistics.median(one / other for one, other in zip(ours, bare, strict=True))
            print(f"{name:18s} {1000 * statistics.median(ours):5.0f} ms, {ratio:.2f} times a bare start")


def write_book(place: Path, shop: Shop) -> None:
    """The planted pattern's five months, as a book on disk."""
    history = shop.history
    with open_book(place) as book, writing(book, "a simulated shop") as act:
        for record in (*history.revisions, *history.sands.values(), *history.heats.values(), *history.moulds):
            act.add(record)
        for seen in history.findings:
            act.add(
                Finding(mould=seen.mould, impression=seen.impression, defect=seen.defect, disposition=seen.disposition)
            )


def last_sound(shop: Shop) -> str:
    bad = {seen.mould for seen in shop.history.findings}
    return [mould.mould for mould in shop.history.moulds if mould.mould not in bad][-1]


def paired(typed: Sequence[str], environment: dict[str, str], runs: int) -> tuple[list[float], list[float]]:
    """Seconds of the bare start and of the command, run about. The first pair only warms the caches."""
    bare, ours = [], []
    for number in range(runs + 1):
        print(f"\r{number}/{runs}", end="", file=sys.stderr, flush=True)
        pair = seconds(BARE, environment), seconds(typed, environment)
        if number:
            bare.append(pair[0])
            ours.append(pair[1])
    print(file=sys.stderr)
    return bare, ours


def seconds(command: Sequence[str], environment: dict[str, str]) -> float:
    start = time.perf_counter()
    subprocess.run(command, env=environment, check=True, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    return time.perf_counter() - start


if __name__ == "__main__":
    main()
