"""Where the last backups are: noted in a small text beside the book, for the day on which it cannot be opened."""

from contextlib import suppress
from datetime import datetime
from fnmatch import fnmatchcase
from pathlib import Path

MOST_NOTED = 20
# Copies that the program makes by itself, beside the book: before a migration, before a restore.
BESIDE = ("shape-*.bak", "before-restore-*.bak")


def note_of(book_path: Path) -> Path:
    return book_path.parent / f"{book_path.name}.backups"


def note_backup(book_path: Path, copy: Path) -> None:
    """A line with the time and the place. That it cannot be written is no reason to fail: the copy is there."""
    line = f"{datetime.now():%Y-%m-%d %H:%M}\t{copy.absolute()}"
    with suppress(OSError, UnicodeError):
        lines = [*noted(book_path), line][-MOST_NOTED:]
        note_of(book_path).write_text("".join(f"{line}\n" for line in lines), encoding="utf-8")


def noted(book_path: Path) -> list[str]:
    with suppress(OSError, UnicodeError):
        return note_of(book_path).read_text(encoding="utf-8").splitlines()
    return []


def last_copy(book_path: Path) -> tuple[str, Path] | None:
    """When it was made, and where it is: the newest copy that can be found, or None."""
    found: list[tuple[str, Path]] = []
    for line in noted(book_path):
        when, _, place = line.partition("\t")
        with suppress(OSError, ValueError):
            if Path(place).is_file():
                found.append((when, Path(place)))
    with suppress(OSError):
        found += [(minute_of(path), path) for path in book_path.parent.iterdir() if is_beside(path, book_path)]
    return max(found, default=None, key=lambda item: item[0])


def minute_of(path: Path) -> str:
    return f"{datetime.fromtimestamp(path.stat().st_mtime):%Y-%m-%d %H:%M}"


def is_beside(path: Path, book_path: Path) -> bool:
    rest = path.name.removeprefix(f"{book_path.name}.")
    return rest != path.name and any(fnmatchcase(rest, pattern) for pattern in BESIDE)


def way_back(book_path: Path) -> str:
    """What to type when the book is damaged."""
    copy = last_copy(book_path)
    if copy is None:
        return "keep the file, and restore a backup: defectlog restore FILE"
    when, path = copy
    return f"keep the file; the last backup is of {when}: defectlog restore {as_word(path)}"


def as_word(path: Path) -> str:
    text = str(path)
    return f'"{text}"' if any(letter.isspace() for letter in text) else text
