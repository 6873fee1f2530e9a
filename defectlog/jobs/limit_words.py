"""What was typed for a limit: which reading, which side, in what circumstances. One clear match is taken and said."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TypeVar

from rapidfuzz import fuzz, process

from defectlog.errors import Ambiguous, BadInput, NotFound, Problem
from defectlog.jobs.circumstances import alloy_of
from defectlog.rulebase.lint_limits import CIRCUMSTANCES
from defectlog.rulebase.reading_names import known_readings
from defectlog.rulebase.shapes import SIDES, RuleBase

T = TypeVar("T")
NEAR_ENOUGH = 82
MARGIN = 8
WORTH_NAMING = 55


def reading_named(typed: str, *, with_yes_no: bool = False) -> tuple[str, str]:
    """(the reading, what was said of it): its name, its meaning in words, or something close to one of them.

    Raises NotFound or Ambiguous with the nearest; BadInput for a yes-or-no reading where a figure is wanted.
    """
    wanted = plain(typed)
    names = {plain(name): name for name in known_readings()}
    spoken = names | {plain(words): name for name, (words, _) in known_readings().items()}
    found = spoken.get(wanted) or short_of(wanted, names) or nearest_reading(typed, wanted, spoken)
    if known_readings()[found][1] == "yes_no" and not with_yes_no:
        raise BadInput(
            Problem("limit-of-yes-no", "reading", f"{found} is answered yes or no", "allowed: readings with a figure")
        )
    return found, "" if found == typed else f"taking {found} ({known_readings()[found][0]}) for {typed!r}"


def plain(text: str) -> str:
    return " ".join(text.lower().replace("_", " ").replace("-", " ").split())


def short_of(wanted: str, names: Mapping[str, str]) -> str:
    """ "moisture" for moisture_pct, where only one begins so."""
    found = [name for spoken, name in names.items() if spoken.startswith(f"{wanted} ")] if wanted else []
    return found[0] if len(found) == 1 else ""


def nearest_reading(typed: str, wanted: str, spoken: Mapping[str, str]) -> str:
    near = best_by_reading(process.extract(wanted, list(spoken), scorer=fuzz.WRatio, limit=8), spoken)
    if near and near[0][1] >= NEAR_ENOUGH and (len(near) == 1 or near[0][1] - near[1][1] >= MARGIN):
        return near[0][0]
    close = [name for name, score in near if score >= WORTH_NAMING][:4]
    allowed = f"allowed: nearest are {', '.join(close)}" if close else "allowed: a column of the sheets with a figure"
    step = "to see them: defectlog rules limits list"
    if len(close) > 1 and near[0][1] >= NEAR_ENOUGH:
        raise Ambiguous(Problem("reading-unclear", "reading", f"{typed!r} could be several", allowed, step))
    raise NotFound(Problem("reading-unknown", "reading", f"there is no reading {typed!r}", allowed, step))


def best_by_reading(found: Iterable[tuple[str, float, object]], spoken: Mapping[str, str]) -> list[tuple[str, float]]:
    best: dict[str, float] = {}
    for words, score, _ in found:
        best[spoken[words]] = max(score, best.get(spoken[words], 0.0))
    return sorted(best.items(), key=lambda pair: -pair[1])


@dataclass(frozen=True, slots=True)
class LimitMeant:
    """Which limit: reading, side and circumstances as the rules spell them, and what was taken for what."""

    reading: str
    side: str
    when: Mapping[str, str]
    said: str = ""


def limit_meant(rules: RuleBase, reading: str, side: str, when: Sequence[str]) -> LimitMeant:
    """Raises BadInput with everything that is wrong in the three."""
    problems: list[Problem] = []
    name, said = noted(problems, lambda: reading_named(reading)) or ("", "")
    which = noted(problems, lambda: side_named(side)) or ""
    case = noted(problems, lambda: when_typed(rules, when)) or {}
    if problems:
        raise BadInput(problems)
    return LimitMeant(name, which, case, said)


def noted(problems: list[Problem], work: Callable[[], T]) -> T | None:
    """What `work` gives, or None with its problems kept for later."""
    try:
        return work()
    except BadInput as error:
        problems.extend(error.problems)
        return None


def side_named(typed: str) -> str:
    """Raises BadInput."""
    side = typed.strip().lower()
    if side in SIDES:
        return side
    near = process.extractOne(side, SIDES, score_cutoff=60)
    hint = f"did you mean {near[0]!r}?" if near else ""
    allowed = "allowed: above, below; trouble begins above the value, or below it"
    raise BadInput(Problem("side-unknown", "side", f"{typed!r} is no side", allowed, hint))


def when_typed(rules: RuleBase, typed: Sequence[str]) -> dict[str, str]:
    """`key=value` texts as the `when` of a limit, in the order of CIRCUMSTANCES. Raises BadInput with every problem."""
    found: dict[str, str] = {}
    problems: list[Problem] = []
    for text in typed:
        key, equals, value = (part.strip() for part in text.partition("="))
        name = key.lower().replace("-", "_").replace(" ", "_")
        if not equals or name not in CIRCUMSTANCES:
            problems.append(circumstance_unknown(text, name, bool(equals)))
        elif name in found:
            problems.append(Problem("when-twice", "--when", f"{name} is said twice", "allowed: each once"))
        elif value_known := circumstance(rules, name, value):
            found[name] = value_known
        else:
            problems.append(value_unknown(rules, name, value))
    if problems:
        raise BadInput(problems)
    return {name: found[name] for name in CIRCUMSTANCES if name in found}


def circumstance_unknown(text: str, name: str, with_value: bool) -> Problem:
    near = process.extractOne(name, CIRCUMSTANCES, score_cutoff=50)
    found = f"{text!r} has no value" if not with_value else f"there is no circumstance {name!r}"
    allowed = f"allowed: {', '.join(f'{each}=…' for each in CIRCUMSTANCES)}"
    return Problem("when-unknown", "--when", found, allowed, f"did you mean {near[0]!r}?" if near else "")


def circumstance(rules: RuleBase, name: str, typed: str) -> str:
    """The value as rules spell it, "" when none has it."""
    if name == "alloy":
        alloy = alloy_of(rules, typed)
        return alloy.id if alloy else ""
    return next((value for value in values_of(rules, name) if value.lower() == typed.lower()), "")


def values_of(rules: RuleBase, name: str) -> tuple[str, ...]:
    if name == "alloy":
        return tuple(rules.alloys)
    return tuple(sorted({limit.when[name] for limit in rules.limits if name in limit.when}))


def value_unknown(rules: RuleBase, name: str, typed: str) -> Problem:
    known = values_of(rules, name)
    near = process.extractOne(typed, known, score_cutoff=60)
    return Problem(
        "when-unknown",
        "--when",
        f"there is no {name.replace('_', ' ')} {typed!r}",
        f"allowed: {', '.join(known)}",
        f"did you mean {near[0]!r}?" if near else "",
    )
