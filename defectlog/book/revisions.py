"""Which revision of a pattern was in force: worked out from the cards, the same way for every mould. Pure."""

from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Card:
    """One row of the pattern table: `revision` filled in, `in_force_from` an ISO day or None (since ever)."""

    row: int
    revision: str
    in_force_from: str | None
    impressions: int


def card_for(cards: Sequence[Card], revision: str | None, day: str | None) -> Card | None:
    """The card a mould was made to: the one it names, or the one in force on `day`.

    In force is the card with the latest first day not after `day` (of several, the last by its name); before the
    first one begins, that first one; with no day on record, the latest. None when the named revision is not there.
    """
    if revision is not None:
        return next((card for card in cards if card.revision == revision), None)
    begun = [card for card in cards if day is None or (card.in_force_from or "") <= day[:10]]
    if begun:
        return max(begun, key=begins)
    return min(cards, key=begins, default=None)


def begins(card: Card) -> tuple[str, str]:
    return card.in_force_from or "", card.revision
