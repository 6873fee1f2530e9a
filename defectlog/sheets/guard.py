"""A text that a spreadsheet would take for a formula goes out with an apostrophe before it, and comes in without.

Which texts: OWASP, "CSV Injection" (owasp.org/www-community/attacks/CSV_Injection), with the full-width forms of
the same signs. Plain numbers such as -12 stay as they are.
"""

import re

FORMULA = re.compile(r"'*[=+\-@\t\r＝＋－＠]")
PLAIN_NUMBER = re.compile(r"[-+]?\d+([.,]\d+)?")


def guarded(text: str) -> str:
    """A text with apostrophes of its own before such a sign gets one more, so that `unguarded` gives it back."""
    return f"'{text}" if FORMULA.match(text) and not PLAIN_NUMBER.fullmatch(text) else text


def unguarded(text: str) -> str:
    return text[1:] if text.startswith("'") and FORMULA.match(text) else text
