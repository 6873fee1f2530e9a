"""Books of any size for the bench of scale: ten years of an invented shop, one pattern the same in all of them."""

from collections.abc import Callable, Iterator
from datetime import date, datetime, timedelta
from pathlib import Path
from random import Random

from defectlog.book.acts import Act, writing
from defectlog.book.open import Book, open_book
from defectlog.book.tables import table_of
from defectlog.records.cells import moment_text
from defectlog.records.fields import fields_of
from defectlog.records.kinds import Finding, Heat, Mould, Pattern, Sand

PATTERNS, YEARS = 200, 10
ASKED, ASKED_MOULDS = "P-1", 400  # the pattern that is asked about, all of it in the last year
LAST_DAY = date(2026, 3, 31)
DEFECTS = ("gas-holes", "misrun", "sand-inclusion", "shrinkage-cavity", "dross", "cold-shut", "sticker")
MOULDS_A_HEAT, HEATS_A_BATCH = 12, 3
BAD_ONE_IN = 16
AT_ONCE = 100_000  # rows an act


def big_book(path: Path, moulds: int, said: Callable[[int], None] = lambda _: None) -> Path:
    """A book of about `moulds` moulds, the same every time; `said` is told how many there are already."""
    with open_book(path) as book:
        # Nothing of this is worth waiting for a disc.
        book.connection.execute("PRAGMA synchronous = off")
        with writing(book, "cards") as act:
            for number in range(1, PATTERNS + 1):
                act.add(Pattern(pattern=f"P-{number}", impressions=1 + number % 6, alloy="356", casting_kg=0.5))
        for first in range(0, moulds, AT_ONCE):
            last = min(first + AT_ONCE, moulds)
            with writing(book, f"moulds {first} to {last}") as act:
                fill(act, first, last, moulds)
            said(last)
    return path


def fill(act: Act, first: int, last: int, moulds: int) -> None:
    """Moulds `first` to `last` of `moulds`, counted through ten years, with their heats, sand and findings."""
    chance = Random(first)
    minutes = YEARS * 365.25 * 1440
    begin = datetime.combine(LAST_DAY, datetime.min.time()) + timedelta(days=1) - timedelta(minutes=minutes)

    def poured(number: int) -> datetime:
        return begin + timedelta(minutes=int(number * minutes / moulds))

    heats = range(first // MOULDS_A_HEAT, -(-last // MOULDS_A_HEAT))
    batches = range(heats.start // HEATS_A_BATCH, -(-heats.stop // HEATS_A_BATCH))
    sand_rows = add(
        act,
        Sand,
        (
            {
                "sand": f"S-{first}-{batch}",
                "mixed_at": moment_text(poured(batch * HEATS_A_BATCH * MOULDS_A_HEAT)),
                "moisture_pct": round(chance.gauss(3.6, 0.5), 1),
                "compactability_pct": round(chance.gauss(42, 4), 0),
            }
            for batch in batches
        ),
    )
    heat_rows = add(
        act,
        Heat,
        (
            {
                "heat": f"H-{first}-{heat}",
                "melted_at": moment_text(poured(heat * MOULDS_A_HEAT)),
                "alloy": "356",
                "ingot_lot": f"I-{heat // 50}",
                "melt_c": round(chance.gauss(760, 15), 0),
            }
            for heat in heats
        ),
    )
    mould_rows = add(
        act,
        Mould,
        (
            {
                "mould": f"M-{number}",
                "pattern": pattern_of(number, moulds),
                "made_at": moment_text(poured(number)),
                "poured_at": moment_text(poured(number)),
                "sand": sand_rows[number // MOULDS_A_HEAT // HEATS_A_BATCH - batches.start],
                "heat": heat_rows[number // MOULDS_A_HEAT - heats.start],
                "pour_c": round(chance.gauss(720, 12), 0),
                "outcome": "poured",
            }
            for number in range(first, last)
        ),
    )
    add(
        act,
        Finding,
        (
            {
                "mould": row,
                "castings": 1,
                "impression": 1,
                "defect": chance.choice(DEFECTS),
                "disposition": "scrap",
                "found": "shakeout",
                "primary": 1,
            }
            for row in mould_rows
            if chance.randrange(BAD_ONE_IN) == 0
        ),
    )


def pattern_of(number: int, moulds: int) -> str:
    """The asked pattern has the same moulds in every book: spread over the last year, the others over all of it."""
    last_year = moulds // YEARS
    step = max(last_year // ASKED_MOULDS, 1)
    into, off = divmod(number - (moulds - last_year), step)
    if 0 <= into < ASKED_MOULDS and off == 0:
        return ASKED
    return f"P-{2 + number % (PATTERNS - 1)}"


def add(act: Act, kind: type, rows: Iterator[dict[str, object]]) -> range:
    names = [spec.name for spec in fields_of(kind)]
    return act.add_rows(table_of(kind), [[row.get(name) for name in names] for row in rows])


def a_heat_of(book: Book) -> str:
    """A heat of the last days."""
    return str(book.value("SELECT heat FROM heat ORDER BY id DESC LIMIT 1"))
