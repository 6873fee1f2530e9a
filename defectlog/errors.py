"""Everything that can go wrong and is said in one message.

    DefectlogError
    ├── BadInput        exit 2   what was typed, or a row of a sheet, cannot be taken
    │   ├── NotFound             no such mould, pattern, heat, defect …
    │   ├── Ambiguous            several things answer to what was typed
    │   └── RulesBroken          a rule file cannot be used
    └── BookUnusable    exit 3   the book is locked, foreign, newer, torn or cannot be written

An error carries one or more problems; each says where, what was found, what is allowed and what to type next.
"""

from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing that is wrong, as a value: checks return lists of these.

    `code` is the permanent one-word-or-hyphened name of the problem (its folder in tests/errors/),
    `where` a place the reader can go to ("moulds.csv row 14, column pour_c"), `found` the offending
    text itself, `allowed` what would be taken, `next_step` what to do or type next. Empty parts are left out.
    """

    code: str
    where: str
    found: str
    allowed: str = ""
    next_step: str = ""

    def __str__(self) -> str:
        head = f"{self.where}: {self.found}" if self.where else self.found
        return "\n".join(line for line in (head, indented(self.allowed), indented(self.next_step)) if line)


def indented(text: str) -> str:
    return f"  {text}" if text else ""


class DefectlogError(Exception):
    """Root of the family; `exit_code` is what the program ends with."""

    exit_code = 1

    def __init__(self, problems: Problem | Iterable[Problem]) -> None:
        self.problems: tuple[Problem, ...] = (problems,) if isinstance(problems, Problem) else tuple(problems)
        super().__init__("\n".join(str(problem) for problem in self.problems))


class BadInput(DefectlogError):
    exit_code = 2


class NotFound(BadInput):
    pass


class Ambiguous(BadInput):
    pass


class RulesBroken(BadInput):
    pass


class BookUnusable(DefectlogError):
    exit_code = 3
