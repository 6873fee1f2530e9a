"""So many castings of a mould, what becomes of them and at which impression: what can be, and what cannot."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from defectlog.errors import BadInput, Problem
from defectlog.jobs.bench import Bench
from defectlog.records.kinds import DISPOSITIONS

FLAGS = {"scrap": "--scrap", "rework": "--rework", "use as is": "--use-as-is", "undecided": "--undecided"}


@dataclass(frozen=True, slots=True)
class Share:
    """Castings of one mould that are told of together; `disposition` None only for a second defect on a casting."""

    castings: int
    disposition: str | None
    impression: int | None = None


def shares_of(counts: Mapping[str, int], impressions: Sequence[int], *, secondary: bool) -> tuple[Share, ...]:
    """With impressions named, one casting each. With no count said, one casting, undecided.

    Raises BadInput when the impressions and the counts do not go together.
    """
    told = {name: counts[name] for name in DISPOSITIONS if counts.get(name)}
    unsaid = None if secondary else "undecided"
    if not impressions:
        return tuple(Share(number, name) for name, number in told.items()) or (Share(1, unsaid),)
    raise_twice(impressions)
    number = sum(told.values())
    if told and number != len(impressions):
        found = f"{number} castings are told of, and {len(impressions)} impressions"
        allowed = "an impression makes one casting a mould: name one impression for each casting, or none"
        raise BadInput(Problem("impressions-unclear", "--impression", found, allowed))
    if len(told) > 1:
        found = "the castings go different ways, and it is not clear which impression goes which"
        flags = " and ".join(FLAGS[name] for name in told)
        raise BadInput(Problem("impressions-unclear", "--impression", found, f"allowed: one command each for {flags}"))
    disposition = next(iter(told), unsaid)
    return tuple(Share(1, disposition, impression) for impression in impressions)


def raise_twice(impressions: Sequence[int]) -> None:
    twice = sorted({number for number in impressions if impressions.count(number) > 1})
    if twice:
        found = f"impression {twice[0]} is named twice"
        raise BadInput(Problem("impressions-unclear", "--impression", found, "allowed: each impression once"))


def cannot_be_charged(bench: Bench, shares: Sequence[Share], where: str, *, secondary: bool) -> list[Problem]:
    """More bad castings than the mould holds, an impression that the plate has not, a casting charged twice."""
    problems = [impression_unknown(bench, share, where) for share in shares if beyond_plate(bench, share)]
    number = sum(share.castings for share in shares)
    if secondary:
        if number > bench.castings:
            problems.append(too_many(bench, number, where))
        elif not all(is_beside(bench, share) for share in shares):
            problems.append(nothing_beside(bench, where))
        return problems
    charged = [problem for share in shares for problem in charged_twice(bench, share, where)]
    if charged:
        return problems + charged
    if number + bench.bad > bench.castings:
        problems.append(too_many(bench, number, where))
    return problems


def beyond_plate(bench: Bench, share: Share) -> bool:
    return share.impression is not None and share.impression > bench.impressions


def impression_unknown(bench: Bench, share: Share, where: str) -> Problem:
    card = f"{bench.mould.pattern} {bench.revision}"
    found = f"there is no impression {share.impression}: {card} has {bench.impressions} on the plate"
    step = f"look at: defectlog pattern show {bench.mould.pattern}"
    return Problem("impression-unknown", where, found, f"allowed: 1 to {bench.impressions}", step)


def too_many(bench: Bench, number: int, where: str) -> Problem:
    already = f", and {bench.bad} of them on record as bad already" if bench.bad else ""
    found = f"{number} bad castings are told of; {bench.name} has {bench.castings} castings{already}"
    rule = "a second defect on the same casting: add --secondary" if bench.bad else ""
    step = f"if the mould held more: defectlog mould amend {bench.name} --castings {number + bench.bad}"
    return Problem("castings-too-many", where, found, rule, step)


def charged_twice(bench: Bench, share: Share, where: str) -> list[Problem]:
    there = bench.charged_at(share.impression) if share.impression is not None else None
    if there is None:
        return []
    what = there.defect or there.seen
    found = f"impression {share.impression} of {bench.name} has a bad casting on record already ({what})"
    step = f"if that is wrong: defectlog history {bench.name}, then defectlog undo and the act's number"
    return [Problem("charged-twice", where, found, "a second defect on the same casting: add --secondary", step)]


def is_beside(bench: Bench, share: Share) -> bool:
    """Whether a primary finding stands on the mould that could be on the same casting."""
    places = {item.impression for item in bench.findings if item.primary is not False}
    return bool(places) and (share.impression is None or bool({None, share.impression} & places))


def nothing_beside(bench: Bench, where: str) -> Problem:
    found = f"no first defect is on record for that casting of {bench.name}, so this cannot be the second one"
    return Problem("never-charged", where, found, "one defect of each casting is the first", "leave out --secondary")
