"""How much published voice stands behind a cause of a defect: the weight of an `Explains`, computed and never typed.

A weight counts sources, not sentences: a book that names the pair in five places is still one book. A source whose
statement was recalled instead of read counts half, and so does a link that rests on a reasoned judgement alone.
It is a prior weight ("how often is this named"), not a probability.
"""

from collections.abc import Collection, Mapping

from defectlog.rulebase.shapes import Cause, Explains

READ = 1.0
RECALLED = 0.5
JUDGED = 0.5


def weight(explains: Explains, sources: Collection[str]) -> float:
    """The weight of one pair of defect and cause, 0.0 or more, in sources.

    `sources` holds the ids that the rule base knows (its mapping of sources will do): one that it does not know
    vouches for nothing. A source both read and recalled counts as read. A judgement counts only where no source does.
    """
    read = set(explains.sources) & set(sources)
    recalled = (set(explains.recalled) & set(sources)) - read
    total = READ * len(read) + RECALLED * len(recalled)
    if total == 0.0 and explains.judgement:
        return JUDGED
    return total


def weights_by_defect(causes: Mapping[str, Cause], sources: Collection[str]) -> dict[str, dict[str, float]]:
    """{defect id: {cause id: weight}} over the causes in force, the heaviest first and then by id.

    A pair of weight 0 (no known source, no judgement) is left out.
    """
    found: dict[str, dict[str, float]] = {}
    for cause in causes.values():
        if cause.status != "in force":
            continue
        for explains in cause.explains:
            found.setdefault(explains.defect, {})[cause.id] = weight(explains, sources)
    return {defect: heaviest_first(weights) for defect, weights in sorted(found.items())}


def heaviest_first(weights: Mapping[str, float]) -> dict[str, float]:
    ordered = sorted(weights.items(), key=lambda pair: (-pair[1], pair[0]))
    return {cause: value for cause, value in ordered if value > 0.0}
