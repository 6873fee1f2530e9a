"""How many questions it takes from one word to one answer.

The answers are drawn from the shares that the right defect's own file gives its signs, "unsure" where the file does
not speak of the sign: a person who looks well, and a rule base that is right about the defect. So this measures the
asking and not the knowledge; real answers will take more questions. The distribution is printed with -s.
"""

import random
from collections import Counter
from functools import cache

from defectlog.diagnosis.identify import identify
from defectlog.rulebase.strengths import chance, words_by_id
from tests.diagnosis.small_rules import real_rules

# The word that is said first, before anybody has looked twice; common practice, no source.
FIRST_WORDS = {
    "holes": "gas-holes pinholes shrinkage-cavity shrinkage-porosity core-blow surface-pits mould-reaction cold-shot",
    "crack": "hot-tear cold-crack cold-shut",
    "lump": "drop wash scab sticker",
    "fin": "flash vein",
    "missing": "misrun short-pour runout broken-casting gate-break-in",
    "dirt": "dross sand-inclusion slag-inclusion",
    "rough": "rough-surface penetration",
    "dent": "sink buckle crush",
    "line": "rat-tail",
    "thick": "swell ram-off",
    "step": "mismatch",
    "uneven": "core-shift",
    "blocked": "broken-core",
    "bent": "warpage",
    "size": "wrong-size",
    "leaks": "leaker",
    "hard": "hard-spots",
}
DRAWS = 4
MOST_ASKED = 8


def answer(defect: str, sign: str, chances: random.Random) -> str:
    """What somebody says who looks for the sign on a casting with this defect."""
    rules = real_rules()
    word = words_by_id(rules.defects[defect].signs).get(sign)
    if word is None:
        return "unsure"
    return "yes" if chances.random() < chance(word, rules.signs[sign].usual) else "no"


@cache
def asked_until_decided() -> tuple[tuple[str, int, bool], ...]:
    """Of every draw: the defect, how many questions were asked, and whether the one answer then given was right."""
    rules = real_rules()
    found = []
    for word, defects in FIRST_WORDS.items():
        for defect in defects.split():
            for draw in range(DRAWS):
                chances = random.Random(f"{defect} {draw}")
                answers: dict[str, str] = {}
                told = identify(word, rules)
                while told.undecided and told.ask is not None and len(answers) < MOST_ASKED:
                    answers[told.ask.sign] = answer(defect, told.ask.sign, chances)
                    told = identify(word, rules, answers)
                asked = MOST_ASKED + 1 if told.undecided else len(answers)
                found.append((defect, asked, bool(told.defects) and told.defects[0].defect == defect))
    return tuple(found)


def test_every_defect_is_asked_for() -> None:
    assert {defect for defect, _, _ in asked_until_decided()} == set(real_rules().defects)


def test_most_cases_are_decided_within_four_questions() -> None:
    counts = Counter(asked for _, asked, _ in asked_until_decided())
    every = sum(counts.values())
    for asked, count in sorted(counts.items()):
        name = f"{asked}" if asked <= MOST_ASKED else f"more than {MOST_ASKED}"
        print(f"{name} questions: {count} of {every}")
    assert sum(count for asked, count in counts.items() if asked <= 4) > every / 2


def test_what_is_decided_is_mostly_right() -> None:
    """An answer is given from a share of a half on, so that one in four is wrong is what the shares say."""
    decided = [(defect, right) for defect, asked, right in asked_until_decided() if asked <= MOST_ASKED]
    wrong = Counter(defect for defect, right in decided if not right)
    print(f"{len(decided) - wrong.total()} of {len(decided)} right; wrong: {dict(wrong)}")
    assert wrong.total() <= 0.35 * len(decided)
