"""The one question to ask next: the sign whose answer is expected to settle most."""

import math
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

from defectlog.diagnosis.posterior import DefectModel, model_of, share_with
from defectlog.diagnosis.signs_in_text import SignSeen
from defectlog.rulebase.shapes import RuleBase, Sign

# A second question about one and the same thing (the wall of the hole again) must promise this much more.
SAME_GROUP = 0.6
# Below this an answer is not worth the walk back to the casting.
LEAST_GAIN_BITS = 0.02


@dataclass(frozen=True, slots=True)
class Question:
    """A sign to look for, the question as asked, and the expected fall in uncertainty in bits."""

    sign: str
    question: str
    gain_bits: float


def next_question(
    posterior: Mapping[str, float], seen: Sequence[SignSeen], rules: RuleBase, asked: Collection[str] = ()
) -> Question | None:
    """The best sign to ask for, or None where no answer would tell much.

    Not asked again: what was seen or answered (`asked`), and what a sign that is there rules out.
    """
    model = model_of(rules)
    shares = [posterior[defect.id] for defect in model.defects]
    settled = {item.sign for item in seen} | set(asked)
    groups = {rules.signs[item].group for item in settled if item in rules.signs}
    there = [rules.signs[item.sign] for item in seen if item.present and item.sign in rules.signs]
    ruled_out = {other for sign in there for other in sign.excludes}
    best: tuple[float, float, Sign] | None = None
    for sign in rules.signs.values():
        if sign.id in settled or sign.id in ruled_out or sign.id not in model.listed:
            continue
        gain = expected_gain(sign, shares, model)
        worth = gain * (SAME_GROUP if sign.group in groups else 1.0)
        if best is None or worth > best[0]:
            best = (worth, gain, sign)
    if best is None or best[0] < LEAST_GAIN_BITS:
        return None
    return Question(best[2].id, best[2].question, round(best[1], 3))


def expected_gain(sign: Sign, shares: Sequence[float], model: DefectModel) -> float:
    """Expected fall in entropy (bits) of the shares if the sign is looked for: the mutual information of the two."""
    with_sign = [sign.usual] * len(shares)
    for number, word in model.listed[sign.id]:
        with_sign[number] = share_with(sign, word)
    yes = sum(share * chance for share, chance in zip(shares, with_sign, strict=True))
    noise = sum(share * binary_entropy(chance) for share, chance in zip(shares, with_sign, strict=True))
    return max(0.0, binary_entropy(yes) - noise)


def binary_entropy(chance: float) -> float:
    """Entropy in bits of a yes that comes with this chance."""
    if chance <= 0 or chance >= 1:
        return 0.0
    return -chance * math.log2(chance) - (1 - chance) * math.log2(1 - chance)


def entropy(shares: Sequence[float]) -> float:
    """Entropy in bits of shares that sum to 1."""
    return -sum(share * math.log2(share) for share in shares if share > 0)
