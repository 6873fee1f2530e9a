"""The shape of a rule: what a defect, a cause, a sign, a place, a limit, a caution and a source must say.

The rule files are read straight into these. Every text is for a person to read; every id stays for ever.
Strengths are words, turned into numbers in one place (`strengths`).
"""

from collections.abc import Mapping
from dataclasses import dataclass, field

STATUSES = ("in force", "retired")
AREAS = ("sand", "mould", "pattern", "core", "gating", "feeding", "melting", "pouring", "handling", "design")
UNITS_OF_ACTION = ("sand", "heat", "mould", "moulder", "impression", "pattern")
SIDES = ("above", "below")
HAND_TESTS = ("crumbles", "sticks")
COSTS = ("free", "cheap", "some work", "new pattern work", "new equipment")


@dataclass(frozen=True, slots=True)
class Source:
    """A publication. `opened` is false when its content was recalled and not read again."""

    id: str
    title: str
    author: str
    kind: str
    where: str
    year: int = 0
    opened: bool = False


@dataclass(frozen=True, slots=True)
class Caution:
    """A danger that advice must carry. `touches`: which kinds of advice need it (melt, moisture, dust …)."""

    id: str
    text: str
    touches: tuple[str, ...]
    sources: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Sign:
    """Something a person can see. `says`: the shop's words for it; `usual`: share of all bad castings that show it."""

    id: str
    group: str
    name: str
    question: str
    says: tuple[str, ...]
    usual: float
    excludes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Place:
    id: str
    name: str
    says: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Limit:
    """Where a reading goes out of its usual window.

    `softness` is the measuring error and the width of the grey zone, in the reading's unit. `when` narrows it
    ({"sand_base": "natural"}, {"alloy": "A356"} …): the row whose `when` matches most is taken. `own` marks the
    shop's own rows; it is set by the loader.
    """

    id: str
    reading: str
    side: str
    value: float
    softness: float
    sources: tuple[str, ...] = ()
    judgement: str = ""
    when: Mapping[str, str] = field(default_factory=dict)
    note: str = ""
    own: bool = False


@dataclass(frozen=True, slots=True)
class DefectLookAlike:
    defect: str
    tell_apart: str
    sources: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Names:
    """What people call it: in British and American shops, and in any."""

    uk: tuple[str, ...] = ()
    us: tuple[str, ...] = ()
    shop: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class HowOften:
    """Ids by how often they are seen with a defect; what is not listed is seen as often as on any bad casting."""

    always: tuple[str, ...] = ()
    usually: tuple[str, ...] = ()
    sometimes: tuple[str, ...] = ()
    rarely: tuple[str, ...] = ()
    never: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Defect:
    """One defect. `family` is the letter A–G of the international seven-family classification."""

    id: str
    name: str
    status: str
    family: str
    looks: str
    where: str
    found: tuple[str, ...]
    make_sure: tuple[str, ...]
    sources: tuple[str, ...]
    usual: float
    cautions: tuple[str, ...] = ()
    replaced_by: str = ""
    names: Names = field(default_factory=Names)
    signs: HowOften = field(default_factory=HowOften)
    places: HowOften = field(default_factory=HowOften)
    look_alikes: tuple[DefectLookAlike, ...] = ()


@dataclass(frozen=True, slots=True)
class Told:
    """How people tell of one defect: short reports in their own words. `id` is the defect's."""

    id: str
    told: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ReadingRule:
    """The quantity on record that shows a cause, and on which side of its limit.

    `hand_test`: what a squeezed handful does where the cause is there, for batches of which the quantity is not on
    record.
    """

    quantity: str
    side: str
    hand_test: str = ""


@dataclass(frozen=True, slots=True)
class Explains:
    """A defect that the cause brings about, and who says so.

    `sources`: those whose statement was read. `recalled`: those whose statement was recalled, so that the attribution
    is approximate. `judgement`: the reason where no source says it. `weights` turns the three into a number.
    """

    defect: str
    sources: tuple[str, ...] = ()
    recalled: tuple[str, ...] = ()
    judgement: str = ""


@dataclass(frozen=True, slots=True)
class Favours:
    """Looks and places that speak for (or against) a cause, each "strong" or "mild"."""

    signs: Mapping[str, str] = field(default_factory=dict)
    places: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class CauseLookAlike:
    cause: str
    tell_apart: str


@dataclass(frozen=True, slots=True)
class LookNext:
    """The cheapest check that would tell this cause from its look-alikes, and how long it takes."""

    check: str
    takes: str
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class RemedyAdvice:
    """One thing to do, cheapest first. `may_break`: defects that it can bring in their place."""

    do: str
    cost: str
    may_break: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Cause:
    """One cause. `acts_at` is the unit that it switches on or off; `usual_share` how many such units it is on in."""

    id: str
    name: str
    area: str
    acts_at: str
    status: str
    summary: str
    mechanism: str
    usual_share: float
    sources: tuple[str, ...]
    cautions: tuple[str, ...] = ()
    replaced_by: str = ""
    reading: ReadingRule | None = None
    explains: tuple[Explains, ...] = ()
    favoured_by: Favours = field(default_factory=Favours)
    opposed_by: Favours = field(default_factory=Favours)
    look_alikes: tuple[CauseLookAlike, ...] = ()
    look_next: LookNext | None = None
    remedies: tuple[RemedyAdvice, ...] = ()


@dataclass(frozen=True, slots=True)
class Alloy:
    """A casting alloy; temperatures in °C, shrinkage in per cent by volume, contraction in per cent of length."""

    id: str
    name: str
    also: tuple[str, ...]
    liquidus_c: float
    solidus_c: float
    pour_low_c: float
    pour_high_c: float
    sources: tuple[str, ...]
    shrinkage_pct: float | None = None
    contraction_pct: float | None = None
    note: str = ""


@dataclass(frozen=True, slots=True)
class Refusal:
    """A dangerous "fix" that people ask for: the words that give it away, the refusal and the reason."""

    id: str
    says: tuple[str, ...]
    answer: str
    sources: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class RuleBase:
    """Everything the trade knows, by id, after the shop's own folder was laid over ours."""

    defects: Mapping[str, Defect]
    causes: Mapping[str, Cause]
    signs: Mapping[str, Sign]
    places: Mapping[str, Place]
    limits: tuple[Limit, ...]
    alloys: Mapping[str, Alloy]
    cautions: Mapping[str, Caution]
    sources: Mapping[str, Source]
    refusals: Mapping[str, Refusal] = field(default_factory=dict)
    told: Mapping[str, Told] = field(default_factory=dict)
    shop_folder: str = ""
