"""An invented rule base of three defects and two causes, sound in itself, to be broken one thing at a time."""

from dataclasses import replace
from pathlib import Path

from defectlog.rulebase.shapes import (
    Alloy,
    Cause,
    CauseLookAlike,
    Caution,
    Defect,
    DefectLookAlike,
    Explains,
    Favours,
    HowOften,
    Limit,
    LookNext,
    Place,
    ReadingRule,
    RemedyAdvice,
    RuleBase,
    Sign,
    Source,
)

IDS = ("blow", "dent", "step")


def defect(id: str) -> Defect:
    others = [other for other in IDS if other != id]
    return Defect(
        id=id,
        name=id.capitalize(),
        status="in force",
        family="B",
        looks="A round hole.",
        where="On top.",
        found=("shakeout",),
        make_sure=("Look at it with a glass.",),
        sources=("handbook",),
        usual=1.0,
        signs=HowOften(usually=("smooth",), rarely=("frosty",)),
        places=HowOften(usually=("top",)),
        look_alikes=tuple(DefectLookAlike(other, "Feel the edge.", ("handbook",)) for other in others),
    )


WET = Cause(
    id="wet-sand",
    name="Wet sand",
    area="sand",
    acts_at="sand",
    status="in force",
    summary="The batch is too wet.",
    mechanism="It steams. The steam makes holes.",
    usual_share=0.1,
    sources=("handbook",),
    cautions=("steam",),
    reading=ReadingRule("moisture_pct", "above"),
    explains=(
        Explains("blow", sources=("handbook",), recalled=("old-book",)),
        Explains("dent", recalled=("old-book",)),
        Explains("step", judgement="Wet sand swells."),
    ),
    favoured_by=Favours(signs={"smooth": "strong"}, places={"top": "mild"}),
    opposed_by=Favours(signs={"frosty": "mild"}),
    look_alikes=(CauseLookAlike("no-vent", "Count the vents."),),
    look_next=LookNext("Squeeze a handful.", "1 minute"),
    remedies=(
        RemedyAdvice("Turn the heap and let it stand.", "free", may_break=("dent",)),
        RemedyAdvice("Saw up the heap's old cover and put on a new one.", "some work", cautions=("saws",)),
    ),
)
NO_VENT = replace(
    WET,
    id="no-vent",
    name="No vent",
    area="mould",
    acts_at="mould",
    reading=None,
    cautions=(),
    look_alikes=(CauseLookAlike("wet-sand", "Test the moisture."),),
    remedies=(RemedyAdvice("Push the wire through.", "free"),),
)
SOUND = RuleBase(
    defects={id: defect(id) for id in IDS},
    causes={cause.id: cause for cause in (WET, NO_VENT)},
    signs={
        "smooth": Sign("smooth", "wall", "Smooth wall", "Is it smooth?", ("smooth inside",), 0.2, ("frosty",)),
        "frosty": Sign("frosty", "wall", "Frosty wall", "Is it frosty?", ("like frost",), 0.1, ("smooth",)),
    },
    places={"top": Place("top", "Top", ("on top",)), "side": Place("side", "Side", ("on the side",))},
    limits=(
        Limit("too-wet", "moisture_pct", "above", 4.5, 0.4, sources=("handbook",)),
        Limit("too-dry", "moisture_pct", "below", 3.0, 0.4, judgement="Our own guess."),
    ),
    alloys={"356": Alloy("356", "Seven", ("A356",), 615.0, 550.0, 690.0, 740.0, ("handbook",))},
    cautions={
        "steam": Caution("steam", "Wet sand steams: stand clear.", ("moisture",), ("handbook",)),
        "saws": Caution("saws", "Keep the guard on.", ("sawing",)),
    },
    sources={
        "handbook": Source("handbook", "A handbook", "A. Writer", "handbook", "the shelf", 1950, opened=True),
        "old-book": Source("old-book", "An old book", "B. Writer", "book", "memory"),
    },
)

SOURCES = """
[[source]]
id = "handbook"
title = "A handbook"
author = "A. Writer"
kind = "handbook"
where = "the shelf"
year = 1950
opened = true
"""
DEFECT = """
id = "{id}"
name = "{id}"
status = "in force"
family = "B"
looks = "{looks}"
where = "On top."
found = ["shakeout"]
make_sure = ["Look."]
sources = ["handbook"]
usual = 1.0
"""
CAUSE = """
id = "{id}"
name = "{id}"
area = "{area}"
acts_at = "sand"
status = "in force"
summary = "It is wet."
mechanism = "It steams. It blows."
usual_share = 0.1
sources = ["handbook"]
"""
LIMITS = """
[[limit]]
id = "{id}"
reading = "moisture_pct"
side = "above"
value = {value}
softness = 0.4
sources = ["handbook"]
"""


def write(folder: Path, files: dict[str, str | bytes]) -> Path:
    for name, content in files.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content if isinstance(content, bytes) else content.encode("utf-8"))
    return folder


def our_files() -> dict[str, str | bytes]:
    """Ours as files: one defect, one cause, one limit, one source."""
    return {
        "sources.toml": SOURCES,
        "limits.toml": LIMITS.format(id="too-wet", value=4.5),
        "defects/blow.toml": DEFECT.format(id="blow", looks="A round hole."),
        "causes/sand/wet-sand.toml": CAUSE.format(id="wet-sand", area="sand"),
    }
