"""An invented shop of two patterns and some moulds, poured on the days just past, for tests of what people type."""

from datetime import date, datetime, time, timedelta
from pathlib import Path

from defectlog.book.acts import writing
from defectlog.book.open import open_book
from defectlog.book.records import find
from defectlog.records.kinds import Finding, Heat, Mould, Pattern

TODAY = date.today()


def days_ago(days: int, hour: int = 10) -> datetime:
    return datetime.combine(TODAY - timedelta(days=days), time(hour))


def fill(path: Path) -> None:
    """P-104 with four impressions, M-225 … M-244 poured over five days; P-7 with one; and odd moulds.

    M-300 has nothing on record but its pattern, M-301 was lost, M-302 is poured in three days, M-303 was made today.
    """
    with open_book(path) as book, writing(book, "fill") as act:
        act.add(Pattern(pattern="P-104", name="bracket", impressions=4))
        act.add(Pattern(pattern="P-7", name="pulley", impressions=1))
        for day in range(5):
            act.add(Heat(heat=f"H-{day}", melted_at=days_ago(6 - day, 8)))
            for place in range(4):
                mould = f"M-{225 + 4 * day + place}"
                act.add(Mould(mould=mould, pattern="P-104", heat=f"H-{day}", poured_at=days_ago(6 - day)))
        act.add(Mould(mould="M-300", pattern="P-7"))
        act.add(Mould(mould="M-301", pattern="P-7", outcome="lost before pouring"))
        act.add(Mould(mould="M-302", pattern="P-7", poured_at=days_ago(-3)))
        act.add(Mould(mould="M-303", pattern="P-7", made_at=days_ago(0, 0)))


def findings(path: Path, mould: str | None = None) -> list[Finding]:
    with open_book(path, read_only=True) as book:
        found = find(book, Finding) if mould is None else find(book, Finding, mould=mould)
    return [stored.record for stored in found]


def mould_of(path: Path, name: str) -> Mould:
    with open_book(path, read_only=True) as book:
        record: Mould = find(book, Mould, mould=name)[0].record
    return record


def acts_written(path: Path) -> int:
    with open_book(path, read_only=True) as book:
        return int(book.value("SELECT count(*) FROM act"))
