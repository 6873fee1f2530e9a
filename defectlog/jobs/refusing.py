"""Dangerous "fixes" in what somebody typed, each with the rule base's answer.

Strict: every word of a phrase must stand there, in its order and together; only articles may stand between. "Charge
wet ingot" is found in "can I charge some wet ingots", and not in "charge certified ingot". What is warned of wrongly
now and then ("never pour a wet mould") does no harm.
"""

import re
from collections.abc import Sequence
from functools import lru_cache

from defectlog.diagnosis.words import stem
from defectlog.rulebase.shapes import Refusal, RuleBase

WORD = re.compile(r"[^\W_]+(?:['’][^\W_]+)*")
BETWEEN = frozenset(["a", "an", "the", "some", "any", "my", "our", "your", "their", "this", "that", "these", "those"])
LONGEST_READ = 4000


def refusals_in(text: str, rules: RuleBase) -> tuple[Refusal, ...]:
    """The refusals whose words stand in `text`, in the order of the rule base."""
    said = plain_words(text[:LONGEST_READ])
    return tuple(
        refusal
        for refusal in rules.refusals.values()
        if any(stands_in(plain_words(phrase), said) for phrase in refusal.says)
    )


@lru_cache(maxsize=4096)
def plain_words(text: str) -> tuple[str, ...]:
    """The words without articles, each without its ending: "moulds" and "molds" are one."""
    return tuple(stem(word) for word in WORD.findall(text.lower()) if word not in BETWEEN)


def stands_in(phrase: Sequence[str], said: Sequence[str]) -> bool:
    size = len(phrase)
    return size > 0 and any(said[start : start + size] == phrase for start in range(len(said) - size + 1))
