"""python -m tests.bench.bench_kills --kills 200: the program stopped with SIGKILL while it writes; what was lost.

Half of the kills are at a statement, spread over all of the command's; half at a moment within its run. Printed are the
acts that were answered, that were written and not answered, lost, in the book twice, and in the book by half.
"""

import argparse
import random
import sys
import tempfile
from collections.abc import Iterator, Sequence
from pathlib import Path

from tests.bench.killing import DEEDS, Deed, Tally, busy_trial, seconds_of, statements_of, trial

BUSY_NAME = "many acts"


def main(arguments: Sequence[str] | None = None) -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--kills", type=int, default=200)
    parser.add_argument("--busy", type=int, default=60, help="kills amid acts that follow one another without a pause")
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args(arguments)
    chance = random.Random(asked.seed)
    tallies = {deed.name: Tally() for deed in DEEDS}
    with tempfile.TemporaryDirectory() as place:
        plans = {deed.name: plans_for(deed, Path(place) / deed.name, chance) for deed in DEEDS}
        for number in range(asked.kills):
            deed = DEEDS[number % len(DEEDS)]
            statement, seconds = next(plans[deed.name])
            folder = Path(place) / f"{number}"
            tallies[deed.name].add(trial(deed, folder, statement=statement, after_seconds=seconds))
            print(f"\r{number + 1} of {asked.kills}", end="", file=sys.stderr, flush=True)
        tallies[BUSY_NAME] = Tally()
        for number in range(asked.busy):
            tallies[BUSY_NAME].add(busy_trial(Path(place) / f"busy-{number}", chance.uniform(0.0, 0.3)))
            print(f"\r{number + 1} of {asked.busy} amid many acts", end="", file=sys.stderr, flush=True)
    print(file=sys.stderr)
    print_table(tallies)


def plans_for(deed: Deed, folder: Path, chance: random.Random) -> Iterator[tuple[int, float | None]]:
    """In turn a statement to stop at, and a moment."""
    statements = statements_of(deed, Path(f"{folder}-statements"))
    seconds = seconds_of(deed, Path(f"{folder}-seconds"))
    while True:
        yield chance.randint(1, statements), None
        yield 0, seconds * chance.uniform(0.4, 1.0)


COLUMNS = ("killed", "finished", "answered", "written unanswered", "lost", "twice", "half", "unsound")


def print_table(tallies: dict[str, Tally]) -> None:
    whole = Tally()
    print(f"{'':12s}" + "".join(f"{name:>{len(name) + 2}s}" for name in COLUMNS))
    for name, tally in tallies.items():
        print_row(name, tally)
        whole.add(tally)
    print_row("all", whole)
    for line in whole.told:
        print(line)


def print_row(name: str, tally: Tally) -> None:
    counts = (
        tally.killed, tally.finished, tally.acknowledged, tally.written_unanswered,
        tally.lost, tally.doubled, tally.half, tally.broken,
    )  # fmt: skip
    print(f"{name:12s}" + "".join(f"{count:{len(column) + 2}d}" for column, count in zip(COLUMNS, counts, strict=True)))


if __name__ == "__main__":
    main()
