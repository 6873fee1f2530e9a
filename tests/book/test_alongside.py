"""The other patterns of one pattern's sand and heats, worked out by hand on a little book."""

from datetime import date, datetime

import pytest

from defectlog.book.acts import writing
from defectlog.book.alongside import BAD, MOULDS, made_alongside
from defectlog.records.histories import Alongside
from defectlog.records.kinds import Finding, Heat, Mould, Pattern, Sand

SINCE, UNTIL = date(2026, 3, 1), date(2026, 3, 31)
IDS = {"gas-holes": "gas-holes", "blows": "gas-holes", "misrun": "misrun"}


def poured(mould: str, pattern: str, day: int, sand: str | None, heat: str | None, **more: object) -> Mould:
    return Mould(mould=mould, pattern=pattern, poured_at=datetime(2026, 3, day, 11), sand=sand, heat=heat, **more)


@pytest.fixture
def shop(book):
    """P-1 out of S-1 and S-2, from H-1 and H-2. Four of P-2's six moulds share one of them, and one of P-3's two."""
    with writing(book, "start") as act:
        for number in (1, 2, 3):
            act.add(Pattern(pattern=f"P-{number}", impressions=4))
            act.add(Sand(sand=f"S-{number}", mixed_at=datetime(2026, 3, number, 6)))
            act.add(Heat(heat=f"H-{number}", melted_at=datetime(2026, 3, number, 9)))
        for mould in (
            poured("M-1", "P-1", 1, "S-1", "H-1"),
            poured("M-2", "P-1", 2, "S-2", "H-2"),
            poured("M-3", "P-1", 3, None, None),
            poured("M-4", "P-2", 1, "S-1", "H-1"),
            poured("M-5", "P-2", 1, "S-1", "H-3"),
            poured("M-6", "P-2", 2, None, "H-2"),
            poured("M-7", "P-2", 2, "S-2", None),
            poured("M-8", "P-2", 3, "S-3", "H-3"),
            poured("M-9", "P-2", 3, None, None),
            poured("M-10", "P-3", 1, "S-1", None),
            poured("M-11", "P-3", 1, "S-1", None, trial=True),
        ):
            act.add(mould)
        for mould in ("M-1", "M-4", "M-4", "M-5", "M-8"):
            act.add(Finding(mould=mould, defect="blows" if mould == "M-4" else "gas-holes"))
        act.add(Finding(mould="M-4", defect="gas-holes", primary=False))
        act.add(Finding(mould="M-10", defect="misrun"))
        act.add(Finding(mould="M-6", seen="odd lump"))
        mistaken = act.add(Finding(mould="M-7", defect="gas-holes"))
    with writing(book, "withdrawn") as act:
        act.withdraw(Finding, mistaken)
    return book


def alongside(book, pattern: str, since: date = SINCE) -> Alongside:
    return made_alongside(book, pattern, since, UNTIL, lambda written: IDS.get(written, ""))


def test_moulds_out_of_the_same_sand_or_heat_are_counted_once(shop) -> None:
    assert alongside(shop, "P-1").moulds == {"P-2": 4, "P-3": 1}


def test_a_bad_mould_is_one_however_often_its_defect_was_found_and_however_it_was_written(shop) -> None:
    found = alongside(shop, "P-1")
    assert found.of("gas-holes") == {"P-2": 2}
    assert found.of("misrun") == {"P-3": 1}
    assert found.of("dross") == {}


def test_only_the_window_of_the_patterns_own_moulds_counts(shop) -> None:
    """From the second on P-1 stands out of S-2 and from H-2 alone."""
    found = alongside(shop, "P-1", date(2026, 3, 2))
    assert found.moulds == {"P-2": 2}
    assert found.of("gas-holes") == {}


@pytest.mark.parametrize("sql", [MOULDS, BAD], ids=["moulds", "bad"])
def test_it_is_read_by_indices_however_long_the_book_is(shop, sql: str) -> None:
    """Never all moulds of the book, as by the index of what counts."""
    plan = [
        row[-1] for row in shop.rows(f"EXPLAIN QUERY PLAN {sql}", ("P-1", "2026-03-01", "2026-04-01") * 2 + ("P-1",))
    ]
    assert any("mould_by_sand (sand_id=?)" in line for line in plan)
    assert any("mould_by_heat (heat_id=?)" in line for line in plan)
    assert not any(line.startswith("SCAN mould") or "mould_by_day" in line for line in plan)


def test_a_pattern_without_company_has_none(shop) -> None:
    assert alongside(shop, "P-1", date(2026, 3, 3)) == Alongside()
