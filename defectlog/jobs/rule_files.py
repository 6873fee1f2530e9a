"""Is the rule base sound with the shop's folder laid over it; and a new cause's file in that folder."""

from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path

from defectlog.errors import BadInput, Problem, RulesBroken
from defectlog.jobs.naming import known_defect
from defectlog.jobs.rule_finding import plain
from defectlog.jobs.rules import cache_folder
from defectlog.jobs.shop_rules import make_shop_file
from defectlog.report.rules_answers import CauseMade, RulesChecked
from defectlog.rulebase.cases import load_cases
from defectlog.rulebase.catalogue import cause_file
from defectlog.rulebase.lint import check_rules
from defectlog.rulebase.lint_cases import check_cases
from defectlog.rulebase.load import load_rules, our_folder, rule_paths
from defectlog.rulebase.shapes import AREAS, UNITS_OF_ACTION, RuleBase
from defectlog.rulebase.skeleton import BLANK, ID, new_cause

AFTERWARDS = "put the file right, then type: defectlog rules check"


def checked_rules(folder: Path, *, named: bool) -> RulesChecked:
    """Ours and the shop's `folder` together. Raises BadInput where a folder was `named` and is not there."""
    if named and not folder.is_dir():
        found = "is a file" if folder.exists() else "there is no such folder"
        allowed = "allowed: a folder with the shop's rules, laid out as rules/README.md says"
        raise BadInput(Problem("rule-folder-missing", f"rules check {folder}", found, allowed))
    shop = folder if folder.is_dir() else None
    files = len(list(rule_paths(folder))) if shop else 0
    try:
        rules = load_rules(shop_folder=shop, cache_folder=cache_folder())
        # Cases are asked of our own rules; a shop may write its own rules without.
        ours = load_rules(cache_folder=cache_folder()) if shop else rules
        cases = check_cases(load_cases(our_folder() / "cases", ours), ours)
    except RulesBroken as broken:
        return RulesChecked(with_way_on(broken.problems), our_folder(), shop, files)
    problems = with_way_on((*check_rules(rules), *cases))
    return RulesChecked(problems, our_folder(), shop, files, len(rules.defects), len(rules.causes), len(rules.limits))


def with_way_on(problems: Iterable[Problem]) -> tuple[Problem, ...]:
    """The problems of rule files, each with what to do about it."""
    return tuple(problem if problem.next_step else replace(problem, next_step=AFTERWARDS) for problem in problems)


def make_cause(rules: RuleBase, folder: Path, id: str, area: str, acts_at: str, explains: str) -> CauseMade:
    """A file of blanks for a new cause. Raises BadInput with everything that is wrong; then nothing is written."""
    problems = missing_options({"--area": area, "--acts-at": acts_at, "--explains": explains})
    defect, said = "unknown", ""
    if explains.strip():
        try:
            named = known_defect(
                explains, rules, {}, where="--explains", advice=lambda item: f"type: --explains {item}"
            )
            defect, said = named.name, named.said
        except BadInput as error:
            problems.extend(error.problems)
    problems.extend(taken_already(rules, id))
    try:
        text = new_cause(id, area.strip().lower() or AREAS[0], acts_at.strip().lower() or UNITS_OF_ACTION[0], defect)
    except BadInput as error:
        text = ""
        problems.extend(with_hints(error.problems, id))
    if problems:
        raise BadInput(problems)
    path = make_shop_file(folder / "causes" / area.strip().lower() / f"{id}.toml", text)
    blanks = sum(f'= "{BLANK}' in line for line in text.splitlines())
    return CauseMade(id, path, blanks, defect, said)


def missing_options(given: dict[str, str]) -> list[Problem]:
    meant = {
        "--area": f"allowed: {', '.join(AREAS)}",
        "--acts-at": f"allowed: {', '.join(UNITS_OF_ACTION)}; what it switches on or off as one",
        "--explains": "allowed: a defect that it brings about; to see them: defectlog rules list defects",
    }
    return [
        Problem("rule-option-needed", "rules new cause", f"{option} is needed", meant[option], f"type: {option} …")
        for option, text in given.items()
        if not text.strip()
    ]


def taken_already(rules: RuleBase, id: str) -> list[Problem]:
    """An id stands for one thing for ever; a file of blanks must not stand in the place of a rule of ours."""
    if id in rules.causes:
        where = cause_file(rules.causes[id])
    elif id in rules.defects:
        where = f"defects/{id}.toml"
    else:
        return []
    found = f"there is a rule {id!r} already, {where}"
    return [
        Problem(
            "rule-id-taken", "rules new cause", found, "allowed: a new id", f"to read it: defectlog rules show {id}"
        )
    ]


def with_hints(problems: tuple[Problem, ...], id: str) -> list[Problem]:
    """An id that was typed as words is given back as it would be written."""
    better = "-".join("".join(each if each.isascii() and each.isalnum() else " " for each in plain(id)).split())
    return [
        Problem(item.code, item.where, item.found, item.allowed, f"type: defectlog rules new cause {better} …")
        if item.code == "rule-id-misspelt" and ID.fullmatch(better)
        else item
        for item in problems
    ]
