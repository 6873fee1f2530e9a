"""Which limit holds for a reading: the shop's own before ours, the one that fits most closely first."""

from collections.abc import Iterable, Mapping

from defectlog.rulebase.shapes import Limit


def limit_for(limits: Iterable[Limit], reading: str, side: str, circumstances: Mapping[str, str]) -> Limit | None:
    """The limit of `reading` on `side`, or None when nobody has set one.

    `circumstances` are what is known of the case ({"alloy": "356", "sand_base": "synthetic"}); a row whose `when`
    asks for something else, or for something unknown, does not hold. Among rows that hold the shop's own come
    first, then those that ask for most.
    """
    holding = [
        limit for limit in limits if limit.reading == reading and limit.side == side and fits(limit.when, circumstances)
    ]
    return max(holding, key=lambda limit: (limit.own, len(limit.when)), default=None)


def fits(when: Mapping[str, str], circumstances: Mapping[str, str]) -> bool:
    return all(circumstances.get(key, "").lower() == wanted.lower() for key, wanted in when.items())
