"""Stopping the real program with SIGKILL while it writes, and asking the book afterwards what became of the act.

Every trial is one command against a book of its own, run in a process of its own, stopped at a statement of its choice
(deterministic) or at a moment of its choice; then the same command is typed again, as somebody would who saw no answer.
"""

import os
import shutil
import signal
import sqlite3
import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from pathlib import Path

from defectlog.book.acts import writing
from defectlog.book.marks import SCHEMA_VERSION
from defectlog.book.open import open_book
from defectlog.book.soundness import file_problems
from defectlog.records.kinds import Finding, Mould, Pattern

OLD = Path(__file__).parents[1] / "history" / "m001.db"
MOULDS = 12
DAY = datetime(2026, 3, 2, 11)
# Counts the statements of every connection, and stops the process dead at the one that is named; 0: only counts.
MORTAL = """
import os, signal, sqlite3, sys
from defectlog.cli.main import run
last, count = int(sys.argv[1]), 0
def step(_):
    global count
    count += 1
    if count == last:
        os.kill(os.getpid(), signal.SIGKILL)
class Mortal(sqlite3.Connection):
    def __init__(self, *arguments, **more):
        super().__init__(*arguments, **more)
        self.set_trace_callback(step)
connect = sqlite3.connect
sqlite3.connect = lambda *arguments, **more: connect(*arguments, factory=Mortal, **more)
code = run(sys.argv[2:])
print("STATEMENTS", count, file=sys.stderr)
sys.exit(code)
"""


# Writes without end, one row an act, and says of each act that it is in.
BUSY = """
import sys
from defectlog.book.acts import writing
from defectlog.book.open import open_book
from defectlog.records.kinds import Finding
with open_book(sys.argv[1]) as book:
    number = 0
    while True:
        number += 1
        with writing(book, f"act {number}") as act:
            act.add(Finding(mould="M-1", seen=f"act {number}"))
        print(number, flush=True)
"""


@dataclass(frozen=True)
class Deed:
    """A command, the book it needs, and how often what it does is in the book (None: half of it)."""

    name: str
    words: tuple[str, ...]
    prepare: Callable[[Path], None]
    times_in: Callable[[sqlite3.Connection], int | None]


@dataclass
class Tally:
    """What became of the acts. `half`: a part of an act is in the book; `broken`: the book is not sound."""

    killed: int = 0
    finished: int = 0
    acknowledged: int = 0
    written_unanswered: int = 0
    lost: int = 0
    doubled: int = 0
    half: int = 0
    broken: int = 0
    told: list[str] = field(default_factory=list)

    def add(self, other: "Tally") -> None:
        for name in ("killed", "finished", "acknowledged", "written_unanswered", "lost", "doubled", "half", "broken"):
            setattr(self, name, getattr(self, name) + getattr(other, name))
        self.told += other.told

    @property
    def clean(self) -> bool:
        return self.lost == self.doubled == self.half == self.broken == 0


def start_book(folder: Path) -> None:
    with open_book(folder / "book.db") as book:
        with writing(book, "start") as act:
            act.add(Pattern(pattern="P-1", impressions=4))
            for number in range(1, MOULDS + 1):
                act.add(Mould(mould=f"M-{number}", pattern="P-1", poured_at=DAY + timedelta(minutes=number)))
        for number in (1, 2, 3):
            with writing(book, f"shakeout M-{number}") as act:
                act.add(Finding(mould=f"M-{number}", seen="holes"))


def start_with_sheets(folder: Path) -> None:
    start_book(folder)
    sheets = folder / "sheets"
    sheets.mkdir()
    moulds = [f"N-{number},P-1,2026-03-03T10:{number:02d}" for number in range(40)]
    (sheets / "moulds.csv").write_text("\n".join(["mould,pattern,poured_at", *moulds]), encoding="utf-8")
    found = [f"N-{number},misrun" for number in range(0, 40, 4)]
    (sheets / "findings.csv").write_text("\n".join(["mould,defect", *found]), encoding="utf-8")


def start_old(folder: Path) -> None:
    shutil.copy(OLD, folder / "book.db")


def start_with_backup(folder: Path) -> None:
    from defectlog.book.backup import backup

    start_book(folder)
    with open_book(folder / "book.db") as book:
        backup(book, folder / "copy.db")
        with writing(book, "later") as act:
            act.add(Mould(mould="M-99", pattern="P-1"))


def value(book: sqlite3.Connection, sql: str) -> int:
    return int(book.execute(sql).fetchone()[0])


def shakeouts_in(book: sqlite3.Connection) -> int | None:
    found = value(book, "SELECT count(*) FROM finding WHERE defect = 'dross'")
    poured = value(book, "SELECT count(*) FROM mould WHERE mould = 'M-7' AND outcome = 'poured'")
    return found if bool(found) == bool(poured) else None


def imports_in(book: sqlite3.Connection) -> int | None:
    moulds = value(book, "SELECT count(*) FROM mould WHERE mould LIKE 'N-%'")
    findings = value(book, "SELECT count(*) FROM finding WHERE defect = 'misrun'")
    return moulds // 40 if moulds % 40 == 0 and findings * 4 == moulds else None


def amendments_in(book: sqlite3.Connection) -> int | None:
    changed = value(book, "SELECT count(*) FROM change WHERE field = 'pour_c' AND became = 731.0")
    now = value(book, "SELECT count(*) FROM mould WHERE mould = 'M-5' AND pour_c = 731.0")
    return changed if changed == now else None


def runs_in(book: sqlite3.Connection) -> int | None:
    """Moulds of a run without a number: they get the next numbers, and must not get the ones after those too."""
    runs, half = divmod(value(book, f"SELECT count(*) - {MOULDS} FROM mould"), 3)
    return None if half else runs


def remedies_in(book: sqlite3.Connection) -> int | None:
    """Nothing names a remedy: two of the same words are two remedies."""
    return value(book, "SELECT count(*) FROM remedy")


def undoings_in(book: sqlite3.Connection) -> int | None:
    acts = value(book, "SELECT count(*) FROM act WHERE undoes IS NOT NULL")
    withdrawn = value(book, "SELECT count(*) FROM finding WHERE withdrawn_by IS NOT NULL")
    return acts if acts == withdrawn else None


def migrations_in(book: sqlite3.Connection) -> int | None:
    whole = value(book, "SELECT count(*) FROM mould") == 17 and value(book, "SELECT count(*) FROM act") == 13
    sealed = value(book, "SELECT count(*) FROM sqlite_master WHERE name = 'chain'")
    version = value(book, "PRAGMA user_version")
    if not whole or (version == SCHEMA_VERSION) != bool(sealed):
        return None
    return int(version == SCHEMA_VERSION)


def restores_in(book: sqlite3.Connection) -> int | None:
    later = value(book, "SELECT count(*) FROM mould WHERE mould = 'M-99'")
    acts = value(book, "SELECT count(*) FROM act")
    return {(0, 4): 1, (1, 5): 0}.get((later, acts))


DEEDS = (
    Deed("shakeout", ("shakeout", "M-7", "--scrap", "1", "--defect", "dross"), start_book, shakeouts_in),
    Deed("import", ("import", "sheets"), start_with_sheets, imports_in),
    Deed("mould add", ("mould", "add", "--count", "3", "--pattern", "P-1"), start_book, runs_in),
    Deed("remedy add", ("remedy", "add", "P-1", "dross", "skimmed twice"), start_book, remedies_in),
    Deed("amend", ("mould", "amend", "M-5", "--pour-c", "731"), start_book, amendments_in),
    Deed("undo", ("undo",), start_book, undoings_in),
    Deed("migration", ("history",), start_old, migrations_in),
    Deed("restore", ("restore", "copy.db", "--force"), start_with_backup, restores_in),
)


def program(deed: Deed, folder: Path, last_statement: int) -> "subprocess.Popen[str]":
    environment = {**os.environ, "XDG_CACHE_HOME": str(folder / "cache")}
    return subprocess.Popen(
        [sys.executable, "-c", MORTAL, str(last_statement), "--book", "book.db", *deed.words],
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, cwd=folder, env=environment,
    )  # fmt: skip


def statements_of(deed: Deed, folder: Path) -> int:
    """How many statements the command takes when nobody stops it."""
    folder.mkdir()
    deed.prepare(folder)
    _, said = program(deed, folder, 0).communicate()
    return int(said.split("STATEMENTS ")[1])


def seconds_of(deed: Deed, folder: Path) -> float:
    folder.mkdir()
    deed.prepare(folder)
    start = time.monotonic()
    program(deed, folder, 0).communicate()
    return time.monotonic() - start


def trial(deed: Deed, folder: Path, *, statement: int = 0, after_seconds: float | None = None) -> Tally:
    """One kill, what came of it, and of the same command typed again when there was no answer."""
    folder.mkdir()
    deed.prepare(folder)
    running = program(deed, folder, statement)
    if after_seconds is not None:
        try:
            running.wait(after_seconds)
        except subprocess.TimeoutExpired:
            running.send_signal(signal.SIGKILL)
    out, _ = running.communicate()
    code = running.returncode
    if code not in (0, -signal.SIGKILL):
        return Tally(broken=1, told=[f"{deed.name}: ended with {code}"])
    # Who has the answer on the screen does not type it again, whatever became of the program afterwards.
    answered = bool(out.strip())
    tally = Tally(killed=int(code != 0), finished=int(code == 0), acknowledged=int(answered))
    judge(deed, folder, tally, acknowledged=answered)
    if answered:
        return tally
    retried = program(deed, folder, 0)
    _, said = retried.communicate()
    if retried.returncode != 0:
        tally.broken += 1
        tally.told.append(f"{deed.name} again: {said}")
    judge(deed, folder, tally, acknowledged=True)
    return tally


def judge(deed: Deed, folder: Path, tally: Tally, *, acknowledged: bool) -> None:
    book = sqlite3.connect(folder / "book.db")
    try:
        times = deed.times_in(book)
        version = value(book, "PRAGMA user_version")
    finally:
        book.close()
    if times is None:
        tally.half += 1
    elif times == 0 and acknowledged:
        tally.lost += 1
    elif times > 1:
        tally.doubled += 1
    elif times == 1 and not acknowledged:
        tally.written_unanswered += 1
    if version == SCHEMA_VERSION:
        with open_book(folder / "book.db") as opened:
            problems = file_problems(opened)
        tally.broken += bool(problems)
        tally.told += [f"{deed.name}: {problem}" for problem in problems]


def busy_trial(folder: Path, seconds: float) -> Tally:
    """A program stopped amid hundreds of acts: each that it said is in the book, each act is whole, none is twice."""
    folder.mkdir()
    start_book(folder)
    path = folder / "book.db"
    running = subprocess.Popen([sys.executable, "-c", BUSY, str(path)], stdout=subprocess.PIPE, text=True)
    first = running.stdout.readline() if running.stdout else ""
    time.sleep(seconds)
    running.send_signal(signal.SIGKILL)
    out, _ = running.communicate()
    said = {int(line) for line in (first + out).splitlines(keepends=True) if line.endswith("\n")}
    with open_book(path) as book:
        seen = [text for (text,) in book.rows("SELECT seen FROM finding WHERE seen LIKE 'act %'")]
        acts = book.value("SELECT count(*) FROM act WHERE command LIKE 'act %'")
        problems = file_problems(book)
    there = {int(text.split()[1]) for text in seen}
    return Tally(
        killed=1,
        acknowledged=len(said),
        written_unanswered=len(there - said),
        lost=len(said - there),
        doubled=len(seen) - len(there),
        half=abs(acts - len(there)),
        broken=int(bool(problems)),
        told=[str(problem) for problem in problems],
    )
