"""Small invented books for the tests of this folder: moulds, findings and causes, a line each."""

import dataclasses
from collections.abc import Iterable, Sequence
from datetime import date, datetime, timedelta
from typing import Any

import numpy as np

from defectlog.diagnosis.candidates import Candidate
from defectlog.diagnosis.evidence import Evidence, gather_evidence
from defectlog.diagnosis.hypotheses import Field
from defectlog.diagnosis.rates import grid_from_others
from defectlog.records.histories import DefectDay, PatternHistory, Seen, ShopUsual
from defectlog.records.kinds import Heat, Mould, Pattern, Sand, Verdict
from defectlog.rulebase.shapes import Cause, Explains, Favours, Limit, Place, ReadingRule, RuleBase, Sign, Source

MONDAY = date(2026, 3, 2)
TODAY = date(2026, 12, 1)
GAS = "gas-holes"
WET_LIMIT = Limit("too-wet", "moisture_pct", "above", 4.5, 0.3)
COLD_LIMIT = Limit("too-cold", "pour_c", "below", 700.0, 8.0)


def day(number: int) -> datetime:
    """The number-th pouring day, 1 first, at eleven o'clock."""
    return datetime.combine(MONDAY, datetime.min.time()) + timedelta(days=number - 1, hours=11)


def mould(name: str, on_day: int = 1, castings: int = 4, **more: Any) -> Mould:
    values: dict[str, Any] = {"pattern": "P-1", "revision": "A", "poured_at": day(on_day), "castings": castings}
    return Mould(mould=name, **(values | more))


def seen(of: str, castings: int = 1, defect: str = GAS, impression: int | None = None, **more: Any) -> Seen:
    return Seen(more.pop("finding", 1), of, castings, defect, impression=impression, **more)


def sand(name: str, **readings: Any) -> Sand:
    return Sand(sand=name, mixed_at=day(1), **readings)


def heat(name: str, **readings: Any) -> Heat:
    return Heat(heat=name, melted_at=day(1), **readings)


def card(revision: str = "A", impressions: int = 4, **more: Any) -> Pattern:
    return Pattern(pattern="P-1", revision=revision, impressions=impressions, **more)


def history(
    moulds: Sequence[Mould],
    findings: Iterable[Seen] = (),
    sands: Iterable[Sand] = (),
    heats: Iterable[Heat] = (),
    cards: Sequence[Pattern] = (card(),),
) -> PatternHistory:
    return PatternHistory(
        pattern="P-1",
        since=MONDAY,
        until=TODAY,
        revisions=tuple(cards),
        moulds=tuple(moulds),
        sands={batch.sand: batch for batch in sands},
        heats={melt.heat: melt for melt in heats},
        findings=tuple(findings),
    )


def cause(name: str, acts_at: str, reading: tuple[str, ...] | None = None, **more: Any) -> Cause:
    """A cause of gas holes that one handbook names."""
    values: dict[str, Any] = {
        "name": name.replace("-", " ").capitalize(),
        "area": "sand",
        "status": "in force",
        "summary": "",
        "mechanism": "",
        "usual_share": 0.12,
        "sources": ("book-1",),
        "explains": (Explains(GAS, ("book-1",)),),
        "reading": ReadingRule(*reading) if reading else None,
    }
    return Cause(id=name, acts_at=acts_at, **(values | more))


WET = cause("sand-too-wet", "sand", ("moisture_pct", "above"))
WET_BY_HAND = cause("sand-too-wet", "sand", ("moisture_pct", "above", "sticks"))
COLD = cause("poured-cold", "mould", ("pour_c", "below"))
DAMP_LADLE = cause("damp-ladle", "heat")
ONE_GATE = cause("one-gate-bad", "impression")
NO_FLOW_OFF = cause("no-flow-off", "pattern")


def rules(*causes: Cause, limits: tuple[Limit, ...] = (WET_LIMIT, COLD_LIMIT), **more: Any) -> RuleBase:
    """A rule base of the causes given, two limits, two sources, one sign and one place."""
    values: dict[str, Any] = {
        "defects": {},
        "signs": {"smooth": Sign("smooth", "wall", "Smooth wall", "Is it smooth?", ("smooth",), 0.2)},
        "places": {"cope": Place("cope", "Cope face", ("cope",))},
        "alloys": {},
        "cautions": {},
        "sources": {
            name: Source(name, name, "A. Writer", "handbook", "the shelf", opened=True) for name in ("book-1", "book-2")
        },
    }
    return RuleBase(causes={item.id: item for item in causes}, limits=limits, **(values | more))


def candidate(of: Cause, limit: Limit | None = None, weight: float = 1.0) -> Candidate:
    own = {"moisture_pct": WET_LIMIT, "pour_c": COLD_LIMIT}.get(of.reading.quantity) if of.reading else None
    return Candidate(of, weight, limit or own)


def favouring(signs: dict[str, str] | None = None, places: dict[str, str] | None = None) -> Favours:
    return Favours(signs or {}, places or {})


def verdict(of: str, said: str = "confirmed", on: date = TODAY, pattern: str = "P-1", defect: str = GAS) -> Verdict:
    return Verdict(pattern=pattern, defect=defect, cause=of, verdict=said, decided_on=on)


def usual(bad: int = 20, castings: int = 1000, **more: Any) -> ShopUsual:
    """A shop in which two castings of a hundred have gas holes."""
    values: dict[str, Any] = {"readings": {}, "days": {GAS: quiet_days()}}
    return ShopUsual(moulds=castings // 4, castings=castings, bad={GAS: bad}, **(values | more))


def quiet_days() -> tuple[DefectDay, ...]:
    """Another pattern, on which nothing clusters."""
    return tuple(DefectDay("P-2", (day(number)).date(), 4, 16, 1 if number % 4 == 0 else 0) for number in range(1, 41))


def asked_field(evidence: Evidence, bad: int = 10, castings: int = 600, rho: float = 0.02) -> Field:
    """Gas holes on this evidence, in a shop whose other patterns had `bad` of `castings`."""
    return Field(evidence, GAS, evidence.bad(GAS), grid_from_others(bad, castings), rho)


WET_BATCHES = ("S2", "S5", "S9")


def wet_sand_book(moulds_a_batch: int = 3, batches: int = 12) -> PatternHistory:
    """Twelve batches of sand, one a day, three moulds of four castings each. Three batches are wet, and their moulds
    have two bad castings each; nothing else is bad. Every mould was poured hot enough."""
    moulds, findings, sands = [], [], []
    for batch in range(1, batches + 1):
        name = f"S{batch}"
        wet = name in WET_BATCHES
        sands.append(sand(name, moisture_pct=5.4 if wet else 3.6))
        for number in range(1, moulds_a_batch + 1):
            of = f"M{batch}-{number}"
            moulds.append(mould(of, batch, sand=name, heat=f"H{batch}-{number % 2}", pour_c=725.0 + number))
            findings += [seen(of, impression=number), seen(of, impression=number + 1)] if wet else []
    return history(moulds, findings, sands)


def squeezed_book() -> PatternHistory:
    """The same of a shop that has no moisture test: the wet batches stick to the hand, the others hold."""
    book = wet_sand_book()
    sands = {
        name: dataclasses.replace(batch, moisture_pct=None, squeeze="sticks" if name in WET_BATCHES else "holds")
        for name, batch in book.sands.items()
    }
    return dataclasses.replace(book, sands=sands)


def evidence_of(book: PatternHistory) -> Evidence:
    return gather_evidence(book)


def array(*values: float) -> Any:
    return np.array(values, dtype=np.float64)
