"""A small rule base written for the tests of this folder, and the real one; neither touches a book."""

from functools import cache
from typing import Any

from defectlog.rulebase.load import load_rules
from defectlog.rulebase.shapes import Defect, HowOften, Names, Place, RuleBase, Sign


def sign(item: str, group: str, says: tuple[str, ...], usual: float, excludes: tuple[str, ...] = ()) -> Sign:
    return Sign(item, group, item.replace("-", " ").capitalize(), f"Is it {item}?", says, usual, excludes)


def defect(item: str, signs: HowOften, places: HowOften | None = None, **more: Any) -> Defect:
    values: dict[str, Any] = {
        "id": item,
        "name": item.replace("-", " ").capitalize(),
        "status": "in force",
        "family": "B",
        "looks": "Looks.",
        "where": "Where.",
        "found": ("shakeout",),
        "make_sure": ("Look.",),
        "sources": ("book",),
        "usual": 1.0,
        "signs": signs,
        "places": places or HowOften(),
    }
    return Defect(**(values | more))


def small_rules(**changed: Any) -> RuleBase:
    """Four defects told apart by seven signs. Invented for these tests."""
    signs = (
        sign("wall-smooth", "wall", ("smooth inside", "smooth walls", "egg shell"), 0.15, ("wall-crystalline",)),
        sign("wall-crystalline", "wall", ("frosty inside", "crystals", "not: smooth inside"), 0.15, ("wall-smooth",)),
        sign("shape-round", "shape", ("round holes", "bubbles"), 0.2, ("shape-jagged",)),
        sign("shape-jagged", "shape", ("jagged", "jagged hole"), 0.2, ("shape-round",)),
        sign("sand-inside", "stuff", ("sand grains", "loose sand"), 0.1),
        sign("metal-missing", "missing", ("did not fill", "never ran", "not: ran full"), 0.2),
        sign("edge-rounded", "edge", ("rounded edges", "edges rounded off"), 0.1),
    )
    places = (
        Place("cope-face", "Cope face", ("cope", "top face", "top skin")),
        Place("around-core", "Round a core", ("round the core", "by the core")),
        Place("drag-face", "Drag face", ("drag", "underside")),
        Place("near-gate", "Near the gate", ("gate", "by the gate")),
    )
    defects = (
        defect(
            "gas-holes",
            HowOften(usually=("wall-smooth", "shape-round"), rarely=("wall-crystalline",), never=("sand-inside",)),
            HowOften(usually=("cope-face",)),
            names=Names(uk=("blowholes", "blows"), us=("gas porosity",), shop=("porosity",)),
        ),
        defect(
            "shrinkage-cavity",
            HowOften(usually=("wall-crystalline", "shape-jagged"), rarely=("wall-smooth",)),
            names=Names(uk=("draw",), shop=("porosity", "shrink")),
        ),
        defect("sand-inclusion", HowOften(always=("sand-inside",), sometimes=("shape-jagged",))),
        defect("misrun", HowOften(always=("metal-missing",), usually=("edge-rounded",)), usual=0.8),
    )
    values: dict[str, Any] = {
        "defects": {item.id: item for item in defects},
        "causes": {},
        "signs": {item.id: item for item in signs},
        "places": {item.id: item for item in places},
        "limits": (),
        "alloys": {},
        "cautions": {},
        "sources": {},
    }
    return RuleBase(**(values | changed))


@cache
def real_rules() -> RuleBase:
    return load_rules()
