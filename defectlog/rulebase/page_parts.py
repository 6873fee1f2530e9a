"""Lines of a rule's page that causes and defects share: names, weights, limits, looks, remedies, cautions, sources."""

from collections.abc import Iterable, Iterator, Mapping

from defectlog.rulebase.plain_names import counted, lowered
from defectlog.rulebase.reading_names import amount_in_words, known_readings, reading_in_words
from defectlog.rulebase.shapes import (
    Cause,
    Defect,
    Explains,
    Favours,
    Limit,
    Place,
    RemedyAdvice,
    RuleBase,
    Sign,
    Source,
)
from defectlog.rulebase.weights import weight

Named = Mapping[str, Cause] | Mapping[str, Defect] | Mapping[str, Sign] | Mapping[str, Place]
"""Rules of one kind by id; all of them have a name."""

UNIT_OF_ACTION: Mapping[str, str] = {
    "sand": "a whole batch of sand",
    "heat": "a whole heat",
    "mould": "one mould",
    "moulder": "one moulder's work",
    "impression": "one impression of the plate",
    "pattern": "a pattern, for as long as it stays as it is",
}


def all_sources(cause: Cause) -> tuple[str, ...]:
    """Ids of every source that speaks of the cause: its own list and those of its [[explains]], each once."""
    pairs = (source for explains in cause.explains for source in (*explains.sources, *explains.recalled))
    return tuple(dict.fromkeys((*cause.sources, *pairs)))


def name_of(names: Named, id: str) -> str:
    """ "Gas holes (gas-holes)"; an id that nobody knows stands alone."""
    rule = names.get(id)
    return f"{rule.name} ({id})" if rule else id


def names_of(names: Named, ids: Iterable[str]) -> str:
    """ "drop; sand inclusion": names inside a sentence, the first letter small."""
    rules = ((id, names.get(id)) for id in ids)
    return "; ".join(lowered(rule.name) if rule else id for id, rule in rules)


def who_says_so(explains: Explains, rules: RuleBase) -> str:
    """ "weight 3: 2 sources read (kbf, mtl); 2 recalled, each counts half (navy1958, molder)"."""
    parts = []
    if explains.sources:
        parts.append(f"{counted(len(explains.sources), 'source')} read ({', '.join(explains.sources)})")
    if explains.recalled:
        half = "counts half" if len(explains.recalled) == 1 else "each counts half"
        parts.append(f"{len(explains.recalled)} recalled, {half} ({', '.join(explains.recalled)})")
    if explains.judgement:
        parts.append(f"judgement: {explains.judgement}")
    return f"weight {weight(explains, rules.sources):g}: {'; '.join(parts) or 'nobody says so'}"


def limits_of(rules: RuleBase, cause: Cause) -> list[Limit]:
    """The limits of the cause's reading on its side: the shop's own first, then the general, then the narrower ones."""
    if cause.reading is None:
        return []
    found = [
        limit for limit in rules.limits if (limit.reading, limit.side) == (cause.reading.quantity, cause.reading.side)
    ]
    return sorted(found, key=lambda limit: (not limit.own, len(limit.when)))


def limit_line(limit: Limit) -> str:
    """ "Above 4.5 % with sand base synthetic (in doubt within about 0.4 % of it). Sources: heine-loper." """
    amount, doubt = (amount_in_words(limit.reading, number) for number in (limit.value, limit.softness))
    when = " and ".join(f"{key.replace('_', ' ')} {wanted}" for key, wanted in limit.when.items())
    line = f"{limit.side} {amount}{f' with {when}' if when else ''} (in doubt within about {doubt} of it)."
    if limit.own:
        line = f"the shop's own: {line}"
    if limit.sources:
        line += f" Sources: {', '.join(limit.sources)}."
    if limit.judgement:
        line += f" Judgement: {limit.judgement}"
    if limit.note:
        line += f" {limit.note}"
    return line[:1].upper() + line[1:]


def strength_lines(rules: RuleBase, favours: Favours) -> Iterator[str]:
    for strength in ("strong", "mild"):
        signs = [id for id, word in favours.signs.items() if word == strength]
        places = [id for id, word in favours.places.items() if word == strength]
        said = [names_of(rules.signs, signs), names_of(rules.places, places)]
        if any(said):
            yield f"{'Strongly' if strength == 'strong' else 'Mildly'}: {'; '.join(part for part in said if part)}."


def remedy_line(rules: RuleBase, remedy: RemedyAdvice, number: int) -> str:
    """ "1. Free: Mull dry return sand … It may bring: drop; wash. Cautions: silica-dust." """
    parts = [f"{number}. {remedy.cost.capitalize()}: {remedy.do}"]
    if remedy.may_break:
        parts.append(f"It may bring: {names_of(rules.defects, remedy.may_break)}.")
    if remedy.cautions:
        parts.append(f"Cautions: {', '.join(remedy.cautions)}.")
    return " ".join(parts)


def cautions_of(cause: Cause) -> tuple[str, ...]:
    """Ids of the cautions of the cause, its check and its remedies, each once."""
    check = cause.look_next.cautions if cause.look_next else ()
    remedies = (caution for remedy in cause.remedies for caution in remedy.cautions)
    return tuple(dict.fromkeys((*cause.cautions, *check, *remedies)))


def cautions_in_full(rules: RuleBase, ids: Iterable[str]) -> Iterator[str]:
    for id in ids:
        caution = rules.cautions.get(id)
        yield f"{id}: {caution.text if caution else 'this caution is missing from cautions.toml'}"


def sources_in_full(rules: RuleBase, ids: Iterable[str]) -> Iterator[str]:
    for id in dict.fromkeys(ids):
        source = rules.sources.get(id)
        yield f"{id}: {source_in_full(source) if source else 'this source is missing from sources.toml'}"


def source_in_full(source: Source) -> str:
    by = f"{source.author}, {source.year}" if source.year else source.author
    where = "" if source.where == "memory" else f"{source.where}. "
    stop = "" if source.title.endswith(("?", "!")) else "."
    return (
        f"{source.title}{stop} {by}; {source.kind}. {where}{'Read.' if source.opened else 'Recalled, not read again.'}"
    )


def explains_line(rules: RuleBase, explains: Explains) -> str:
    return f"{name_of(rules.defects, explains.defect)}: {who_says_so(explains, rules)}"


def reading_lines(cause: Cause, limits: Iterable[Limit]) -> Iterator[str]:
    """What shows the cause and where its limits lie; an answer of yes or no has no figure to print."""
    yield reading_line(cause)
    if cause.reading is not None and cause.reading.hand_test:
        yield f"Where that is not on record, by the hand test: a squeezed handful {cause.reading.hand_test}."
    for limit in limits:
        if known_readings().get(limit.reading, ("", ""))[1] != "yes_no":
            yield limit_line(limit)


def reading_line(cause: Cause) -> str:
    if cause.reading is None:
        return "No reading on record shows it: it must be looked for."
    shown = reading_in_words(cause.reading.quantity, cause.reading.side)
    return f"On record it is shown by {cause.reading.quantity} ({shown})."
