"""Did the remedy work? Moulds before against moulds since, by exact odds, with four answers and nothing in between.

A mould is one trial: its castings fail together. The number to check is set when the remedy is recorded; until it has
been poured the answer is "too soon", because looking every day until the odds look good finds a success in any series.
A change for the worse is said at once.
"""

import math
from dataclasses import dataclass
from typing import Literal

from defectlog.records.ledgers import Tally
from defectlog.review.exact import fisher_exact
from defectlog.review.intervals import Interval, difference_interval

Answer = Literal["worked", "made worse", "no effect seen", "too soon"]
LEVEL = 0.05
# The search for a number of clean moulds stops here: beyond it nobody would wait.
MOST_MOULDS = 10_000


@dataclass(frozen=True, slots=True)
class Outcome:
    """`odds_of_luck`: the chance of so few bad moulds (or so many, when worse) had the remedy done nothing.

    `needed` is clean moulds in all since the change that would settle it; `still_needed` what of them, or of the
    castings set beforehand, is to come yet (moulds; 0 when none). `difference` is the share of bad moulds before less
    that since, with its 95 % interval. None where there is nothing to reckon with.
    """

    answer: Answer
    why: str
    before: Tally
    after: Tally
    odds_of_luck: float | None
    needed: int | None
    still_needed: int | None
    difference: float | None
    interval: Interval | None


def clean_run_needed(rate: float, level: float = LEVEL) -> int:
    """Good ones in a row that would surprise an unchanged process: ceil(log level / log(1 − rate)).

    50 % → 5, 20 % → 14, 10 % → 29, 5 % → 59, 2 % → 149. Raises ValueError for a rate outside 0 to 1.
    """
    if not 0 < rate < 1:
        raise ValueError("a clean run is reckoned from a rate above 0 and below 100 %")
    return math.ceil(math.log(level) / math.log1p(-rate))


def clean_moulds_needed(before: Tally, level: float = LEVEL) -> int | None:
    """Clean moulds after the change that would settle it, the rate before being known only from `before`.

    At least `clean_run_needed` of the rate before, and more where few moulds stand before. None when none was bad.
    """
    if not 0 < before.bad_moulds <= before.moulds:
        return None
    rate = before.bad_moulds / before.moulds
    low = clean_run_needed(rate, level) if rate < 1 else 1
    high = low
    while chance_of_clean(before, high) > level:
        low, high = high + 1, high * 2
        if low > MOST_MOULDS:
            return None
    while low < high:
        middle = (low + high) // 2
        low, high = (middle + 1, high) if chance_of_clean(before, middle) > level else (low, middle)
    return high


def chance_of_clean(before: Tally, moulds: int) -> float:
    """Chance that all the bad moulds fall before the change by luck alone."""
    return fisher_exact(0, moulds, before.bad_moulds, before.moulds).fewer


def did_it_work(before: Tally, after: Tally, check_castings: int | None = None, level: float = LEVEL) -> Outcome:
    """`check_castings` is the number set beforehand. Raises ValueError when more are bad than there are."""
    needed = clean_moulds_needed(before, level)
    if before.moulds == 0 or after.moulds == 0:
        return outcome("too soon", "no moulds on one side of the change", before, after, None, needed, check_castings)
    odds = fisher_exact(after.bad_moulds, after.moulds, before.bad_moulds, before.moulds)
    if odds.more <= level:
        return outcome(
            "made worse", "more bad moulds than luck allows", before, after, odds.more, needed, check_castings
        )
    if before.bad_moulds == 0:
        return outcome("too soon", "no bad mould on record before it", before, after, None, None, check_castings)
    if check_castings is not None and after.castings < check_castings:
        why = "the number set beforehand is not yet poured"
        return outcome("too soon", why, before, after, odds.fewer, needed, check_castings)
    if odds.fewer <= level:
        return outcome("worked", "fewer bad moulds than luck allows", before, after, odds.fewer, needed, check_castings)
    if needed is None or after.moulds < needed:
        return outcome("too soon", "too few moulds to tell", before, after, odds.fewer, needed, check_castings)
    why = "luck alone does as well as this too often"
    return outcome("no effect seen", why, before, after, odds.fewer, needed, check_castings)


def outcome(
    answer: Answer,
    why: str,
    before: Tally,
    after: Tally,
    odds: float | None,
    needed: int | None,
    check_castings: int | None,
) -> Outcome:
    compared = before.moulds > 0 and after.moulds > 0
    share = before.bad_moulds / before.moulds - after.bad_moulds / after.moulds if compared else None
    interval = (
        difference_interval(before.bad_moulds, before.moulds, after.bad_moulds, after.moulds) if compared else None
    )
    still = moulds_to_come(before, after, needed, check_castings) if answer == "too soon" else 0
    return Outcome(answer, why, before, after, odds, needed, still, share, interval)


def moulds_to_come(before: Tally, after: Tally, needed: int | None, check_castings: int | None) -> int | None:
    """The longer of what the odds ask for and what was set beforehand, in moulds; None when neither is known."""
    waits = [] if needed is None else [needed - after.moulds]
    moulds, castings = before.moulds + after.moulds, before.castings + after.castings
    if check_castings is not None and castings:
        waits.append(math.ceil((check_castings - after.castings) * moulds / castings))
    return max(0, *waits) if waits else None
