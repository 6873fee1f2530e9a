"""What did they mean: a typed defect, place or cause settled against the rule base and the shop's own words.

Nothing is guessed in silence: what was taken is said; several that answer are listed and nothing is done; a word
that nobody knows stays on record as it was written.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache

from defectlog.diagnosis.settle import settle_defect
from defectlog.diagnosis.words import stems_of
from defectlog.errors import Ambiguous, NotFound, Problem
from defectlog.jobs.words import ready_words
from defectlog.records.cells import folded, nearest_of, seen_text
from defectlog.rulebase.plain_names import defect_name, place_names
from defectlog.rulebase.shapes import RuleBase

MOST_LISTED = 5
NEAR_CAUSE = 82.0  # of 100: a misspelt cause is taken if it is this like one cause
LISTED_CAUSE = 55.0


@dataclass(frozen=True, slots=True)
class Named:
    """`name` goes on record; `known` if the rule base has it; `said` tells what was taken for what, if anything."""

    name: str
    known: bool
    said: str = ""


@dataclass(frozen=True, slots=True)
class Placed:
    """`place` goes on record; `ids` are the places it stands for; `note` the words as said where `place` differs."""

    place: str
    ids: tuple[str, ...]
    note: str = ""
    said: str = ""


def defect_reader(rules: RuleBase, shop_words: Mapping[str, str]) -> Callable[[str], str]:
    """The id behind a defect as the shop wrote it; where the rules know none, the shop's own name folded."""

    @cache
    def read(written: str) -> str:
        if written in rules.defects:
            return written
        if written:
            ready_words(rules)
        settled = settle_defect(written, rules, shop_words) if written else ""
        return settled if isinstance(settled, str) and settled else folded(written)

    return read


def name_defect(
    typed: str,
    rules: RuleBase,
    shop_words: Mapping[str, str],
    where: str = "--defect",
    advice: Callable[[str], str] | None = None,
) -> Named:
    """The defect that `typed` names. `advice` writes the command to type for one of several.

    Raises Ambiguous with the nearest when several answer to it.
    """
    words = seen_text(typed)
    settled = settle_defect(words, rules, shop_words)
    if isinstance(settled, str):
        by_name = words.casefold() in (settled, defect_name(settled, rules).casefold())
        return Named(settled, True, "" if by_name else f"taking {defect_name(settled, rules)} for {words!r}")
    if len(settled) == 0:
        said = f"{words!r} is kept as the shop's own name; the rules do not know it, so no causes are known for it"
        return Named(words, False, said)
    raise Ambiguous(several(words, settled, rules, where, advice))


def several(
    typed: str, defects: tuple[str, ...], rules: RuleBase, where: str, advice: Callable[[str], str] | None
) -> Problem:
    listed = ", ".join(f"{item} ({defect_name(item, rules)})" for item in defects[:MOST_LISTED])
    one = advice(defects[0]) if advice else f"name one of them, such as {defects[0]}"
    return Problem("defect-unclear", where, f"{typed!r} is not one clear defect", f"nearest: {listed}", one)


def known_defect(
    typed: str,
    rules: RuleBase,
    shop_words: Mapping[str, str],
    where: str = "--defect",
    advice: Callable[[str], str] | None = None,
) -> Named:
    """As `name_defect`, for what must be a defect of the rule base. Raises NotFound as well."""
    named = name_defect(typed, rules, shop_words, where, advice)
    if not named.known:
        found = f"{named.name!r} is no defect that the rules know"
        allowed = f"allowed: a defect of the rules{nearest_of(named.name, list(rules.defects))}"
        raise NotFound(Problem("defect-unknown", where, found, allowed, "to see them: defectlog rules list"))
    return named


def name_places(typed: str, rules: RuleBase) -> Placed:
    """Place words to place ids; words that name no place are kept as they were written."""
    words = seen_text(typed)
    if not words:
        return Placed("", ())
    as_id = folded(words).replace(" ", "-")
    if as_id in rules.places:
        return Placed(as_id, (as_id,))
    from defectlog.diagnosis.places_in_text import places_of

    ready_words(rules)
    ids = places_of(words, rules)
    if not ids:
        return Placed(words, (), said=f"{words!r} names no place that the rules know; it is kept as written")
    place = ", ".join(ids)
    said = f"taking {place_names(place, rules)} for {words!r}"
    return Placed(place, ids, note=f"place as said: {words}", said=said)


def name_cause(typed: str, rules: RuleBase, defect: str, where: str = "cause") -> Named:
    """A cause by id, by name, by some of its words, or misspelt; those that bring about `defect` come first.

    Raises Ambiguous with the nearest when several answer, NotFound with the nearest when none does.
    """
    words = seen_text(typed)
    as_id = folded(words).replace(" ", "-")
    if as_id in rules.causes:
        current = rules.causes[as_id].replaced_by or as_id
        return Named(current, True, "" if current == words else f"taking {current} for {words!r}")
    bringing = {item for item, cause in rules.causes.items() if any(each.defect == defect for each in cause.explains)}
    found = causes_with(words, rules)
    found = [item for item in found if item in bringing] or found
    if not found:
        near = causes_like(words, rules)
        found = [item for item, score in near if score >= NEAR_CAUSE]
        found = [item for item in found if item in bringing] or found
    if len(found) == 1:
        return Named(found[0], True, f"taking {found[0]} for {words!r}")
    if found:
        listed = f"nearest: {', '.join(found[:MOST_LISTED])}"
        raise Ambiguous(
            Problem("cause-unclear", where, f"{words!r} is not one clear cause", listed, "name one of them")
        )
    listed = ", ".join(item for item, _ in causes_like(words, rules)[:MOST_LISTED])
    nearest = f"nearest: {listed}" if listed else ""
    look = "to see them: defectlog rules list"
    raise NotFound(Problem("cause-unknown", where, f"{words!r} is no cause that the rules know", nearest, look))


def causes_with(words: str, rules: RuleBase) -> list[str]:
    """Causes in force whose id or name has all of the words."""
    wanted = set(stems_of(words))
    if not wanted:
        return []
    in_force = [cause for cause in rules.causes.values() if cause.status == "in force"]
    same = [cause.id for cause in in_force if set(stems_of(cause.name)) == wanted]
    return same or [
        cause.id for cause in in_force if wanted <= set(stems_of(f"{cause.name} {cause.id.replace('-', ' ')}"))
    ]


def causes_like(words: str, rules: RuleBase) -> list[tuple[str, float]]:
    """(cause, likeness of 100), the likest first."""
    from rapidfuzz import fuzz, process

    texts = {
        (item, text): text.lower()
        for item, cause in rules.causes.items()
        if cause.status == "in force"
        for text in (item.replace("-", " "), cause.name)
    }
    found = process.extract(words.lower(), texts, scorer=fuzz.ratio, score_cutoff=LISTED_CAUSE, limit=12)
    best: dict[str, float] = {}
    for _, score, (item, _text) in found:
        best.setdefault(item, score)
    return list(best.items())
