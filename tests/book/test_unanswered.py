"""An act whose answer never came out is not written a second time by typing it again."""

import json
import os
import subprocess
import sys
import time

import pytest

from defectlog.book.unanswered import KEPT_SECONDS, folder_of, own_id
from defectlog.errors import BadInput, BookUnusable, Problem


@pytest.fixture
def path(tmp_path):
    return tmp_path / "book.db"


def gone():
    """The number of a process that has ended."""
    ended = subprocess.Popen([sys.executable, "-c", ""])
    ended.wait()
    return ended.pid


def leave(path, command, process, at):
    """As a program leaves it that was stopped."""
    with pytest.raises(KeyboardInterrupt), own_id(path, command) as token:
        raise KeyboardInterrupt
    [note] = folder_of(path).iterdir()
    note.write_text(json.dumps([token, process, at]))
    return token


def test_an_answered_act_leaves_nothing_behind_and_the_next_has_an_id_of_its_own(path):
    with own_id(path, "undo") as first:
        assert len(list(folder_of(path).iterdir())) == 1
    with own_id(path, "undo") as second:
        pass
    assert first != second
    assert not folder_of(path).exists()


def test_the_same_command_after_a_crash_has_the_id_of_the_first_time(path):
    token = leave(path, "shakeout M-1", gone(), time.time())
    with own_id(path, "shakeout M-2") as other:
        assert other != token
    with own_id(path, "shakeout M-1") as again:
        assert again == token
    with own_id(path, "shakeout M-1") as later:
        assert later != token


def test_an_id_of_a_program_that_still_runs_is_left_to_it(path):
    token = leave(path, "undo", os.getppid(), time.time())
    with own_id(path, "undo") as other:
        assert other != token


def test_an_id_of_the_day_before_is_too_old(path):
    token = leave(path, "undo", gone(), time.time() - KEPT_SECONDS - 60)
    with own_id(path, "undo") as other:
        assert other != token


@pytest.mark.parametrize("content", ["", "{}", "[1]", '["a", "b", "c"]', "\x00"])
def test_a_note_that_cannot_be_read_is_no_obstacle(path, content):
    leave(path, "undo", gone(), 0)
    [note] = folder_of(path).iterdir()
    note.write_text(content)
    with own_id(path, "undo") as token:
        assert len(token) == 32


def test_what_was_refused_leaves_nothing_and_what_may_be_written_is_kept(path):
    for error, left in (
        (BadInput(Problem("impossible", "", "")), False),
        (BookUnusable(Problem("book-foreign", "", "")), False),
        (BookUnusable(Problem("book-unreadable", "", "")), True),
    ):
        with pytest.raises(type(error)), own_id(path, "undo"):
            raise error
        assert folder_of(path).exists() == left


def test_a_folder_that_may_not_be_written_is_no_obstacle(tmp_path):
    with own_id(tmp_path / "none" / "book.db", "undo") as token:
        assert len(token) == 32
