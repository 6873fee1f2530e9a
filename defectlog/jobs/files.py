"""Writing a file that somebody asked for: whole or not at all, and over another only when that was asked for too."""

from contextlib import suppress
from pathlib import Path

from defectlog.errors import BadInput, Problem


def write_file(target: str, content: bytes, where: str, *, replace: bool = False) -> None:
    """Raises BadInput when the file is there, or cannot be written."""
    path = Path(target)
    if path.exists() and not replace:
        found, step = f"{target} is there already", "type another name, or add --force to write over it"
        raise BadInput(Problem("file-there", where, found, "allowed: a new file", step))
    unfinished = path.with_name(f"{path.name}.part")
    try:
        unfinished.write_bytes(content)
        unfinished.replace(path)
    except OSError as error:
        with suppress(OSError):
            unfinished.unlink(missing_ok=True)
        allowed, step = "allowed: a file in a folder that is there and you may write in", "type another path"
        raise BadInput(Problem("file-not-written", where, f"{target}: {error.strerror}", allowed, step)) from None
