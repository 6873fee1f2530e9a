"""What people say for one of the choices of a field. Shop English, common practice, no source."""

from collections.abc import Mapping
from types import MappingProxyType


def said_for(words: Mapping[str, str]) -> Mapping[str, str]:
    """{choice: "this, that"} → {"this": choice, "that": choice}."""
    return MappingProxyType({word: choice for choice, said in words.items() for word in said.split(", ")})


SQUEEZE_SAID = said_for(
    {
        "holds": "holds together, holds its shape, keeps its shape, stays together, good",
        "crumbles": "crumbly, falls apart, breaks up, will not hold, wont hold, does not hold, doesnt hold, slips, "
        "slips through the fingers, runs through the fingers",
        "sticks": "sticky, sticks to the hand, sticks to the palm, sticks to the fingers, pasty",
    }
)
DISPOSITIONS_SAID = said_for(
    {
        "scrap": "scrapped, bin, binned, remelt, back in the pot",
        "rework": "reworked, repair, repaired, salvage, weld, mend",
        "use as is": "use, accept, accepted, good enough, concession",
        "undecided": "hold, on hold, waiting, not decided",
    }
)
FOUND_SAID = said_for(
    {
        "shakeout": "shake out, at shakeout, knock out, knockout, out of the sand",
        "fettling": "grinding, cleaning, cleaning room, sawing, sawing off, blasting, finishing",
        "inspection": "looking over, checking, visual, gauging, measuring",
        "machining": "machine shop, lathe, mill, milling, turning, drilling, tapping",
        "test": "testing, pressure test, leak test, x ray",
        "customer": "at the customer, returned, return, complaint",
    }
)
