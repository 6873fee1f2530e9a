"""python -m tests.bench.bench_fuzz --minutes 20: everything that reads texts, fed with anything, counted by target.

The targets are the tests of tests/fuzz, run in turn, round after round with new examples until the time is over. A
crash is an example that a test does not take; hypothesis shrinks it before it is printed here. What is found belongs
into tests/fuzz as an @example beside the mend.
"""

import argparse
import os
import shutil
import sys
import tempfile
import time
import traceback
import warnings
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import wraps
from pathlib import Path
from typing import Any

EXAMPLES_A_ROUND = 100


@dataclass
class Target:
    """One test of tests/fuzz: how many examples it was given, how long that took, and what it did not take."""

    name: str
    test: Callable[..., None]
    takes_folders: bool
    examples: int = 0
    seconds: float = 0.0
    crashes: dict[str, str] = field(default_factory=dict)


@dataclass
class Folders:
    """Stands in for pytest's tmp_path_factory; emptied after every round, or the disc would fill up."""

    base: Path

    def mktemp(self, name: str) -> Path:
        self.base.mkdir(exist_ok=True)
        return Path(tempfile.mkdtemp(prefix=name, dir=self.base))

    def clear(self) -> None:
        shutil.rmtree(self.base, ignore_errors=True)


def main(arguments: Sequence[str] | None = None) -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--minutes", type=float, default=20.0)
    parser.add_argument("--only", default="", help="only targets with this in their names")
    asked = parser.parse_args(arguments)
    warnings.simplefilter("error")
    targets = [target for target in all_targets() if asked.only in target.name]
    until = time.monotonic() + 60 * asked.minutes
    with tempfile.TemporaryDirectory() as place:
        os.environ["XDG_CACHE_HOME"] = place
        folders = Folders(Path(place) / "round")
        rounds = 0
        while time.monotonic() < until:
            for target in targets:
                if time.monotonic() < until:
                    one_round(target, folders)
            rounds += 1
    print_found(targets, rounds)
    return 1 if any(target.crashes for target in targets) else 0


def all_targets() -> list[Target]:
    """The tests are read only now: how many examples they take is settled when they are."""
    os.environ["DEFECTLOG_FUZZ"] = str(EXAMPLES_A_ROUND)
    from tests.fuzz import test_parsers, test_sheets, test_words

    return [
        counted(f"{module.__name__.rpartition('_')[2]}: {name.removeprefix('test_').replace('_', ' ')}", test)
        for module in (test_parsers, test_sheets, test_words)
        for name, test in vars(module).items()
        if name.startswith("test_") and hasattr(test, "hypothesis")
    ]


def counted(name: str, test: Any) -> Target:
    inner = test.hypothesis.inner_test
    names = inner.__code__.co_varnames[: inner.__code__.co_argcount]
    target = Target(name, test, "tmp_path_factory" in names)

    @wraps(inner)
    def counting(*given: Any, **by_name: Any) -> None:
        target.examples += 1
        inner(*given, **by_name)

    test.hypothesis.inner_test = counting
    return target


def one_round(target: Target, folders: Folders) -> None:
    start = time.perf_counter()
    try:
        if target.takes_folders:
            target.test(tmp_path_factory=folders)
        else:
            target.test()
    except KeyboardInterrupt:
        raise
    except BaseException as error:
        remember(target, error)
    finally:
        folders.clear()
        target.seconds += time.perf_counter() - start


def remember(target: Target, error: BaseException) -> None:
    """One crash a place in the source, however many examples end there; several at once come as a group."""
    if isinstance(error, BaseExceptionGroup):
        for each in error.exceptions:
            remember(target, each)
        return
    last = traceback.extract_tb(error.__traceback__)[-1]
    place = f"{type(error).__name__} at {Path(last.filename).name}:{last.lineno}"
    if place in target.crashes:
        return
    notes = "\n".join(getattr(error, "__notes__", ()))
    target.crashes[place] = f"{error}\n{notes}"
    told = f"CRASH {target.name}: {place}\n{target.crashes[place]}"
    print(told.encode("ascii", "backslashreplace").decode(), file=sys.stderr, flush=True)


def print_found(targets: Sequence[Target], rounds: int) -> None:
    print(f"{'target':70s} {'examples':>9s} {'a second':>9s} {'crashes':>8s}")
    for target in targets:
        rate = target.examples / target.seconds if target.seconds else 0.0
        print(f"{target.name:70s} {target.examples:9,d} {rate:9.0f} {len(target.crashes):8d}")
    examples = sum(target.examples for target in targets)
    crashes = sum(len(target.crashes) for target in targets)
    minutes = sum(target.seconds for target in targets) / 60
    print(f"{examples:,} examples in {rounds} rounds and {minutes:.0f} minutes, {crashes} crashes")


if __name__ == "__main__":
    sys.exit(main())
