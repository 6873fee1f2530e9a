"""What a shop sees most: the short list to choose from at shakeout, in the shop's own words, this pattern's first."""

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from defectlog.book.histories import pattern_history
from defectlog.book.learned import learned
from defectlog.book.open import Book
from defectlog.book.records import find
from defectlog.jobs.naming import defect_reader
from defectlog.records.kinds import Finding
from defectlog.rulebase.plain_names import defect_name, lowered
from defectlog.rulebase.shapes import RuleBase

# Nine: each has one key.
LONGEST_LIST = 9
LOOK_BACK = timedelta(days=365)
RECENT_FINDINGS = 500
PATTERN_COUNTS = 5  # a casting of this pattern weighs as many of the shop's


@dataclass(frozen=True, slots=True)
class Choice:
    """One line of a list: what goes on record, and how the shop says it."""

    id: str
    shown: str


def commonest_defects(book: Book, rules: RuleBase, pattern: str, today: date) -> tuple[Choice, ...]:
    """This pattern's defects of the last year and the shop's latest, the commonest first, then the trade's usual."""
    shop_words = learned(book)
    read = defect_reader(rules, shop_words)
    counts = Counter[str]()
    for seen in pattern_history(book, pattern, today - LOOK_BACK, today, read).findings:
        counts[seen.defect] += PATTERN_COUNTS * seen.castings
    for stored in find(book, Finding, limit=RECENT_FINDINGS, newest_first=True):
        counts[read(stored.record.defect or "")] += stored.record.castings or 1
    del counts[""]
    in_force = (item for item in rules.defects.values() if item.status == "in force")
    usual = [item.id for item in sorted(in_force, key=lambda item: (-item.usual, item.id))]
    listed = list(dict.fromkeys([*(name for name, _ in counts.most_common()), *usual]))[:LONGEST_LIST]
    return tuple(Choice(item, shown_name(item, rules, shop_words)) for item in listed)


def shown_name(defect: str, rules: RuleBase, shop_words: Mapping[str, str]) -> str:
    """The shop's word for it where it has taught one, with the trade's name behind."""
    own = next((word for word, item in shop_words.items() if item == defect), "")
    name = defect_name(defect, rules)
    return f"{own} ({name})" if own and own != name else name


def places(rules: RuleBase) -> tuple[Choice, ...]:
    return tuple(Choice(place.id, lowered(place.name)) for place in rules.places.values())
