"""An act's own id, laid down beside the book until its answer is out.

A program that is stopped between writing and answering (a crash, the plug, a closed window) leaves the id there. The
same command typed again within a day takes it up: the book has an act with that id or it has not, so it is written
once, either way, and nobody has to know which.
"""

import hashlib
import json
import os
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from defectlog.errors import DefectlogError

KEPT_SECONDS = 24 * 3600.0
# A disc that fails while the book is closed over an act: only the book knows whether the act is in.
PERHAPS_WRITTEN = ("book-unreadable", "book-full")


def folder_of(book_path: Path) -> Path:
    return book_path.parent / f"{book_path.name}.unanswered"


@contextmanager
def own_id(book_path: Path, command: str) -> Iterator[str]:
    """The id for the act of `command`. Print and flush the answer before leaving: then the id is done with.

    Where nothing can be laid down (a folder that may not be written) there is an id all the same.
    """
    path = folder_of(book_path) / hashlib.sha256(command.encode("utf-8", "surrogatepass")).hexdigest()[:32]
    token = left_behind(path) or os.urandom(16).hex()
    with suppress(OSError):
        path.parent.mkdir(exist_ok=True)
        path.write_text(json.dumps([token, os.getpid(), time.time()]), encoding="utf-8")
    try:
        yield token
    except DefectlogError as error:
        if not any(problem.code in PERHAPS_WRITTEN for problem in error.problems):
            done_with(path)
        raise
    done_with(path)


def left_behind(path: Path) -> str | None:
    """The id of the same command, whose program is gone without an answer; None when there is none, or an old one."""
    with suppress(OSError, ValueError, TypeError):
        token, process, at = json.loads(path.read_text(encoding="utf-8"))
        if abs(time.time() - at) < KEPT_SECONDS and not runs(process):
            return str(token)
    return None


def runs(process: int) -> bool:
    """Whether a process is still there. Where the system cannot be asked without harm, it is taken to be gone."""
    if os.name != "posix" or process == os.getpid():
        return process == os.getpid()
    try:
        os.kill(process, 0)
    except PermissionError:
        return True
    except (OSError, OverflowError):
        return False
    return True


def done_with(path: Path) -> None:
    with suppress(OSError):
        path.unlink()
        path.parent.rmdir()  # only goes when it is empty
