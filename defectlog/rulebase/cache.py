"""Parsed rule files kept as JSON by the hash of their content, because reading TOML costs most of a quick start.

The cache holds only what the files said, is named by what they said, and may be deleted at any time.
"""

import hashlib
import json
import os
import tempfile
from collections.abc import Callable, Mapping
from contextlib import suppress
from pathlib import Path
from typing import Any

Tables = dict[str, dict[str, Any]]
# The table of a file, or None where it could not be read (whoever parses keeps the reason).
Parse = Callable[[str, bytes], dict[str, Any] | None]
# Changes when the layout of the cached tables changes.
LAYOUT = b"1"


def remembered_tables(contents: Mapping[str, bytes], cache_folder: Path | None, parse: Parse) -> Tables:
    """Every readable file's table, from the cache when its content is known there. An unusable cache is passed over,
    and a file that cannot be read is left out and nothing is kept, so that it is complained of every time."""
    place = cache_folder / f"rules-{fingerprint(contents)}.json" if cache_folder else None
    known = read_tables(place) if place else None
    if known is not None and known.keys() == contents.keys():
        return known
    tables = {name: table for name, content in contents.items() if (table := parse(name, content)) is not None}
    if place and len(tables) == len(contents):
        keep(tables, place)
    return tables


def fingerprint(contents: Mapping[str, bytes]) -> str:
    digest = hashlib.blake2b(LAYOUT, digest_size=16)
    for name, content in contents.items():
        digest.update(f"{name}\0{len(content)}\0".encode("utf-8", "surrogateescape"))
        digest.update(content)
    return digest.hexdigest()


def read_tables(place: Path) -> Tables | None:
    try:
        tables = json.loads(place.read_bytes())
    except (OSError, ValueError, RecursionError):
        return None
    whole = isinstance(tables, dict) and all(isinstance(table, dict) for table in tables.values())
    return tables if whole else None


def keep(tables: Tables, place: Path) -> None:
    """Written whole under another name first, so that a reader never sees half of it. Older ones are swept out.

    Tables that JSON cannot hold, such as dates, are not kept: no rule has them, so they will be refused anyway.
    """
    with suppress(OSError, TypeError, ValueError, RecursionError):
        text = json.dumps(tables)
        place.parent.mkdir(parents=True, exist_ok=True)
        handle, draft = tempfile.mkstemp(dir=place.parent, suffix=".part")
        with os.fdopen(handle, "w", encoding="utf-8") as file:
            file.write(text)
        Path(draft).replace(place)
        sweep(place)


def sweep(kept: Path, most: int = 8) -> None:
    older = sorted(kept.parent.glob("rules-*.json"), key=lambda path: path.stat().st_mtime, reverse=True)
    for path in older[most:]:
        if path != kept:
            path.unlink(missing_ok=True)
