"""Files in the shop's own rule folder: changed or made as a whole, or not at all."""

import tempfile
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

from defectlog.errors import BadInput, Problem
from defectlog.rulebase.toml_text import CannotEdit


def edit_shop_file(path: Path, when_new: str, change: Callable[[str], str]) -> Path:
    """The file with its text put through `change`; `when_new` is its text where there is none. Raises BadInput."""
    try:
        content = path.read_bytes().decode("utf-8-sig") if path.is_file() else when_new
        written = change(content)
        path.parent.mkdir(parents=True, exist_ok=True)
        replace_file(path, written)
    except CannotEdit as error:
        step = "write the row by hand, then run: defectlog rules check"
        raise BadInput(Problem("rule-file-unusual", str(path), str(error), "nothing was changed", step)) from None
    except OSError as error:
        raise unwritable(path, error) from None
    return path


def make_shop_file(path: Path, text: str) -> Path:
    """A new file. Raises BadInput where there is one already, or where it cannot be made."""
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with path.open("x", encoding="utf-8", newline="\n") as file:
            file.write(text)
    except FileExistsError:
        step = f"to see what is wrong or missing in it: defectlog rules check {path.parents[2]}"
        raise BadInput(Problem("rule-file-there", str(path), "is there already", "it was not touched", step)) from None
    except OSError as error:
        raise unwritable(path, error) from None
    return path


def unwritable(path: Path, error: OSError) -> BadInput:
    found = f"cannot be written: {error.strerror or error}"
    step = "set DEFECTLOG_SHOP_RULES to a folder that you may write to"
    return BadInput(Problem("rules-unwritable", str(path), found, "nothing was changed", step))


def replace_file(path: Path, text: str) -> None:
    """Written whole under another name first, so that nobody ever reads half of it."""
    with tempfile.NamedTemporaryFile("wb", dir=path.parent, suffix=".part", delete=False) as file:
        draft = Path(file.name)
        file.write(text.encode("utf-8"))
    try:
        draft.chmod(path.stat().st_mode & 0o777 if path.exists() else 0o644)
        draft.replace(path)
    except OSError:
        with suppress(OSError):
            draft.unlink()
        raise
