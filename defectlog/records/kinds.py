"""The kinds of record a foundry keeps, one frozen value each; None means "not on record", never zero.

The order of the fields is the order of the columns. Moments are local time, as the shop's clock shows it.

The bounds of a number are what cannot be even with a poor instrument: worn hardness testers read a little past 100, and
a charge weighed on two scales can come out at less than no returns. Such values are taken, and `check` lists them.
"""

from dataclasses import dataclass
from datetime import date, datetime
from typing import ClassVar

from defectlog.records.choice_words import DISPOSITIONS_SAID, FOUND_SAID, SQUEEZE_SAID
from defectlog.records.fields import choice, count, day, moment, number, text, yes_no


@dataclass(frozen=True, slots=True, kw_only=True)
class Pattern:
    """The pattern card, one a revision."""

    sheet: ClassVar[str] = "patterns"
    key: ClassVar[tuple[str, ...]] = ("pattern", "revision")

    pattern: str = text("its number", required=True)
    revision: str | None = text("revision of the pattern or its rigging; A when left out")
    in_force_from: date | None = day("first day on which it was moulded")
    name: str | None = text("what the part is called")
    alloy: str | None = text("alloy it is poured in")
    impressions: int = count("castings on the plate", required=True, least=1, most=500)
    casting_kg: float | None = number("mass", "weight of one casting", most=2000)
    poured_kg: float | None = number("mass", "metal per mould", most=5000)
    min_section_mm: float | None = number("length", "thinnest wall", most=1000)
    max_section_mm: float | None = number("length", "thickest wall", most=2000)
    draft_deg: float | None = number("angle", "draft on the drawn walls", least=-5, most=45)
    sprue_height_mm: float | None = number("length", "height of metal above the gate", most=3000)
    choke_mm2: float | None = number("area", "narrowest area of the running system", most=100000)
    runner_mm2: float | None = number("area", "runner area, all runners", most=100000)
    gate_mm2: float | None = number("area", "gate area, all gates of the mould", most=200000)
    gates: int | None = count("gates a mould", most=1000)
    casting_modulus_mm: float | None = number("length", "volume over cooling surface of the heaviest part", most=500)
    feeder_modulus_mm: float | None = number("length", "volume over cooling surface of its feeder", most=500)
    cores: int | None = count("cores a mould", most=1000)
    vents: int | None = count("vents a mould", most=10000)
    pour_low_c: float | None = number("temperature", "lowest pouring temperature wanted", most=1200)
    pour_high_c: float | None = number("temperature", "highest pouring temperature wanted", most=1200)
    note: str | None = text("anything else")


@dataclass(frozen=True, slots=True, kw_only=True)
class Sand:
    """One mulled batch, or a shift's sand."""

    sheet: ClassVar[str] = "sand"
    key: ClassVar[tuple[str, ...]] = ("sand",)

    sand: str = text("batch number", required=True)
    mixed_at: datetime = moment("when it was mulled", required=True)
    compactability_pct: float | None = number("percent", "compactability", most=100)
    moisture_pct: float | None = number("percent", "moisture", most=100)
    permeability: float | None = number("number", "permeability number", most=5000)
    green_strength_kpa: float | None = number("pressure", "green compression strength", most=2000)
    gfn: float | None = number("number", "grain fineness number", most=400)
    active_clay_pct: float | None = number("percent", "active clay", most=100)
    loi_pct: float | None = number("percent", "loss on ignition", most=100)
    sand_c: float | None = number("temperature", "sand temperature", least=-40, most=400)
    water_added_kg: float | None = number("mass", "water added", most=5000)
    clay_added_kg: float | None = number("mass", "clay added", most=5000)
    wood_flour_added_kg: float | None = number("mass", "wood flour added", most=5000)
    new_sand_pct: float | None = number("percent", "new sand in the batch", most=100)
    mull_min: float | None = number("minutes", "mulling time", most=600)
    squeeze: str | None = choice(
        "the hand test: what a squeezed handful does", "holds", "crumbles", "sticks", said=SQUEEZE_SAID
    )
    note: str | None = text("anything else")


@dataclass(frozen=True, slots=True, kw_only=True)
class Heat:
    """One melt."""

    sheet: ClassVar[str] = "heats"
    key: ClassVar[tuple[str, ...]] = ("heat",)

    heat: str = text("heat number", required=True)
    melted_at: datetime = moment("when it was melted", required=True)
    alloy: str | None = text("alloy")
    ingot_lot: str | None = text("lot of the ingot")
    returns_pct: float | None = number("percent", "returns in the charge", least=-5, most=105)
    melt_c: float | None = number("temperature", "highest temperature of the melt", most=1400)
    holding_min: float | None = number("minutes", "time held molten", most=3000)
    degas_min: float | None = number("minutes", "degassing time", most=600)
    since_degassing_min: float | None = number("minutes", "time from degassing to the first pour", most=3000)
    density_index_pct: float | None = number("percent", "density index of the reduced-pressure sample", most=100)
    skimmed: bool | None = yes_no("dross skimmed before pouring")
    modified: bool | None = yes_no("silicon modified")
    refined: bool | None = yes_no("grain refined")
    furnace: str | None = text("furnace")
    humidity_pct: float | None = number("percent", "relative humidity that day", most=100)
    note: str | None = text("anything else")


@dataclass(frozen=True, slots=True, kw_only=True)
class Mould:
    """One mould, from ramming to shakeout."""

    sheet: ClassVar[str] = "moulds"
    key: ClassVar[tuple[str, ...]] = ("mould",)

    mould: str = text("mould number", required=True)
    pattern: str = text("pattern number", required=True, refers_to="patterns")
    revision: str | None = text("revision; the one in force when left out")
    made_at: datetime | None = moment("when it was made")
    sand: str | None = text("sand batch", refers_to="sand")
    moulder: str | None = text("who made it")
    hardness_b: float | None = number("number", "mould hardness, B scale", most=110)
    facing_riddled: bool | None = yes_no("facing sand riddled onto the pattern")
    vented: bool | None = yes_no("vented")
    heat: str | None = text("heat it was poured from", refers_to="heats")
    poured_at: datetime | None = moment("when it was poured")
    pour_order: int | None = count("place in the heat's pouring order, 1 is first", least=1, most=100000)
    pour_c: float | None = number("temperature", "pouring temperature", most=1200)
    pour_s: float | None = number("seconds", "pouring time", most=3600)
    poured_by: str | None = text("who poured it")
    interrupted: bool | None = yes_no("pour interrupted")
    cooling_min: float | None = number("minutes", "poured to shaken out", most=20000)
    castings: int | None = count("castings in it; the pattern's impressions when left out", most=500)
    outcome: str | None = choice("what became of it", "poured", "lost before pouring")
    trial: bool | None = yes_no("a trial: kept out of the rates")
    note: str | None = text("anything else")


DISPOSITIONS = ("scrap", "rework", "use as is", "undecided")
FOUND = ("shakeout", "fettling", "inspection", "machining", "test", "customer")


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """What was seen on castings that are not right first time. What is believed is kept elsewhere (Verdict)."""

    sheet: ClassVar[str] = "findings"
    key: ClassVar[tuple[str, ...]] = ()

    mould: str = text("mould number", required=True, refers_to="moulds")
    impression: int | None = count("impression on the plate", least=1, most=500)
    castings: int | None = count("how many castings; 1 when left out", least=1, most=500)
    defect: str | None = text("a defect's id or the shop's own name for it")
    seen: str | None = text("what it looks like")
    place: str | None = text("where on the casting")
    disposition: str | None = choice("what becomes of the casting", *DISPOSITIONS, said=DISPOSITIONS_SAID)
    found: str | None = choice("where it was found", *FOUND, said=FOUND_SAID)
    found_at: datetime | None = moment("when it was found")
    recorded_at: datetime | None = moment("when it was written down")
    primary: bool | None = yes_no("the defect that the casting is charged to; yes when left out")
    by: str | None = text("who found it")
    photo: str | None = text("photo")
    note: str | None = text("anything else")


VERDICTS = ("confirmed", "ruled out")


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """What was found to be, or not to be, the cause of a defect on a pattern."""

    sheet: ClassVar[str] = "causes"
    key: ClassVar[tuple[str, ...]] = ()

    pattern: str = text("pattern number", required=True, refers_to="patterns")
    defect: str = text("defect", required=True)
    cause: str = text("cause", required=True)
    verdict: str = choice("what was found", *VERDICTS, required=True)
    decided_on: date = day("when it was decided", required=True)
    basis: str | None = text("what showed it")
    by: str | None = text("who decided")


REMEDY_VERDICTS = ("worked", "no effect seen", "made worse", "too soon")


@dataclass(frozen=True, slots=True, kw_only=True)
class Remedy:
    """What was changed, and whether it worked."""

    sheet: ClassVar[str] = "remedies"
    key: ClassVar[tuple[str, ...]] = ()

    pattern: str = text("pattern number", required=True, refers_to="patterns")
    defect: str = text("defect", required=True)
    cause: str | None = text("cause it is meant to cure")
    change: str = text("what was changed", required=True)
    from_date: date | None = day("first day of the change; this or from_mould")
    from_mould: str | None = text("first mould of the change", refers_to="moulds")
    check_castings: int | None = count("how many castings to check, set beforehand", least=1, most=1000000)
    owner: str | None = text("who sees to it")
    verdict: str | None = choice("whether it worked", *REMEDY_VERDICTS)
    note: str | None = text("anything else")


Record = Pattern | Sand | Heat | Mould | Finding | Verdict | Remedy
KINDS: tuple[type[Record], ...] = (Pattern, Sand, Heat, Mould, Finding, Verdict, Remedy)
BY_SHEET: dict[str, type[Record]] = {kind.sheet: kind for kind in KINDS}
