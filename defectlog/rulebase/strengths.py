"""Where the rule base's words become numbers, and the only place.

Every number here is judgement. No publication gives the share of gas holes that are smooth-walled, or how much more
often a cope-face blow comes from wet sand than from a gassy melt; handbooks say "usually" and "seldom". A few steps,
far apart, are as much as such words can carry, and a ranking built on several of them changes little when each is
moved by a third.
"""

from collections.abc import Mapping
from types import MappingProxyType

from defectlog.rulebase.shapes import HowOften

HOW_OFTEN: Mapping[str, float] = MappingProxyType(
    {"always": 0.95, "usually": 0.7, "sometimes": 0.35, "rarely": 0.08, "never": 0.01}
)
"""Share of castings with a defect that show a sign, by the word of the defect's file. Judgement."""

RATIO: Mapping[str, float] = MappingProxyType({"strong": 4.0, "mild": 2.0})
"""How many times likelier a look is with this cause than with the others of the same defect. Judgement: four is a
look that would settle most arguments at the bench, two is one that tips an even choice. Opposed: the inverse."""

NAMED_RATIO = 4.0
"""How far the trade name of a defect in a report speaks for that defect. Judgement: shops use the names loosely
("gas" for every hole), so a name is one strong sign and never the verdict. Shared among the defects of that name."""

LEARNED_RATIO = 12.0
"""The same for a word that this shop has itself tied to one defect. Judgement: its own word, still not the look."""

USUAL_PLACE = 0.12
"""Share of bad castings that are bad in any one place, for defects whose file does not list it. Judgement: most
reports name one or two of some fourteen places."""


def ratio_of(strength: str, opposed: bool = False) -> float:
    """Likelihood ratio of "strong" or "mild"; the inverse where it speaks against. Raises KeyError for other words."""
    ratio = RATIO[strength]
    return 1 / ratio if opposed else ratio


def chance(word: str, usual: float) -> float:
    """Share (0..1) of castings with the defect that show a sign called `word`; "" means it is not listed.

    `usual` is the sign's share among all bad castings. "Rarely" and "never" are always below it and "usually" and
    "always" above it, so that a word never speaks the wrong way for a sign that is uncommon or very common.
    """
    if not word:
        return usual
    share = HOW_OFTEN[word]
    if word in ("rarely", "never"):
        return min(share, usual * (0.5 if word == "rarely" else 0.1))
    return max(share, usual) if word == "sometimes" else max(share, 1 - (1 - usual) * 0.5)


def words_by_id(how_often: HowOften) -> dict[str, str]:
    """Id of a sign or place to the word under which a defect lists it."""
    return {item: word for word in HOW_OFTEN for item in getattr(how_often, word)}
