"""What the shop's own good castings say about its limits: the range, who lies outside it, and what to type."""

from collections.abc import Iterator
from typing import Any

from defectlog.report.limits import amount, quantity_of, when_words, words_of
from defectlog.report.page import Block, Heading, Page, Text, counted, next_step, table
from defectlog.report.rules_answers import SideFound, Suggestion, Suggestions
from defectlog.report.shell import shell_command
from defectlog.review.limits_from_own import FEWEST_UNITS, outside
from defectlog.units import show_quantity

# An end of a range is a limit only if so many bad units beyond it are unlikely to be luck. Custom, no source.
UNLIKELY = 0.05


def suggestions_page(found: Suggestions, system: str, one: str = "") -> Page:
    blocks: list[Block] = [Text(basis(found), tone="quiet")]
    if one:
        blocks.extend(block for item in found.each for block in suggestion_blocks(item, found, system))
        return tuple(blocks)
    told = [item for item in found.each if not item.found.too_few]
    if told:
        blocks.append(table(HEADS, [row(item, system) for item in told], right=(2, 3, 4, 5)))
        blocks.append(next_step(f"defectlog rules limits suggest {told[0].reading}", "one reading, with what to type"))
    few = [f"{item.reading} ({item.found.good})" for item in found.each if item.found.too_few]
    if few:
        said = f"Too few to tell, under {FEWEST_UNITS} good ones with the reading on record: {', '.join(few)}."
        blocks.append(Text(said))
    return tuple(blocks)


HEADS = ("reading", "unit", "good ones", "from", "to", "bad ones outside")


def row(item: Suggestion, system: str) -> tuple[str, ...]:
    found = item.found
    low, high = (show_end(item.reading, end, system) for end in (found.low, found.high))
    return (item.reading, item.unit, str(found.good), low, high, f"{found.bad_below + found.bad_above} of {found.bad}")


def show_end(reading: str, value: float | None, system: str) -> str:
    return show_quantity(value, quantity_of(reading), system, 3)


def basis(found: Suggestions) -> str:
    when = f" for {when_words(found.when)}" if found.when else ""
    since = f" since {found.since.isoformat()}" if found.since else ""
    return f"From {counted(found.moulds, 'poured mould')} on record{when}{since}, trials left out."


def suggestion_blocks(item: Suggestion, found: Suggestions, system: str) -> Iterator[Block]:
    yield Heading(f"{item.reading}: {words_of(item.reading)}")
    yield Text(meaning_of_good(item))
    own = item.found
    good = counted(own.good, f"good {item.unit}", f"good {plural(item.unit)}")
    if own.too_few:
        wanting = f"from {FEWEST_UNITS} on it can be said ({own.more_needed} more)"
        yield Text(f"Too few to tell: {good} with the reading on record; {wanting}.", tone="strong")
        return
    low, high = (show_end(item.reading, end, system) for end in (own.low, own.high))
    yield Text(f"{own.share * 100:.0f} % of {good} lie from {low} to {high}.", tone="strong")
    if len(found.alloys) > 1 and "alloy" not in found.when:
        said = f"Several alloys are in it ({', '.join(found.alloys)}); for one of them add --when alloy=…"
        yield Text(said, indent=2)
    for side in item.sides:
        yield from side_blocks(item, side, found, system)
    yield Text("This is where your good work lay, not proof that trouble begins outside it.", tone="quiet")


def plural(unit: str) -> str:
    return f"{unit}es" if unit.endswith("ch") else f"{unit}s"


def meaning_of_good(item: Suggestion) -> str:
    own = item.found
    wrong = f"castings with {', '.join(item.defects)}" if item.defects else "bad castings"
    left_out = ""
    if own.unclear:
        units = counted(own.unclear, item.unit, plural(item.unit))
        left_out = f" Left out: {units} with findings that name no defect, which could be either."
    usual = f"{own.usual * 100:.2g} % of all with the reading on record"
    return f"A good {item.unit} is one with no larger share of {wrong} than is usual here ({usual}).{left_out}"


def side_blocks(item: Suggestion, side: SideFound, found: Suggestions, system: str) -> Iterator[Block]:
    if not side.causes:
        return
    own = item.found
    good, bad = outside(own, side.side)
    end = own.low if side.side == "below" else own.high
    holds = (
        f"; the limit now is {amount(item.reading, side.limit.value, system)}" if side.limit else "; no limit is set"
    )
    yield Text(
        f"{side.side} {show_end(item.reading, end, system)}: {good} of {own.good} good, {bad} of {own.bad} bad{holds}",
        indent=2,
    )
    yield Text(odds_text(side), indent=4)
    if end is not None and side.odds is not None and side.odds < UNLIKELY:
        yield next_step(suggested_command(item, side, end, found), "to use it")


def odds_text(side: SideFound) -> str:
    if side.odds is None:
        return "nothing bad is on record to hold against it, so no limit is proposed"
    if side.odds < UNLIKELY:
        return f"so many bad ones out there would be luck about {chance_text(side.odds)}"
    return "no more bad ones out there than luck would bring, so no limit is proposed on this side"


def chance_text(odds: float) -> str:
    return f"1 time in {1 / odds:,.0f}".replace(",", " ") if odds > 1e-6 else "less than 1 time in a million"


def suggested_command(item: Suggestion, side: SideFound, end: float, found: Suggestions) -> str:
    """Softness as of the limit that holds now; where there is none it is left to the person."""
    good, bad = outside(item.found, side.side)
    why = (
        f"{item.found.share * 100:.0f} % of {item.found.good} good {plural(item.unit)};"
        f" {side.side} it {good} good, {bad} of {item.found.bad} bad"
    )
    words = ["rules", "limits", "set", item.reading, side.side, f"{end:.3g}"]
    if side.limit is None:
        words += ["--softness", "…"]
    for key, value in found.when.items():
        words += ["--when", f"{key}={value}"]
    return shell_command(*words, "--why", why)


def suggestions_json(found: Suggestions) -> dict[str, Any]:
    return {
        "moulds": found.moulds,
        "when": dict(found.when),
        "since": found.since.isoformat() if found.since else None,
        "alloys": list(found.alloys),
        "readings": [suggestion_json(item) for item in found.each],
    }


def suggestion_json(item: Suggestion) -> dict[str, Any]:
    own = item.found
    return {
        "reading": item.reading,
        "unit": item.unit,
        "share": own.share,
        "usual": own.usual,
        "good": own.good,
        "bad": own.bad,
        "unclear": own.unclear,
        "too_few": own.too_few,
        "more_needed": own.more_needed,
        "low": own.low,
        "high": own.high,
        "defects": list(item.defects),
        "sides": [
            {
                "side": side.side,
                "good_outside": outside(own, side.side)[0],
                "bad_outside": outside(own, side.side)[1],
                "odds_of_luck": side.odds,
                "limit_now": side.limit.value if side.limit else None,
                "causes": list(side.causes),
            }
            for side in item.sides
        ],
    }
