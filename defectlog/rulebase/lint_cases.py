"""Are the cases fit to be put to the rules? Every problem at once, each with its file and case.

Whether each case then comes out as it says is for whoever runs them.
"""

from collections.abc import Callable, Iterator, Mapping

from defectlog.errors import Problem
from defectlog.records.kinds import VERDICTS
from defectlog.rulebase.cases import Cases, CauseCase, CauseCases, DefectCase, DefectCases, level_of
from defectlog.rulebase.catalogue import in_force
from defectlog.rulebase.reading_names import known_readings
from defectlog.rulebase.shapes import UNITS_OF_ACTION, RuleBase

SIDES = ("must_bring_up", "must_not")
ANSWERS = ("yes", "no", "unsure")
# Where the story comes from, when it is from no publication.
MADE_UP, COMMON = "made up", "common practice, no source"
Check = Callable[[Cases, RuleBase], Iterator[Problem]]


def check_cases(cases: Cases, rules: RuleBase) -> list[Problem]:
    """Every problem: rules with no case, cases with no rival, ids, readings and numbers that cannot be."""
    return [problem for check in CHECKS for problem in check(cases, rules)]


def cases_missing(cases: Cases, rules: RuleBase) -> Iterator[Problem]:
    """Every rule in force has a file, and every file a case on either side."""
    have: dict[str, DefectCases | CauseCases] = {**cases.defects, **cases.causes}
    wanted = [defect.id for defect in in_force(rules.defects.values())]
    wanted += [cause.id for cause in in_force(rules.causes.values())]
    for id in wanted:
        if id not in have:
            allowed = f"allowed: write cases/{id}.toml; rules/README.md shows how"
            yield Problem("case-missing", f"cases/{id}.toml", "no case says when it must come up", allowed)
    for id, file in have.items():
        for side in SIDES:
            if not getattr(file, side):
                yield Problem(
                    "case-missing", f"cases/{id}.toml", f"no [[{side}]]", "allowed: at least one on each side"
                )


def firsts_wrong(cases: Cases, rules: RuleBase) -> Iterator[Problem]:
    """`first` stands where a rival must come first, and names one."""
    for id, side, number, case in every_case(cases):
        known = rules.defects if isinstance(case, DefectCase) else rules.causes
        if side == "must_bring_up" and case.first not in ("", id):
            found = f"first is {case.first!r}"
            yield Problem("case-first", place(id, side, number), found, "allowed: leave `first` out")
        if side == "must_not" and (case.first == id or case.first not in known):
            found = f"first is {case.first!r}" if case.first else "`first` is missing"
            allowed = "allowed: the id of the rival that must come first"
            yield Problem("case-first", place(id, side, number), found, allowed)


def sources_wrong(cases: Cases, rules: RuleBase) -> Iterator[Problem]:
    for id, side, number, case in every_case(cases):
        if case.source not in (MADE_UP, COMMON) and case.source not in rules.sources:
            allowed = f"allowed: {MADE_UP}; {COMMON}; or an id of sources.toml"
            yield Problem("case-source", place(id, side, number), f"source {case.source!r}", allowed)


def answers_wrong(cases: Cases, rules: RuleBase) -> Iterator[Problem]:
    for id, side, number, case in every_case(cases):
        for sign, answer in case.answers.items() if isinstance(case, DefectCase) else ():
            if sign not in rules.signs or answer not in ANSWERS:
                allowed = f"allowed: a sign of signs.toml, with {', '.join(ANSWERS)}"
                yield Problem("case-answer", place(id, side, number), f"{sign} = {answer!r}", allowed)


def records_wrong(cases: Cases, rules: RuleBase) -> Iterator[Problem]:
    for id, side, number, case in every_case(cases):
        if isinstance(case, CauseCase):
            for found, allowed in misfits(case, rules):
                yield Problem("case-record", place(id, side, number), found, f"allowed: {allowed}")


def misfits(case: CauseCase, rules: RuleBase) -> Iterator[tuple[str, str]]:
    """(what is wrong, what is allowed) for the records of one case."""
    if case.defect not in rules.defects:
        yield f"defect {case.defect!r}", "an id of defects/"
    if case.by not in UNITS_OF_ACTION:
        yield f"by {case.by!r}", ", ".join(UNITS_OF_ACTION)
    if not case.units:
        yield "no units", "at least one row"
    if case.by == "impression" and case.plate != len(case.units):
        yield f"a plate of {case.plate} and {len(case.units)} rows", "one row an impression"
    for row in case.units:
        if not (0 <= row.bad <= row.moulds and row.moulds > 0 and 0 <= row.castings <= case.plate and row.day >= 0):
            yield f"{row.bad} bad of {row.moulds}", "moulds of 1 or more, and no more bad ones than there are"
        yield from readings_misplaced(row.readings, case.by)
    yield from readings_misplaced(case.throughout, "")
    for verdict in case.found_before:
        if verdict.cause not in rules.causes or verdict.verdict not in VERDICTS:
            yield f"{verdict.cause} {verdict.verdict!r} before", f"an id of causes/, with {', '.join(VERDICTS)}"


def readings_misplaced(readings: Mapping[str, float], by: str) -> Iterator[tuple[str, str]]:
    """A row's readings must stand on the record of what the row is; those of the whole case may be any."""
    for name in readings:
        if name not in known_readings():
            yield f"no reading {name!r}", "a column of the records, or a computed reading, as in limits.toml"
        elif by and level_of(name) != by:
            yield f"{name} in a row by {by}", f'rows by = "{level_of(name)}", or throughout = {{ {name} = … }}'


def every_case(cases: Cases) -> Iterator[tuple[str, str, int, DefectCase | CauseCase]]:
    """(the rule's id, the side, its number on that side from 1, the case)."""
    for file_id, file in [*cases.defects.items(), *cases.causes.items()]:
        for side in SIDES:
            for number, case in enumerate(getattr(file, side), start=1):
                yield file_id, side, number, case


def place(id: str, side: str, number: int) -> str:
    return f"cases/{id}.toml, {side} {number}"


CHECKS: tuple[Check, ...] = (cases_missing, firsts_wrong, sources_wrong, answers_wrong, records_wrong)
