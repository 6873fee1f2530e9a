"""What a person may say about sheets that were not made for this program: how dates, columns and sheets are meant."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from defectlog.errors import BadInput, Problem

DAY_FIRST, MONTH_FIRST = "day-first", "month-first"
DATE_ORDERS = (DAY_FIRST, MONTH_FIRST)


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """`dates`: which of 04/03/2026 is the day, "" when nobody said; `columns`: title as written → field, or "" for a
    column to leave out; `sheets`: name of a sheet or file → kind; `fill_down`: fields whose empty cells take the
    value above; `keep_cells`: keep the cells as they were written, to give refused rows back."""

    dates: str = ""
    columns: Mapping[str, str] = field(default_factory=dict)
    sheets: Mapping[str, str] = field(default_factory=dict)
    fill_down: tuple[str, ...] = ()
    keep_cells: bool = False


NOTHING = Told()


@dataclass(frozen=True, slots=True)
class LeftOut:
    """A row of a sheet that was not taken as a record, and why: a total, or one that stands there twice."""

    sheet: str
    row: int
    why: str


def pairs_told(option: str, words: Sequence[str]) -> dict[str, str]:
    """ "Pour Temp=pour_c" of an option that may be typed several times. Raises BadInput."""
    told = {}
    for word in words:
        written, equals, meant = word.rpartition("=")
        if not equals or not written.strip():
            example = "'Pour Temp=pour_c'" if option == "--column" else "'Melt log=heats'"
            found = f"{word!r} does not say which is which"
            raise BadInput(
                Problem("pair-unclear", option, found, "allowed: NAME=MEANING", f"as in: {option} {example}")
            )
        told[written.strip()] = meant.strip()
    return told


def checked_order(text: str) -> str:
    """Raises BadInput."""
    if text and text not in DATE_ORDERS:
        found = f"{text!r} is neither of the two"
        step = "type: --dates day-first when 04/03/2026 is the 4th of March"
        raise BadInput(Problem("date-order-unknown", "--dates", found, f"allowed: {', '.join(DATE_ORDERS)}", step))
    return text
