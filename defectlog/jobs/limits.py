"""The shop's own limits: listed beside ours, set and taken out again in the shop's limits.toml."""

from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from pathlib import Path

from defectlog import units
from defectlog.errors import BadInput, NotFound, Problem
from defectlog.jobs.limit_words import LimitMeant, noted
from defectlog.jobs.shop_rules import edit_shop_file
from defectlog.records.fields import FieldSpec, fields_of
from defectlog.records.kinds import Heat, Mould, Pattern, Sand
from defectlog.report.rules_answers import LimitWritten
from defectlog.rulebase.limits import limit_for
from defectlog.rulebase.lint_limits import limit_wrong, windows_upside_down
from defectlog.rulebase.load import with_owner
from defectlog.rulebase.reader import UNSHOWABLE, read_value
from defectlog.rulebase.reading_names import known_readings
from defectlog.rulebase.shapes import Limit, RuleBase
from defectlog.rulebase.toml_text import Value, with_row, without_row

FILE = "limits.toml"
TABLE = "limit"
TOP = """\
# The shop's own limits. A row here is taken before every limit that comes with the program for its reading and side.
# Written by `defectlog rules limits set`; it may be edited by hand. Afterwards run: defectlog rules check
"""


def limits_listed(rules: RuleBase, reading: str = "") -> tuple[Limit, ...]:
    """By reading and side; the shop's own first, then the general, then the narrower ones."""
    chosen = [limit for limit in rules.limits if not reading or limit.reading == reading]
    return tuple(sorted(chosen, key=lambda limit: (limit.reading, limit.side, not limit.own, len(limit.when))))


def set_limit(
    rules: RuleBase,
    folder: Path,
    meant: LimitMeant,
    value: str,
    *,
    softness: str = "",
    why: str = "",
    today: date,
) -> LimitWritten:
    """`value` and `softness` as typed. Raises BadInput with every problem; then nothing is written."""
    reading, side, when = meant.reading, meant.side, meant.when
    problems: list[Problem] = []
    number = noted(problems, lambda: limit_value(reading, value))
    said = noted(problems, lambda: one_line(why))
    before = own_row(rules, reading, side, when)
    wide = noted(problems, lambda: softness_of(rules, reading, side, when, softness, before))
    if problems or number is None or wide is None:
        raise BadInput(problems)
    judgement = said or f"The shop's own limit, set on {today.isoformat()}."
    id = before.id if before else new_id(rules, reading, side, when)
    row: dict[str, Value] = {"id": id, "reading": reading, "side": side, "value": number, "softness": wide}
    row["judgement"] = judgement
    if when:
        row["when"] = dict(when)
    now: Limit = read_value(Limit, with_owner(dict(row), own=True), "the new limit")
    raise_if_unsound(rules, now)
    remark = f"Until {today.isoformat()} this stood here:"
    path = edit_shop_file(folder / FILE, TOP, lambda content: with_row(content, TABLE, row, remark))
    return LimitWritten(
        path=path,
        reading=reading,
        side=side,
        when=when,
        now=now,
        before=before,
        ours=tuple(item for item in limits_listed(rules, reading) if item.side == side and not item.own),
        causes=causes_shown(rules, reading, side),
        other_side=no_room(rules, now),
    )


def remove_limit(rules: RuleBase, folder: Path, meant: LimitMeant, *, today: date) -> LimitWritten:
    """The shop's row out of its file (it stays there as a comment). Raises NotFound when there is none."""
    reading, side, when = meant.reading, meant.side, meant.when
    before = own_row(rules, reading, side, when)
    if before is None:
        own = [f"{item.reading} {item.side}{when_text(item.when)}" for item in limits_listed(rules) if item.own]
        found = f"the shop has no limit of its own for {reading} {side}{when_text(when)}"
        allowed = f"the shop's own: {', '.join(own)}" if own else "the shop has set none yet"
        raise NotFound(
            Problem("limit-not-set", "rules limits remove", found, allowed, "type: defectlog rules limits list")
        )
    remark = f"Taken out on {today.isoformat()}:"
    path = edit_shop_file(folder / FILE, TOP, lambda content: without_row(content, TABLE, before.id, remark))
    return LimitWritten(path, reading, side, when, None, before)


def limit_value(reading: str, typed: str) -> float:
    """Metric. Raises BadInput for no number, and for what the column itself could not hold."""
    where = f"limit of {reading}"
    value = units.parse_quantity(typed, known_readings()[reading][1], where)
    spec = column_of(reading)
    low, high = (spec.least, spec.most) if spec else (None, None)
    if (low is not None and value < low) or (high is not None and value > high):
        ends = f"{low:g} or more" if high is None else f"{low:g} to {high:g}"
        raise BadInput(Problem("limit-impossible", where, f"{typed!r} cannot be", f"allowed: {ends}"))
    return rounded(value)


def rounded(value: float) -> float:
    """Nine figures: what a unit was turned into is not written to the last digit of the machine."""
    return float(f"{value:.9g}")


def column_of(reading: str) -> FieldSpec | None:
    specs = (spec for kind in (Sand, Heat, Mould, Pattern) for spec in fields_of(kind))
    return next((spec for spec in specs if spec.name == reading), None)


def softness_of(
    rules: RuleBase, reading: str, side: str, when: Mapping[str, str], typed: str, before: Limit | None
) -> float:
    """As typed; else that of the row it replaces, or of ours. Raises BadInput when there is neither."""
    where = f"--softness of {reading}"
    if typed.strip():
        width = difference(typed, known_readings()[reading][1], where)
        if width <= 0:
            raise BadInput(Problem("softness-wrong", where, f"{typed!r} is no width", "allowed: more than 0"))
        return rounded(width)
    if before:
        return before.softness
    rows = [item for item in limits_listed(rules, reading) if item.side == side]
    for item in (*(row for row in rows if dict(row.when) == dict(when)), *(row for row in rows if not row.when)):
        return item.softness
    found = "no limit of ours gives its grey zone, so it must be said"
    allowed = "allowed: the measuring error and the width of what is still doubtful, in the reading's unit"
    raise BadInput(Problem("softness-needed", where, found, allowed, "type: --softness and a number"))


def difference(typed: str, quantity: str, where: str) -> float:
    """A width in metric units: "10 F" is 5.6 °C wide, not −12 °C warm."""
    width = units.parse_quantity(typed, quantity, where)
    match = units.NUMBER_WITH_UNIT.fullmatch(typed)
    return width - units.parse_quantity(f"0{(match and match['unit']) or ''}", quantity, where)


def one_line(text: str) -> str:
    """Raises BadInput for what a file of rules may not hold."""
    flat = " ".join(text.split())
    if UNSHOWABLE.search(flat) or any("\ud800" <= character <= "\udfff" for character in flat):
        found = "it holds characters that cannot be shown"
        raise BadInput(Problem("text-unshowable", "--why", found, "allowed: letters, figures and signs"))
    return flat


def own_row(rules: RuleBase, reading: str, side: str, when: Mapping[str, str]) -> Limit | None:
    return next(
        (
            item
            for item in rules.limits
            if item.own and (item.reading, item.side, dict(item.when)) == (reading, side, dict(when))
        ),
        None,
    )


def new_id(rules: RuleBase, reading: str, side: str, when: Mapping[str, str]) -> str:
    words = ["shop", reading, side, *when.values()]
    base = "-".join("".join(each if each.isalnum() else "-" for each in word.lower()) for word in words)
    known = {item.id for item in rules.limits}
    id, number = base, 2
    while id in known:
        id, number = f"{base}-{number}", number + 1
    return id


def raise_if_unsound(rules: RuleBase, now: Limit) -> None:
    others = tuple(item for item in rules.limits if item.id != now.id)
    after = replace(rules, limits=(*others, now))
    before = {str(problem) for problem in windows_upside_down(rules)}
    problems = [problem for problem in windows_upside_down(after) if str(problem) not in before]
    other = "above" if now.side == "below" else "below"
    step = f"if it is the other side that is wrong: defectlog rules limits set {now.reading} {other} …"
    problems = [replace(problem, next_step=step) for problem in problems]
    problems.extend(limit_wrong(now, after))
    if problems:
        raise BadInput(problems)


def no_room(rules: RuleBase, now: Limit) -> Limit | None:
    """The limit on the other side in the same circumstances, when every reading would be beyond one of them."""
    other = limit_for(rules.limits, now.reading, "above" if now.side == "below" else "below", now.when)
    if other is None:
        return None
    low, high = (now, other) if now.side == "below" else (other, now)
    return other if low.value >= high.value else None


def causes_shown(rules: RuleBase, reading: str, side: str) -> tuple[str, ...]:
    """Ids of the causes in force that this reading shows on this side, those of most defects first."""
    return tuple(
        cause.id
        for cause in sorted(rules.causes.values(), key=lambda cause: -len(cause.explains))
        if cause.status == "in force"
        and cause.reading
        and (cause.reading.quantity, cause.reading.side) == (reading, side)
    )


def when_text(when: Mapping[str, str]) -> str:
    """ " for sand base natural", "" when it is general."""
    said = " and ".join(f"{key.replace('_', ' ')} {value}" for key, value in when.items())
    return f" for {said}" if said else ""
