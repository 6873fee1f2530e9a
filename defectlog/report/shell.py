"""Commands to type next, written so that a shell takes them as they stand."""

import re
import shlex

PLAIN = re.compile(r"[\w.@%+=:,/-]+")
SAFE_IN_DOUBLE_QUOTES = re.compile(r"[^\"$`\\!\x00-\x1f]*")


def shell_word(text: str) -> str:
    """One word for a shell: bare where it can be, in double quotes (which every shell takes) where those do."""
    if PLAIN.fullmatch(text) and not text.startswith("-"):
        return text
    return f'"{text}"' if SAFE_IN_DOUBLE_QUOTES.fullmatch(text) and text else shlex.quote(text)


def shell_command(*words: str) -> str:
    """`defectlog` and the words behind it; a word that begins with "--" is taken as an option."""
    return " ".join(["defectlog", *(word if word.startswith("--") else shell_word(word) for word in words)])
