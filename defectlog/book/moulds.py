"""What the book works out for a mould when it is written: its card, its castings, its day, and whether it counts.

What was typed stays as typed; these four follow it, and follow the pattern cards when those are amended, so that
a book read back from its own sheets counts the same.
"""

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from defectlog.book.open import Book
from defectlog.book.revisions import Card, card_for
from defectlog.errors import BadInput, Problem
from defectlog.records.fields import fields_of, names_of
from defectlog.records.kinds import Mould

PLACE = {name: place for place, name in enumerate(names_of(fields_of(Mould)))}
PATTERN, REVISION, MADE_AT, POURED_AT = (PLACE[name] for name in ("pattern", "revision", "made_at", "poured_at"))
CASTINGS, HEAT, OUTCOME, TRIAL = (PLACE[name] for name in ("castings", "heat", "outcome", "trial"))
# The columns that the worked-out ones depend on, in the order of `Typed`.
TYPED = ("pattern", "revision", "made_at", "poured_at", "castings", "heat_id", "outcome", "trial")
EXTRAS = ("pattern_id", "castings_in_it", "cast_at", "counted")


class Cards:
    """The pattern cards, read once an act."""

    def __init__(self, book: Book) -> None:
        self.book = book
        self.known: dict[str, list[Card]] = {}
        self.chosen: dict[tuple[str, str | None, str | None], Card] = {}

    def of(self, pattern: str) -> list[Card]:
        if pattern not in self.known:
            sql = (
                "SELECT id, coalesce(revision, 'A'), in_force_from, impressions FROM pattern"
                " WHERE pattern = ? AND withdrawn_by IS NULL"
            )
            self.known[pattern] = [Card(*row) for row in self.book.rows(sql, (pattern,))]
        return self.known[pattern]

    def card(self, pattern: str, revision: str | None, day: str | None) -> Card:
        """The card of a mould made on `day`, an ISO day. Raises BadInput when there is no such revision."""
        wanted = pattern, revision, day
        if wanted not in self.chosen:
            self.chosen[wanted] = self.choose(pattern, revision, day)
        return self.chosen[wanted]

    def choose(self, pattern: str, revision: str | None, day: str | None) -> Card:
        cards = self.of(pattern)
        card = card_for(cards, revision, day)
        if card is None:
            has = ", ".join(card.revision for card in cards) or "none"
            found = f"there is no revision {revision or 'A'!r} of pattern {pattern}"
            step = f"to see them: defectlog pattern show {pattern}"
            raise BadInput(Problem("revision-unknown", f"pattern {pattern}", found, f"on record: {has}", step))
        return card

    def extras_of(self, row: int, cells: Mapping[str, Any]) -> dict[str, Any]:
        """The worked-out columns of a stored mould once `cells` are changed in it."""
        names = (*TYPED, "withdrawn_by")
        before = self.book.row(f"SELECT {', '.join(names)} FROM mould WHERE id = ?", (row,)) or ()
        after = {**dict(zip(names, before, strict=True)), **cells}
        extras = dict(zip(EXTRAS, worked_out(self, *(after[name] for name in TYPED)), strict=True))
        if after["withdrawn_by"] is not None:
            extras["counted"] = 0
        return extras

    def follow(self, patterns: Iterable[str]) -> None:
        """After cards were added, amended or withdrawn: the moulds that left their revision or castings to them."""
        self.chosen.clear()
        for pattern in patterns:
            self.known.pop(pattern, None)
            cards = self.of(pattern)
            if not cards:
                continue
            sql = (
                f"SELECT id, pattern_id, castings_in_it, {', '.join(TYPED)} FROM mould"
                " WHERE pattern = ? AND withdrawn_by IS NULL AND (revision IS NULL OR castings IS NULL)"
            )
            moved = []
            for row, card, castings, *typed in self.book.rows(sql, (pattern,)):
                now = worked_out(self, *typed)[:2]
                if now != (card, castings):
                    moved.append((*now, row))
            self.book.connection.executemany("UPDATE mould SET pattern_id = ?, castings_in_it = ? WHERE id = ?", moved)


def mould_extras(cards: Cards, values: Sequence[Any]) -> tuple[int, int, str | None, int]:
    """The worked-out columns of a new mould, from its stored values in the order of the fields."""
    return worked_out(
        cards,
        values[PATTERN],
        values[REVISION],
        values[MADE_AT],
        values[POURED_AT],
        values[CASTINGS],
        values[HEAT],
        values[OUTCOME],
        values[TRIAL],
    )


def worked_out(
    cards: Cards,
    pattern: str,
    revision: str | None,
    made_at: str | None,
    poured_at: str | None,
    castings: int | None,
    heat: int | None,
    outcome: str | None,
    trial: int | None,
) -> tuple[int, int, str | None, int]:
    """pattern_id, castings_in_it, cast_at, counted (poured, and no trial)."""
    moment = made_at or poured_at
    card = cards.card(pattern, revision, moment[:10] if moment else None)
    poured = outcome == "poured" or (outcome is None and (poured_at is not None or heat is not None))
    in_it = card.impressions if castings is None else castings
    return card.row, in_it, poured_at or made_at, int(poured and not trial)
