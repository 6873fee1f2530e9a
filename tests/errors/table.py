"""The list of every error for DEVELOPERS.md, made from the folders beside this file.

python -m tests.errors.table     writes it between its marks
"""

from pathlib import Path

from tests.errors.trying import HERE, Case, all_cases

MARKERS = ("<!-- errors:begin -->", "<!-- errors:end -->")
HEADING = "## Every error"
LONGEST = 110


def developers_page() -> Path:
    return HERE.parents[1] / "DEVELOPERS.md"


def listed() -> str:
    """A table: code, exit code, when a person meets it, and the first line of the message."""
    rows = ["| code | exit | when | message |", "|---|---|---|---|", *(row_of(case) for case in all_cases())]
    return "\n".join(rows)


def row_of(case: Case) -> str:
    if case.why_not:
        return f"| `{case.code}` | | {cell(case.when)} | *{cell(case.why_not)}* |"
    first = next(line for line in (case.stderr or case.stdout).splitlines() if line.strip())
    short = first if len(first) <= LONGEST else first[: LONGEST - 1] + "…"
    return f"| `{case.code}` | {case.exit} | {cell(case.when)} | {cell(short)} |"


def cell(text: str) -> str:
    """Text that ends no cell and begins no markup."""
    for sign in "\\`*_<>[]|":
        text = text.replace(sign, f"\\{sign}")
    return text.replace("\n", " ").strip()


def renew() -> None:
    page = developers_page()
    text = page.read_text(encoding="utf-8")
    begin, end = MARKERS
    if begin not in text:
        made = "Made from `tests/errors/` by `python -m tests.errors.table`; each folder there holds what provokes it."
        text = f"{text.rstrip()}\n\n{HEADING}\n\n{made}\n\n{begin}\n{end}\n"
    before, after = text.partition(begin)[0], text.partition(end)[2]
    page.write_text(f"{before}{begin}\n\n{listed()}\n\n{end}{after}", encoding="utf-8")


if __name__ == "__main__":
    renew()
