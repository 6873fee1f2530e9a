"""A pattern's history made by hand, for tests: a line a mould."""

from collections.abc import Iterable
from datetime import date, datetime, timedelta

from defectlog.records.histories import PatternHistory, Seen
from defectlog.records.kinds import Heat, Mould, Pattern, Sand

START = datetime(2026, 3, 2, 10, 0)


def history_of(
    moulds: Iterable[Mould],
    findings: Iterable[Seen] = (),
    *,
    sands: Iterable[Sand] = (),
    heats: Iterable[Heat] = (),
    impressions: int = 4,
) -> PatternHistory:
    return PatternHistory(
        pattern="P-1",
        since=date(2026, 1, 1),
        until=date(2026, 12, 31),
        revisions=(Pattern(pattern="P-1", revision="A", impressions=impressions),),
        moulds=tuple(moulds),
        sands={sand.sand: sand for sand in sands},
        heats={heat.heat: heat for heat in heats},
        findings=tuple(findings),
    )


def mould(number: int, *, day: int = 0, castings: int = 4, **fields: object) -> Mould:
    values = {"revision": "A", "poured_at": START + timedelta(days=day), "castings": castings, **fields}
    return Mould(mould=f"M{number}", pattern="P-1", **values)  # type: ignore[arg-type] # fields as a test wants them


def seen(number: int, *, castings: int = 1, defect: str = "gas-holes", **fields: object) -> Seen:
    return Seen(finding=number, mould=f"M{number}", castings=castings, defect=defect, **fields)  # type: ignore[arg-type] # as above
