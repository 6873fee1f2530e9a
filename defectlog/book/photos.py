"""Photos of castings: files in a folder beside the book, named by what is in them, cleaned of all but the picture.

A record names its photo by the file's name. The file is written, whole, before the act that names it: a crash between
the two leaves a photo nobody names, never a name without its photo. Photos are never taken away or written over.
"""

import hashlib
import os
import re
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from defectlog.book.open import Book
from defectlog.book.pictures import NoPicture, cleaned
from defectlog.errors import BadInput, BookUnusable, NotFound, Problem

LARGEST = 15_000_000  # bytes; a phone's picture has three to ten million
ALLOWED = "allowed: a JPEG, PNG or WebP picture of at most 15 MB"
HOW_TO_GET_ONE = "save or send it as JPEG (on a phone: camera settings, the most compatible format)"
NAME = re.compile(r"[0-9a-f]{32}\.(jpg|png|webp)")


@dataclass(frozen=True, slots=True)
class Photo:
    """A picture that was read and cleaned: `name` goes on record."""

    name: str
    content: bytes


def folder_of(book_path: Path) -> Path:
    return book_path.parent / f"{book_path.name}.photos"


def read_photo(path: Path, where: str = "--photo") -> Photo:
    """Raises NotFound; BadInput for what is too large, cannot be read or is no picture."""
    if not path.is_file():
        raise NotFound(Problem("photo-missing", where, f"there is no file {path}", ALLOWED, "look at the path"))
    try:
        with path.open("rb") as file:
            content = file.read(LARGEST + 1)
    except OSError as error:
        found = f"{path} cannot be read ({error.strerror})"
        step = "look who may read it"
        raise BadInput(Problem("photo-unreadable", where, found, "allowed: a file that you may read", step)) from None
    if len(content) > LARGEST:
        raise BadInput(Problem("photo-large", where, f"{path} is over 15 MB", ALLOWED, "make it smaller"))
    try:
        ending, picture = cleaned(content)
    except NoPicture as why:
        raise BadInput(Problem("photo-not-a-picture", where, f"{path}: {why}", ALLOWED, HOW_TO_GET_ONE)) from None
    return Photo(f"{digest(picture)}.{ending}", picture)


def digest(picture: bytes) -> str:
    return hashlib.sha256(picture).hexdigest()[:32]


def keep(book_path: Path, photo: Photo) -> Path:
    """Put a photo in its place beside the book; one that is there already is left. Raises BookUnusable."""
    folder = folder_of(book_path)
    target = folder / photo.name
    unfinished = folder / f".{photo.name}.{os.getpid()}.part"
    try:
        folder.mkdir(exist_ok=True)
        if not target.exists():
            with unfinished.open("wb") as file:
                file.write(photo.content)
                file.flush()
                os.fsync(file.fileno())
            unfinished.replace(target)
    except OSError as error:
        with suppress(OSError):
            unfinished.unlink()
        found = f"the photo cannot be kept ({error.strerror}); nothing was written in the book"
        raise BookUnusable(
            Problem(
                "photo-not-kept",
                str(folder),
                found,
                "allowed: a folder that you may write",
                "check the disk and its folder",
            )
        ) from None
    return target


def photos_in(folder: Path) -> list[Path]:
    """The photos of a folder; anything else in it is left alone."""
    if not folder.is_dir():
        return []
    return sorted(path for path in folder.iterdir() if NAME.fullmatch(path.name) and path.is_file())


def is_as_named(path: Path) -> bool:
    """Whether a photo is what it was when it was kept."""
    return content_of(path) is not None


def copy_photos(source_book: Path, target_book: Path) -> tuple[int, tuple[str, ...]]:
    """Copy the photos of one book beside another: how many, and the names of those that are damaged and were left.

    Each is looked over; a damaged one in the other place is put right. Raises BookUnusable when one cannot be kept.
    """
    copied = 0
    damaged = []
    for path in photos_in(folder_of(source_book)):
        content = content_of(path)
        if content is None:
            damaged.append(path.name)
            continue
        there = folder_of(target_book) / path.name
        if there.is_file() and not is_as_named(there):
            there.unlink()
        keep(target_book, Photo(path.name, content))
        copied += 1
    return copied, tuple(damaged)


def content_of(path: Path) -> bytes | None:
    """None when it cannot be read, or is not what it was when it was kept."""
    try:
        content = path.read_bytes()
    except OSError:
        return None
    return content if digest(content) == path.name.partition(".")[0] else None


KEPT = "a photo stays as it was when it was kept"


def photo_changed(path: Path) -> Problem:
    found = "the photo is damaged, or was changed since it was kept"
    return Problem("photo-changed", str(path), found, KEPT, "put it back from a backup, or move it away")


def photo_problems(book: Book) -> Iterator[Problem]:
    """Photos that records name and that are not there, and photos that are not what they were."""
    folder = folder_of(book.path)
    there = {path.name: path for path in photos_in(folder)}
    sql = (
        "SELECT f.photo, m.mould FROM finding f JOIN mould m ON m.id = f.mould_id"
        " WHERE f.photo IS NOT NULL AND f.withdrawn_by IS NULL ORDER BY f.id"
    )
    for name, mould in book.rows(sql):
        if NAME.fullmatch(name) and name not in there:
            found = f"its photo {name} is not in {folder}"
            yield Problem("photo-missing", f"mould {mould}", found, KEPT, "put it back from a backup")
    yield from (photo_changed(path) for path in there.values() if not is_as_named(path))
