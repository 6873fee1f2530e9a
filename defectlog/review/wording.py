"""The review in words: a count beside every share, moulds beside castings, and what the figures cannot tell."""

from dataclasses import dataclass

from defectlog.review.intervals import Interval


@dataclass(frozen=True, slots=True)
class Facts:
    """What the notes of a review are made from; counts, but for `false_alarms` and `marked`."""

    by: str
    judged: int
    too_few: int
    false_alarms: float
    without_past: int
    no_weight: int
    not_costed: int
    trials: int
    lost: int
    undated: int
    found_from_earlier: int
    found_after: int
    day_unknown: int
    undecided: int
    out_of_balance: int
    marked: tuple[str, ...]


def many(number: int, one: str, several: str = "") -> str:
    """ "1 mould", "3 moulds"; `several` for words that do not just take an s."""
    return f"{number} {one if number == 1 else several or one + 's'}"


def share_text(share: float) -> str:
    """A rate of 0 to 1 in per cent, to what its size deserves: "3.2 %", "0.04 %", "41 %"."""
    percent = share * 100
    digits = 0 if percent >= 10 or percent == 0 else 1 if percent >= 1 else 2
    return f"{percent:.{digits}f} %"


def rate_text(scrapped: int, castings: int, interval: Interval | None) -> str:
    """ "52 of 1648 castings scrapped (3.2 %, 95 % interval 2.4 % to 4.1 %)"."""
    if castings == 0:
        return f"{many(scrapped, 'casting')} scrapped, none poured"
    shown = share_text(scrapped / castings)
    if interval is not None:
        shown += f", 95 % interval {share_text(interval.low)} to {share_text(interval.high)}"
    return f"{scrapped} of {many(castings, 'casting')} scrapped ({shown})"


def odds_text(chance: float) -> str:
    """ "about 1 in 60 by luck"."""
    if chance >= 0.5:
        return "more likely than not by luck"
    if chance < 1e-6:
        return "less than 1 in a million by luck"
    turns = 1 / chance
    return f"about 1 in {turns:.0f} by luck" if turns < 100 else f"about 1 in {float(f'{turns:.1g}'):.0f} by luck"


SIGNAL_TEXT = {
    "none": "nothing stands out from its own past",
    "above": "more scrap than its own past explains",
    "below": "less scrap than its own past explains",
    "too few": "too few to tell",
}
ANSWER_TEXT = {
    "worked": "it worked",
    "made worse": "it made things worse",
    "no effect seen": "no effect seen",
    "too soon": "too soon to tell",
}


def answer_text(answer: str, still_needed: int | None) -> str:
    if answer == "too soon" and still_needed:
        return f"{ANSWER_TEXT[answer]}: {many(still_needed, 'more mould')} to pour first"
    return ANSWER_TEXT[answer]


def notes(facts: Facts) -> tuple[str, ...]:
    """What a reader must know beside the figures, one sentence each; nothing to say gives nothing."""
    return tuple(line for line in (*judging_notes(facts), *counting_notes(facts), *timing_notes(facts)) if line)


def judging_notes(facts: Facts) -> list[str]:
    lines = []
    if facts.by == "found":
        lines.append("By month found there is no rate to judge: patterns are judged by month cast.")
    elif facts.judged:
        patterns = many(facts.judged, "pattern was", "patterns were")
        lines.append(
            f"{patterns} judged. Luck alone marks an unchanged one about once in 100 months: expect "
            f"{facts.false_alarms:.2g} false marks in a month like this, or one in {1 / facts.false_alarms:.0f} months."
        )
    if facts.too_few:
        patterns = many(facts.too_few, "pattern has", "patterns have")
        lines.append(
            f"{patterns} too few moulds, or too short a past, to tell: even three times the usual rate would not show."
        )
    if facts.without_past:
        patterns = many(facts.without_past, "pattern has", "patterns have")
        lines.append(f"{patterns} no past yet and no part in the expected scrap.")
    if facts.marked:
        lines.append(f"Held against their record since a marked change: {', '.join(facts.marked)}.")
    return lines


def counting_notes(facts: Facts) -> list[str]:
    lines = []
    if facts.out_of_balance:
        moulds = many(facts.out_of_balance, "mould has", "moulds have")
        lines.append(f"{moulds} more castings charged than poured: counted as written; put them right first.")
    if facts.undecided:
        lines.append(f"{many(facts.undecided, 'casting is', 'castings are')} undecided and not in the scrap.")
    if facts.no_weight:
        castings = many(facts.no_weight, "scrapped casting has", "scrapped castings have")
        lines.append(f"{castings} no weight on the pattern card and no part in the weight.")
    if facts.not_costed:
        castings = many(facts.not_costed, "scrapped casting has", "scrapped castings have")
        lines.append(f"{castings} no part in the cost: a weight is missing.")
    if facts.trials or facts.lost:
        kept_out = [many(facts.trials, "trial mould")] if facts.trials else []
        kept_out += [f"{many(facts.lost, 'mould')} lost before pouring"] if facts.lost else []
        lines.append(f"Kept out of the rates: {' and '.join(kept_out)}.")
    return lines


def timing_notes(facts: Facts) -> list[str]:
    lines = []
    if facts.found_from_earlier:
        castings = many(facts.found_from_earlier, "scrapped casting", "scrapped castings")
        lines.append(f"{castings} found in this month came from moulds poured before it.")
    if facts.found_after:
        castings = many(facts.found_after, "scrapped casting", "scrapped castings")
        lines.append(f"{castings} poured in this month came to light after it; more may follow.")
    if facts.day_unknown:
        castings = many(facts.day_unknown, "casting has", "castings have")
        lines.append(f"{castings} no day of finding on record: the day of writing or of casting stands in.")
    if facts.undated:
        lines.append(f"{many(facts.undated, 'poured mould')} of the book can stand in no month: no day is on record.")
    return lines
