"""The rule base on paper: a defect's or a cause's page, the lists, what `rules check` found, a new cause's file."""

import dataclasses
from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import Any

from defectlog.report.page import Block, Bullets, Heading, Page, Text, counted, next_step, table
from defectlog.report.rules_answers import CauseMade, RuleFound, RulesChecked
from defectlog.report.sheets import problem_blocks, problem_json
from defectlog.report.shell import shell_command
from defectlog.rulebase import pages
from defectlog.rulebase.page_parts import source_in_full
from defectlog.rulebase.shapes import Alloy, Caution, Defect, Limit, Place, RuleBase, Sign, Source
from defectlog.units import show_quantity

CAUTIONS = "Cautions: read these first"
# Sections of running text; the others are lists.
SENTENCES = ("Retired", "What it is", "How it looks", "Look at this next", "What to do, the cheapest first")


def rule_page(found: RuleFound, rules: RuleBase) -> Page:
    rule = found.rule
    page = pages.defect_page(rules, rule) if isinstance(rule, Defect) else pages.cause_page(rules, rule)
    blocks: list[Block] = [Heading(page.title)]
    for section in page.sections:
        blocks.extend(section_blocks(section))
    if found.in_its_place is not None:
        blocks.append(next_step(f"defectlog rules show {found.in_its_place.id}", "what replaced it"))
    return tuple(blocks)


def section_blocks(section: pages.Section) -> Iterator[Block]:
    yield Heading(section.heading)
    if section.heading == CAUTIONS:
        yield from (Text(line, tone="caution", indent=2) for line in section.lines)
    elif section.heading in SENTENCES or len(section.lines) == 1:
        yield from (Text(line, indent=2) for line in section.lines)
    else:
        yield Bullets(section.lines)


def rule_json(found: RuleFound, rules: RuleBase) -> dict[str, object]:
    """The fields of the rule's file with its weights, cautions and sources; `kind`, and what replaced a retired one."""
    rule = found.rule
    if isinstance(rule, Defect):
        fields = {"kind": "defect"} | pages.defect_as_json(rules, rule)
    else:
        fields = {"kind": "cause"} | pages.cause_as_json(rules, rule)
    return fields | {"answered_by": found.in_its_place.id if found.in_its_place else None}


def list_page(rules: RuleBase, name: str) -> Page:
    """`name` is one of the lists of the rule base, or "" for the defects and the causes."""
    if name in ("", "defects", "causes"):
        return (*rule_tables(rules, name), *others_line(rules, name))
    return tuple(LISTS[name](rules))


def rule_tables(rules: RuleBase, name: str) -> Iterator[Block]:
    rows = pages.list_rows(rules)
    for kind, title, group, links in (
        ("defect", "Defects", "family", "causes"),
        ("cause", "Causes", "area", "defects"),
    ):
        if name in ("", f"{kind}s"):
            yield Heading(title)
            yield table(
                ("id", "name", group, links),
                [(row.id, named(row), row.group, str(row.links)) for row in rows if row.kind == kind],
                right=(3,),
            )


def named(row: pages.ListRow) -> str:
    return row.name if row.status == "in force" else f"{row.name} ({row.status})"


def others_line(rules: RuleBase, name: str) -> Iterator[Block]:
    example = next(iter(rules.causes if name != "defects" else rules.defects), "")
    yield next_step(f"defectlog rules show {example}", "to read one")
    if not name:
        yield next_step(
            "defectlog rules list signs", "other lists: signs, places, limits, cautions, sources, alloys; as in"
        )


def sign_blocks(rules: RuleBase) -> Iterator[Block]:
    signs = sorted(rules.signs.values(), key=lambda sign: (sign.group, sign.id))
    yield table(("id", "name", "group"), [(sign.id, sign.name, sign.group) for sign in signs])


def place_blocks(rules: RuleBase) -> Iterator[Block]:
    yield table(("id", "name"), [(place.id, place.name) for place in rules.places.values()])


def caution_blocks(rules: RuleBase) -> Iterator[Block]:
    for caution in rules.cautions.values():
        yield Text(f"{caution.id} ({', '.join(caution.touches)})", tone="strong")
        yield Text(caution.text, indent=2)


def source_blocks(rules: RuleBase) -> Iterator[Block]:
    yield Bullets(tuple(f"{source.id}: {source_in_full(source)}" for source in rules.sources.values()))


def alloy_blocks(rules: RuleBase) -> Iterator[Block]:
    """Temperatures in °C, as the file of alloys gives them."""
    yield table(
        ("id", "name", "also", "solidus", "liquidus", "poured at"),
        [
            (
                alloy.id,
                alloy.name,
                ", ".join(alloy.also),
                show_quantity(alloy.solidus_c, "temperature"),
                show_quantity(alloy.liquidus_c, "temperature"),
                f"{alloy.pour_low_c:g} to {show_quantity(alloy.pour_high_c, 'temperature')}",
            )
            for alloy in rules.alloys.values()
        ],
    )


LISTS: Mapping[str, Callable[[RuleBase], Iterable[Block]]] = {
    "signs": sign_blocks,
    "places": place_blocks,
    "cautions": caution_blocks,
    "sources": source_blocks,
    "alloys": alloy_blocks,
}

ListedRow = Sign | Place | Limit | Caution | Source | Alloy


def list_json(rules: RuleBase, name: str) -> list[dict[str, Any]]:
    if name in ("", "defects", "causes"):
        return [dataclasses.asdict(row) for row in pages.list_rows(rules) if not name or f"{row.kind}s" == name]
    rows: Iterable[ListedRow] = rules.limits if name == "limits" else getattr(rules, name).values()
    return [dataclasses.asdict(row) for row in rows]


def checked_page(checked: RulesChecked) -> Page:
    return tuple(block for problem in checked.problems for block in problem_blocks(problem))


def checked_json(checked: RulesChecked) -> dict[str, Any]:
    return {
        "sound": not checked.problems,
        "ours": str(checked.ours),
        "shop": str(checked.shop) if checked.shop else None,
        "shop_files": checked.shop_files,
        "problems": [problem_json(problem) for problem in checked.problems],
    }


def checked_line(checked: RulesChecked) -> str:
    """What was read and what came of it, on one line."""
    shop = (
        f"{counted(checked.shop_files, 'file')} of the shop's own in {checked.shop}"
        if checked.shop
        else "the shop has no rules of its own"
    )
    if checked.problems:
        return f"{counted(len(checked.problems), 'problem')}; read: ours in {checked.ours}; {shop}"
    rules = (
        f"{counted(checked.defects, 'defect')}, {counted(checked.causes, 'cause')}, {counted(checked.limits, 'limit')}"
    )
    return f"sound: {rules}; {shop}"


def cause_made_page(made: CauseMade) -> Page:
    return (
        Text(f"written: {made.path}", tone="strong"),
        Text(
            f"It is a file of blanks, a cause of {made.defect}. Open it in any text editor and put your own words in"
            f" the place of the {counted(made.blanks, 'text')} that begin with WRITE HERE: what is wrong, how it makes"
            " scrap, what it is taken for and how to tell the two apart, the cheapest check, the remedies."
        ),
        Text(
            "Advice that touches melt, moisture, additives, flux, dust, sawing, repair or lifting names its caution;"
            " to see them: defectlog rules list cautions"
        ),
        Text(
            "Until it is filled in, `why` puts it forward with its blanks; to take it back, delete the file.",
            tone="caution",
        ),
        next_step("defectlog rules check", "what is still to be written"),
        next_step(shell_command("rules", "show", made.id), "to read it"),
    )


def cause_made_json(made: CauseMade) -> dict[str, Any]:
    return {"cause": made.id, "defect": made.defect, "path": str(made.path), "blanks": made.blanks}
