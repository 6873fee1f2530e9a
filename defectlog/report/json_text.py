"""A value as JSON text that can be printed anywhere: what could drive a terminal stands as its number, \\u009b."""

import json
import re
from typing import Any

from defectlog.report.page import is_hidden

NOT_PLAIN = re.compile(r"[^\x20-\x7e\n]")


def json_text(value: Any) -> str:
    """One document with a line end. Reading it gives the same texts back, to the character."""
    written = json.dumps(value, ensure_ascii=False, indent=2, allow_nan=False)
    return NOT_PLAIN.sub(lambda found: escaped(found[0]), written) + "\n"


def escaped(character: str) -> str:
    return json.dumps(character)[1:-1] if is_hidden(character) else character
