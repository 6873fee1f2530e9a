"""The page of a cause or a defect: everything its file says, in sentences that can be read at the bench.

Cautions come before the advice that needs them, and nothing is cut short: a weight with who says so, a limit with its
source and its doubt, a source with whether anybody read it. Pure text, no colour; `page_text` folds it to a width.
"""

import dataclasses
import textwrap
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from defectlog.rulebase import page_parts as parts
from defectlog.rulebase.catalogue import FAMILIES, told_file
from defectlog.rulebase.shapes import Cause, Defect, Explains, RuleBase
from defectlog.rulebase.strengths import HOW_OFTEN
from defectlog.rulebase.weights import weight, weights_by_defect

WIDTH = 78
TOLD_SHOWN = 3


@dataclass(frozen=True, slots=True)
class Section:
    """A heading and its paragraphs, each one unfolded line; a section without lines is left out of a page."""

    heading: str
    lines: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Page:
    title: str
    sections: tuple[Section, ...]


@dataclass(frozen=True, slots=True)
class ListRow:
    """One line of `rules list`. `group` is a cause's area or a defect's family in words; `links` counts the defects
    that a cause brings about, or the causes in force of a defect."""

    kind: str
    id: str
    name: str
    group: str
    status: str
    links: int


def page_text(page: Page, width: int = WIDTH) -> str:
    """The page as plain text. No line is longer than `width` unless one word of it is (an address of the web)."""
    out = [*folded(page.title, width), "=" * min(len(page.title), width)]
    for section in page.sections:
        out += ["", section.heading]
        for line in section.lines:
            out += folded(line, width, indent="  ")
    return "\n".join(out) + "\n"


def folded(text: str, width: int, indent: str = "") -> list[str]:
    """Folded between words; the lines after the first stand two further in."""
    return textwrap.wrap(
        text,
        width,
        initial_indent=indent,
        subsequent_indent=f"{indent}  " if indent else "",
        break_long_words=False,
        break_on_hyphens=False,
    )


def page(title: str, sections: Iterable[tuple[str, Iterable[str]]]) -> Page:
    made = (Section(heading, tuple(lines)) for heading, lines in sections)
    return Page(title, tuple(section for section in made if section.lines))


def cause_page(rules: RuleBase, cause: Cause) -> Page:
    """Everything the rule base says of a cause, in the order in which it is asked at the bench."""
    limits = parts.limits_of(rules, cause)
    cited = (*parts.all_sources(cause), *(source for limit in limits for source in limit.sources))
    return page(
        f"{cause.name} ({cause.id})",
        [
            ("Retired", retired_lines(rules.causes, cause)),
            ("What it is", (cause.summary, cause.mechanism, unit_line(cause))),
            ("What shows it", parts.reading_lines(cause, limits)),
            ("Looks that speak for it", parts.strength_lines(rules, cause.favoured_by)),
            ("Looks that speak against it", parts.strength_lines(rules, cause.opposed_by)),
            ("It brings about", (parts.explains_line(rules, item) for item in heaviest_first(rules, cause))),
            ("Taken for it", (taken_for(rules.causes, alike.cause, alike.tell_apart) for alike in cause.look_alikes)),
            ("Cautions: read these first", parts.cautions_in_full(rules, parts.cautions_of(cause))),
            ("Look at this next", look_next_lines(cause)),
            ("What to do, the cheapest first", remedies(rules, cause)),
            ("Sources", parts.sources_in_full(rules, cited)),
        ],
    )


def retired_lines(others: parts.Named, rule: Cause | Defect) -> Iterator[str]:
    if rule.status == "retired":
        yield "It is no longer put forward, and is kept because old verdicts name it."
        if rule.replaced_by:
            other = parts.name_of(others, rule.replaced_by)
            yield f"In its place answers {other}. See: defectlog rules show {rule.replaced_by}"


def unit_line(cause: Cause) -> str:
    unit = parts.UNIT_OF_ACTION.get(cause.acts_at, cause.acts_at)
    return f"It is on or off for {unit}; usually on in about {cause.usual_share * 100:g} of 100 (judgement)."


def heaviest_first(rules: RuleBase, cause: Cause) -> list[Explains]:
    return sorted(cause.explains, key=lambda item: (-weight(item, rules.sources), item.defect))


def taken_for(others: parts.Named, id: str, tell_apart: str, sources: tuple[str, ...] = ()) -> str:
    who = f" Sources: {', '.join(sources)}." if sources else ""
    return f"{parts.name_of(others, id)}: {tell_apart}{who}"


def look_next_lines(cause: Cause) -> Iterator[str]:
    if cause.look_next:
        yield cause.look_next.check
        cautions = f" Cautions: {', '.join(cause.look_next.cautions)}." if cause.look_next.cautions else ""
        yield f"It takes {cause.look_next.takes}.{cautions}"


def remedies(rules: RuleBase, cause: Cause) -> Iterator[str]:
    for number, remedy in enumerate(cause.remedies, start=1):
        yield parts.remedy_line(rules, remedy, number)


def defect_page(rules: RuleBase, defect: Defect) -> Page:
    """Everything the rule base says of a defect, with its causes, the heaviest first."""
    return page(
        f"{defect.name} ({defect.id})",
        [
            ("Retired", retired_lines(rules.defects, defect)),
            ("How it looks", (defect.looks, defect.where, found_line(defect))),
            ("What it is called", name_lines(defect)),
            ("How people tell of it", told_lines(rules, defect)),
            ("Signs", how_often_lines(rules.signs, defect.signs)),
            ("Places", how_often_lines(rules.places, defect.places)),
            (
                "Taken for it",
                defect_look_alikes(rules, defect),
            ),
            ("Cautions: read these first", parts.cautions_in_full(rules, defect.cautions)),
            ("How to make sure", defect.make_sure),
            ("What brings it about, the most often named first", causes_of(rules, defect)),
            ("Sources", parts.sources_in_full(rules, cited_by_defect(rules, defect))),
        ],
    )


def cited_by_defect(rules: RuleBase, defect: Defect) -> Iterator[str]:
    yield from defect.sources
    for alike in defect.look_alikes:
        yield from alike.sources
    for _, explains in pairs_of(rules, defect):
        yield from (*explains.sources, *explains.recalled)


def defect_look_alikes(rules: RuleBase, defect: Defect) -> Iterator[str]:
    for alike in defect.look_alikes:
        yield taken_for(rules.defects, alike.defect, alike.tell_apart, alike.sources)


def found_line(defect: Defect) -> str:
    family = FAMILIES.get(defect.family, "unknown")
    return f"Usually found at {', '.join(defect.found)}. Family {defect.family}: {family}."


def name_lines(defect: Defect) -> Iterator[str]:
    for where, names in (("Britain", defect.names.uk), ("America", defect.names.us), ("the shop", defect.names.shop)):
        if names:
            yield f"In {where}: {', '.join(names)}."


def told_lines(rules: RuleBase, defect: Defect) -> Iterator[str]:
    """The first few reports; all of them stand in the file."""
    told = rules.told[defect.id].told if defect.id in rules.told else ()
    yield from (f"“{report}”" for report in told[:TOLD_SHOWN])
    if len(told) > TOLD_SHOWN:
        yield f"{len(told) - TOLD_SHOWN} more in {told_file(rules.told[defect.id])}."


def how_often_lines(names: parts.Named, how_often: object) -> Iterator[str]:
    for word in HOW_OFTEN:
        ids = getattr(how_often, word)
        if ids:
            yield f"{word.capitalize()}: {parts.names_of(names, ids)}."


def causes_of(rules: RuleBase, defect: Defect) -> Iterator[str]:
    for cause, explains in pairs_of(rules, defect):
        yield f"{cause.name} ({cause.id}): {parts.who_says_so(explains, rules)}"


def pairs_of(rules: RuleBase, defect: Defect) -> list[tuple[Cause, Explains]]:
    """The causes in force of a defect with what links them to it, the heaviest first and then by id."""
    weights = weights_by_defect(rules.causes, rules.sources).get(defect.id, {})
    return [
        (rules.causes[cause], explains)
        for cause in weights
        for explains in rules.causes[cause].explains
        if explains.defect == defect.id
    ]


def cause_as_json(rules: RuleBase, cause: Cause) -> dict[str, object]:
    """The fields of a cause's file, its weights, limits, cautions and sources in full, as JSON can hold them."""
    fields = dataclasses.asdict(cause)
    fields["explains"] = [explains_as_json(rules, item) for item in heaviest_first(rules, cause)]
    fields["limits"] = [dataclasses.asdict(limit) for limit in parts.limits_of(rules, cause)]
    fields["caution_texts"] = texts_of(rules, parts.cautions_of(cause))
    fields["source_list"] = cited_sources(rules, parts.all_sources(cause))
    return fields


def defect_as_json(rules: RuleBase, defect: Defect) -> dict[str, object]:
    """The fields of a defect's file with its causes and their weights, the heaviest first."""
    fields = dataclasses.asdict(defect)
    fields["causes"] = [
        {"cause": cause.id, "name": cause.name, "area": cause.area, "acts_at": cause.acts_at}
        | explains_as_json(rules, explains)
        for cause, explains in pairs_of(rules, defect)
    ]
    fields["caution_texts"] = texts_of(rules, defect.cautions)
    fields["source_list"] = cited_sources(rules, dict.fromkeys(cited_by_defect(rules, defect)))
    return fields


def explains_as_json(rules: RuleBase, explains: Explains) -> dict[str, object]:
    return dataclasses.asdict(explains) | {"weight": weight(explains, rules.sources)}


def texts_of(rules: RuleBase, ids: Iterable[str]) -> dict[str, str]:
    return {id: rules.cautions[id].text for id in ids if id in rules.cautions}


def cited_sources(rules: RuleBase, ids: Iterable[str]) -> list[dict[str, object]]:
    return [dataclasses.asdict(rules.sources[id]) for id in ids if id in rules.sources]


def list_rows(rules: RuleBase) -> list[ListRow]:
    """Every defect, then every cause, the retired ones too; by family or area and then by id."""
    weights = weights_by_defect(rules.causes, rules.sources)
    defects = sorted(rules.defects.values(), key=lambda defect: (defect.family, defect.id))
    causes = sorted(rules.causes.values(), key=lambda cause: (cause.area, cause.id))
    return [
        *(
            ListRow(
                "defect", item.id, item.name, FAMILIES.get(item.family, ""), item.status, len(weights.get(item.id, {}))
            )
            for item in defects
        ),
        *(ListRow("cause", item.id, item.name, item.area, item.status, len(item.explains)) for item in causes),
    ]
