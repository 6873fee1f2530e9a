"""Which pattern card is meant: the one named, the one in force, the one a mould was made to."""

from defectlog.book.open import Book
from defectlog.book.records import find
from defectlog.book.revisions import Card, card_for
from defectlog.errors import NotFound, Problem
from defectlog.records.cells import moment_text
from defectlog.records.kinds import Mould, Pattern


def cards_of(book: Book, pattern: str) -> list[Pattern]:
    """Every card of a pattern, in the order in which they were written."""
    return [stored.record for stored in find(book, Pattern, pattern=pattern)]


def in_force(cards: list[Pattern], day: str | None) -> Pattern | None:
    """The card in force on an ISO day; None when there is none."""
    short = [
        Card(
            row, card.revision or "A", card.in_force_from.isoformat() if card.in_force_from else None, card.impressions
        )
        for row, card in enumerate(cards)
    ]
    found = card_for(short, None, day)
    return cards[found.row] if found else None


def named_card(cards: list[Pattern], pattern: str, revision: str) -> Pattern:
    for card in cards:
        if (card.revision or "A").casefold() == revision.casefold():
            return card
    has = ", ".join(card.revision or "A" for card in cards)
    raise NotFound(
        Problem("revision-unknown", f"pattern {pattern}", f"there is no revision {revision!r}", f"on record: {has}")
    )


def card_of(book: Book, mould: Mould) -> Pattern | None:
    """The pattern card a mould was made to."""
    cards = cards_of(book, mould.pattern)
    if mould.revision is not None:
        return next((card for card in cards if (card.revision or "A") == mould.revision), None)
    day = mould.made_at or mould.poured_at
    return in_force(cards, moment_text(day) if day else None)
