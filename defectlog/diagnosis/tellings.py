"""How far a report is told in the words in which people tell of a defect.

The signs have their ways of saying, and nobody has written down all of them. `rules/told/` has for each defect some
dozens of short reports, and every word of a text is weighed by how many of them have it, in whatever order:

    log(d) = Σ_words WORDS_COUNT · log( (n_wd + HELD·p_w) / (n_d + HELD) / p_w ), each within ± MOST

n_wd of the n_d reports of defect d have the word w, and the share p_w of all reports. A word that is denied is another
word. This is naive Bayes with each share drawn towards the common one; WORDS_COUNT is below 1 because words come in
company, and because the signs have been read from the same words already.
"""

import math
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence

from defectlog.diagnosis.words import Clause, Word, clauses_of
from defectlog.rulebase.catalogue import rule_names
from defectlog.rulebase.shapes import Defect, RuleBase

# Of the 95 reports of tests/diagnosis/blind_reports.toml that no phrase was tuned on, right in first place and mean
# −log share of the right defect: without this 70 and 0.87; with these numbers 89 and 0.20. One changed at a time:
# WORDS_COUNT 0.3, 0.7 → 88 and 0.22, 88 and 0.21; HELD 3, 30 → 89 and 0.20, 89 and 0.21; MOST 0.5, none → 89 and
# 0.22, 88 and 0.22.
WORDS_COUNT = 0.5
HELD = 10.0
# No one word may settle anything: "porosity" is said of everything.
MOST = 0.75
DENIED = "not "

# Word → defect → number of its reports that have the word.
Counts = Mapping[str, Mapping[str, int]]


def reports_of(defect: Defect, rules: RuleBase) -> tuple[str, ...]:
    """The reports of a defect; what its own file says of its looks, and all of its names, are one each."""
    told = rules.told.get(defect.id)
    return (f"{defect.looks} {defect.where}", ", ".join(rule_names(defect)), *(told.told if told else ()))


def word_counts(rules: RuleBase) -> dict[str, dict[str, int]]:
    """The slow part, which may be worked out once and kept."""
    counts: dict[str, dict[str, int]] = defaultdict(lambda: defaultdict(int))
    for defect in rules.defects.values():
        for report in reports_of(defect, rules):
            for word in words_in(clauses_of(report)):
                counts[word][defect.id] += 1
    return {word: dict(found) for word, found in counts.items()}


def words_in(clauses: Iterable[Clause]) -> dict[str, Word]:
    """The words of a text by what they are counted as, each where it first stands."""
    found: dict[str, Word] = {}
    for clause in clauses:
        for word in clause.words:
            found.setdefault(DENIED + word.stem if word.denied else word.stem, word)
    return found


class Tellings:
    """The reports of a rule base, ready to be held against a text."""

    def __init__(self, rules: RuleBase, counts: Counts) -> None:
        self.counts = counts
        self.reports = {defect.id: len(reports_of(defect, rules)) for defect in rules.defects.values()}
        self.every = sum(self.reports.values())

    def logs(self, word: str) -> dict[str, float]:
        """Natural log that a word adds for each defect; nothing for a word that no report has."""
        found = self.counts.get(word, {})
        if not found:
            return {}
        usual = sum(found.values()) / self.every
        shares = ((item, (found.get(item, 0) + HELD * usual) / (of + HELD)) for item, of in self.reports.items())
        return {defect: max(-MOST, min(MOST, WORDS_COUNT * math.log(share / usual))) for defect, share in shares}

    def likeness(self, clauses: Sequence[Clause]) -> dict[str, float]:
        """Natural log that the words of a text add for each defect; empty where no word is known."""
        totals: dict[str, float] = defaultdict(float)
        for word in words_in(clauses):
            for defect, log in self.logs(word).items():
                totals[defect] += log
        return dict(totals)

    def telling_words(self, defect: str, clauses: Sequence[Clause], least: float) -> list[Word]:
        """The words of a text that add at least `least` for the defect, those that add most first."""
        logs = [(self.logs(name).get(defect, 0.0), word) for name, word in words_in(clauses).items()]
        return [word for log, word in sorted(logs, key=lambda entry: (-entry[0], entry[1].start)) if log >= least]
