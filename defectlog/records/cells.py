"""One cell of text to the value of a field and back: for sheets and for the command line alike.

Empty means "not on record" and comes back as None. What is typed may carry its unit; what is written never does.
"""

import math
import re
from collections.abc import Callable
from datetime import date, datetime, time
from decimal import Decimal
from typing import Any

from defectlog.dates import parse_day, parse_when
from defectlog.errors import BadInput, Problem
from defectlog.records.fields import FieldSpec
from defectlog.units import METRIC, parse_quantity, show_quantity

YES = frozenset({"yes", "y", "true", "1", "x"})
NO = frozenset({"no", "n", "false", "0"})
ISO_MOMENT = re.compile(r"\d{4}-\d{1,2}-\d{1,2}(?:[T ]+\d{1,2}:\d{2}(?::\d{2})?)?", re.IGNORECASE)
# As this program writes them; most moments of a sheet are of this form and are read without further ado.
WHOLE_MOMENT = re.compile(r"[12]\d{3}-[01]\d-[0-3]\dT[0-2]\d:[0-5]\d", re.ASCII)
ISO_MOMENT_ALLOWED = "allowed: 2026-03-09T14:20 or 2026-03-09"
ISO_DAY_ALLOWED = "allowed: 2026-03-09"
WHOLE = re.compile(r"[+]?\d{1,15}(?:[.,]0{1,2})?")
# Control characters and halves of characters: nobody can see them, and a terminal or a sheet would act on them or
# lose them. Tab and line feed are kept inside a text; marks of direction and joining belong to some scripts.
UNSEEN = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\ud800-\udfff\ufdd0-\ufdef\ufffe\uffff]")
# A cell of a workbook ends at 32,767 characters (ECMA-376 as Excel keeps it); a record must fit into one.
LONGEST_TEXT = 32_000


def parse_cell(spec: FieldSpec, text: str, where: str = "", *, unit: str = "", today: date | None = None) -> Any:
    """The value of `text` for the field `spec`, None when it is empty.

    `unit` is the unit that a sheet's column is in when it is not the field's own (a key of units.SPELLINGS); `today`
    lets dates be spoken ("yesterday", "9 mar"); without it only ISO dates are taken. Raises BadInput: not of the
    field's kind, impossible, not one of the choices, or empty where something is required.
    """
    text = seen_text(text, where)
    if not text:
        if spec.required:
            raise bad("cell-empty", where, "nothing is written here", f"needed: {spec.meaning}")
        return None
    return PARSERS[spec.holds](spec, text, where, unit, today)


def seen_text(text: str, where: str = "") -> str:
    """A text without outer blanks and with plain line ends. Raises BadInput for what no record can keep."""
    if text.isascii() and text.isprintable() and len(text) <= LONGEST_TEXT:
        return text.strip()
    whole = text.replace("\r\n", "\n").replace("\r", "\n").strip()
    if problem := text_fault(whole, where):
        raise BadInput(problem)
    return whole


def text_fault(text: str, where: str) -> Problem | None:
    """What makes a text one that no record can keep: a character that cannot be seen, or its length."""
    # Characters beyond the first plane take two places in a workbook.
    length = len(text) if len(text) > LONGEST_TEXT or text.isascii() else len(text.encode("utf-16-le", "replace")) // 2
    if length > LONGEST_TEXT:
        found = f"the text is {length:,} characters long: {text[:20]!r} …"
        step = "put the long text into a file of its own and write down where it lies"
        return Problem("text-long", where, found, f"allowed: up to {LONGEST_TEXT:,} characters", step)
    if unseen := UNSEEN.search(text):
        found = f"a character that cannot be seen (U+{ord(unseen[0]):04X}) in {text[:60]!r}"
        return Problem("text-unseen", where, found, "allowed: letters, figures and signs", "type the text again")
    return None


def parse_text(_spec: FieldSpec, text: str, _where: str, _unit: str, _today: date | None) -> str:
    return text


def parse_number(spec: FieldSpec, text: str, where: str, unit: str, _today: date | None) -> float:
    typed = f"{text} {unit}" if unit and text[-1] in "0123456789.," else text
    return in_range(spec, parse_quantity(typed, spec.quantity, where), text, where)


def parse_count(spec: FieldSpec, text: str, where: str, _unit: str, _today: date | None) -> int:
    if not WHOLE.fullmatch(text):
        raise bad("not-a-count", where, f"{text!r} is not a whole number", allowed_range(spec))
    return int(in_range(spec, int(re.split("[.,]", text)[0]), text, where))


def parse_yes_no(_spec: FieldSpec, text: str, where: str, _unit: str, _today: date | None) -> bool:
    word = text.casefold()
    if word in YES or word in NO:
        return word in YES
    raise bad("not-yes-or-no", where, f"{text!r} is neither yes nor no", "allowed: yes, no, or empty for not on record")


def parse_choice(spec: FieldSpec, text: str, where: str, _unit: str, _today: date | None) -> str:
    wanted = folded(text)
    for choice in spec.choices:
        if folded(choice) == wanted:
            return choice
    if wanted in spec.said:
        return spec.said[wanted]
    found = f"{text!r} is not one of the choices{nearest_of(text, spec.choices)}"
    raise bad("not-a-choice", where, found, "allowed: " + ", ".join(spec.choices))


def parse_moment(_spec: FieldSpec, text: str, where: str, _unit: str, today: date | None) -> datetime:
    if is_whole_moment(text):
        return datetime.fromisoformat(text)
    if today is None and not ISO_MOMENT.fullmatch(text):
        raise bad("date-unknown", where, f"{text!r} is not a date that can be read one way only", ISO_MOMENT_ALLOWED)
    return parse_when(text, today or date.max, where)


def is_whole_moment(text: str) -> bool:
    """Whether a text is a day with a time, written as `moment_text` writes it."""
    if not WHOLE_MOMENT.fullmatch(text) or not "1900" <= text[:4] < "2200" or text.endswith("T00:00"):
        return False
    try:
        datetime.fromisoformat(text)
    except ValueError:
        return False
    return True


def parse_date(_spec: FieldSpec, text: str, where: str, _unit: str, today: date | None) -> date:
    if today is not None:
        return parse_day(text, today, where)
    moment = parse_moment(_spec, text, where, "", None)
    if moment.time() != time():
        raise bad("date-with-time", where, f"{text!r} has a time of day", ISO_DAY_ALLOWED)
    return moment.date()


PARSERS: dict[str, Callable[[FieldSpec, str, str, str, date | None], Any]] = {
    "text": parse_text,
    "number": parse_number,
    "count": parse_count,
    "yes_no": parse_yes_no,
    "choice": parse_choice,
    "moment": parse_moment,
    "day": parse_date,
}


def write_cell(spec: FieldSpec, value: Any) -> str:
    """The text that parse_cell reads back as `value`; empty for None."""
    if value is None:
        return ""
    if spec.holds == "number":
        return number_text(value)
    if spec.holds == "yes_no":
        return "yes" if value else "no"
    if spec.holds == "moment":
        return moment_text(value)
    return day_text(value) if spec.holds == "day" else str(value)


def number_text(value: float) -> str:
    """The shortest text that gives the same number back, without an exponent and without a useless ".0"."""
    text = format(Decimal(repr(float(value))), "f")
    return text.rstrip("0").rstrip(".") if "." in text else text


def moment_text(value: datetime) -> str:
    """ISO, no finer than it was written: the day alone at midnight, seconds only where there are some."""
    if not (value.hour or value.minute or value.second):
        return day_text(value.date())
    return value.isoformat()[: 19 if value.second else 16]


def day_text(value: date) -> str:
    return value.isoformat()


def in_range(spec: FieldSpec, value: float, text: str, where: str) -> float:
    if out_of_range(spec, value):
        raise bad("impossible", where, f"{text!r} is impossible for {spec.meaning}", allowed_range(spec))
    return value


def out_of_range(spec: FieldSpec, value: float) -> bool:
    low = spec.least is not None and value < spec.least
    high = spec.most is not None and value > spec.most
    return low or high or not math.isfinite(value)


def allowed_range(spec: FieldSpec) -> str:
    """The bounds of what can be, as "allowed: 0 °C to 1200 °C"."""
    what = "a whole number" if spec.holds == "count" else "a number"
    ends = [
        f"{word} {bound_text(spec, bound)}"
        for word, bound in (("from", spec.least), ("to", spec.most))
        if bound is not None
    ]
    return " ".join([f"allowed: {what}", *ends])


def bound_text(spec: FieldSpec, bound: float) -> str:
    if spec.holds == "count" or spec.quantity not in METRIC:
        return f"{bound:g}"
    return show_quantity(bound, spec.quantity, digits=7)


def folded(text: str) -> str:
    """A word as it is compared: case, hyphens, underscores and blanks do not count."""
    return re.sub(r"[\s_-]+", " ", text.strip().casefold())


def nearest_of(text: str, choices: tuple[str, ...] | list[str]) -> str:
    """– did you mean …?" for the nearest of the choices, or nothing."""
    from difflib import get_close_matches  # only when something is wrong

    near = get_close_matches(folded(text), [folded(choice) for choice in choices], n=1, cutoff=0.6)
    named = next((choice for choice in choices if near and folded(choice) == near[0]), None)
    return f" – did you mean {named!r}?" if named else ""


def bad(code: str, where: str, found: str, allowed: str) -> BadInput:
    return BadInput(Problem(code, where, found, allowed))
