"""Long work tells how far it is, and whoever stops it at any of these moments finds everything as it was."""

import shutil
import sqlite3
from pathlib import Path

import pytest

from defectlog.book import copying, progress, restoring
from defectlog.book.acts import writing
from defectlog.book.backup import backup
from defectlog.book.checking import check_book
from defectlog.book.open import open_book
from defectlog.book.progress import ticking
from defectlog.book.restoring import restore
from defectlog.records.kinds import Pattern

OLD = Path(__file__).parents[1] / "history" / "m001.db"
LONG = "WITH RECURSIVE n (i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n WHERE i < 300000) SELECT count(*) FROM n"


@pytest.fixture(autouse=True)
def small_steps(monkeypatch):
    """So that a small book takes many."""
    monkeypatch.setattr(progress, "STEPS_A_TICK", 2000)
    monkeypatch.setattr(copying, "PAGES_AT_ONCE", 100)
    monkeypatch.setattr(restoring, "PAGES_AT_ONCE", 100)


class Impatient:
    """Presses Ctrl-C at the `last` time that it is told something; 0: never, only listens."""

    def __init__(self, last=0):
        self.last = last
        self.told = []

    def __call__(self, what, _done, _of):
        self.told.append(what)
        if len(self.told) == self.last:
            raise KeyboardInterrupt


def stopped_at_every_moment(act, look):
    """Runs `act` once through, then again and again, stopped at each moment at which it told something."""
    whole = Impatient()
    act(whole)
    assert whole.told
    for moment in range(1, len(whole.told) + 1):
        before = look()
        with pytest.raises(KeyboardInterrupt):
            act(Impatient(moment))
        assert look() == before, whole.told[moment - 1]
    return whole.told


def dump(path):
    book = sqlite3.connect(path)
    lines = list(book.iterdump())
    book.close()
    return lines


def names_in(folder):
    return sorted(item.name for item in folder.iterdir() if not item.name.endswith(("-wal", "-shm")))


def filled(book):
    with writing(book, "start") as act:
        for number in range(400):
            act.add(Pattern(pattern=f"P-{number}", impressions=1, note="x" * 3000))


def test_a_long_statement_is_told_of_again_and_again():
    connection = sqlite3.connect(":memory:")
    listening = Impatient()
    with ticking(connection, "counting", listening):
        assert connection.execute(LONG).fetchone() == (300_000,)
    assert len(listening.told) > 5
    assert set(listening.told) == {"counting"}
    connection.close()


def test_a_long_statement_can_be_stopped_and_the_book_used_on(book):
    with pytest.raises(KeyboardInterrupt), ticking(book.connection, "counting", Impatient(3)):
        book.value(LONG)
    assert book.value(LONG) == 300_000


def test_a_mistake_in_a_statement_is_still_a_mistake(book):
    with pytest.raises(sqlite3.OperationalError), ticking(book.connection, "counting", Impatient()):
        book.connection.execute("SELECT nothing FROM nowhere")


def test_a_backup_that_is_stopped_leaves_no_file(book, tmp_path):
    filled(book)
    told = stopped_at_every_moment(
        lambda tell: backup(book, tmp_path / "copy.db", replace=True, tell=tell),
        lambda: ((tmp_path / "copy.db").exists(), names_in(tmp_path)),
    )
    assert {"copying", "looking the copy over"} <= set(told)


def test_a_restore_that_is_stopped_leaves_the_book_as_it_was(book, tmp_path):
    """What it had laid aside before may stay: it is a whole copy."""
    filled(book)
    backup(book, tmp_path / "copy.db")
    with writing(book, "later") as act:
        act.add(Pattern(pattern="Q-1", impressions=1))
    book.close()
    ours = book.path.read_bytes()

    def back(tell):
        book.path.write_bytes(ours)
        restore(tmp_path / "copy.db", book.path, force=True, tell=tell)

    listening = Impatient()
    back(listening)
    places = [number for number, what in enumerate(listening.told, 1) if what == "putting the backup in its place"]
    assert len(places) > 2
    for moment in [1, places[0] - 1, *places[:-1]]:
        with pytest.raises(KeyboardInterrupt):
            back(Impatient(moment))
        with open_book(book.path, read_only=True) as again:
            assert again.value("SELECT count(*) FROM pattern WHERE pattern = 'Q-1'") == 1
            assert again.value("PRAGMA integrity_check") == "ok"


def test_bringing_an_old_book_up_to_date_can_be_stopped(tmp_path):
    path = tmp_path / "book.db"

    def bring(tell):
        shutil.copy(OLD, path)
        open_book(path, tell=tell).close()

    listening = Impatient()
    bring(listening)
    assert {"copying", "seals, mould"} <= set(listening.told)
    for moment in range(1, len(listening.told) + 1):
        with pytest.raises(KeyboardInterrupt):
            bring(Impatient(moment))
        assert dump(path) == dump(OLD)
        assert not list(tmp_path.glob("*.part"))


def test_the_check_tells_and_can_be_stopped(book):
    filled(book)
    told = stopped_at_every_moment(lambda tell: check_book(book, tell=tell), lambda: book.value("PRAGMA data_version"))
    assert {"looking the file over", "journal"} <= set(told)
    assert check_book(book) == []
