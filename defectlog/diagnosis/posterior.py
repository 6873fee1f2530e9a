"""From signs and places to the share of each defect: naive Bayes with the dependence of like signs held down.

    log share(d) = ½ log usual(d) + Σ_groups Σ_k DAMPING[k] · log P(sign_k as seen | d)
                 + Σ_silent log(1 − m·P(sign | d)) + places + names + words               (+ a constant)

Signs of one group say much the same ("smooth inside", "like an eggshell"): the strongest counts in full, the others
at half. A sign read from text is wrong now and then, so each share is mixed with the sign's usual share; that also
bounds what any one sign can do. A sign that is not spoken of is weak evidence that it is not there: people speak of
about one in three (m) of the signs that they could.
"""

import math
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence, Set
from types import MappingProxyType

from defectlog.diagnosis.signs_in_text import SignSeen
from defectlog.rulebase.shapes import Defect, RuleBase, Sign
from defectlog.rulebase.strengths import HOW_OFTEN, USUAL_PLACE, chance, words_by_id

# Mean −log share of the true defect on the 81 reports of tests/diagnosis/reports.toml that are not kept back, and on
# the 115 of blind_reports.toml that are not, one number changed at a time from those below (0.09 and 0.06): damping 0
# → 0.09, 0.06; misread 0.02, 0.2 → 0.10, 0.05 and 0.09, 0.06; mentioned 0, 0.5 → 0.10, 0.06 and 0.09, 0.06; prior 0,
# 1 → 0.10, 0.06 and 0.09, 0.06. So flat, and judged and not tuned: the words were written with those reports at hand,
# and they have each defect about equally often, as no shop has.
DAMPING = (1.0, 0.5)
MISREAD = 0.1  # share of signs read from a text that are not what the writer meant
MENTIONED = 0.3  # share of the signs on a casting that a person speaks of
PRIOR_WEIGHT = 0.5
# Share of reports that mean something else than they say. Without it, of 350 blind reports whose first share was over
# 0.8 (0.99 in the mean) 340 were right, which is 0.97.
MISTOLD = 0.02
IN_FORCE = "in force"
NOTHING: Mapping[str, float] = MappingProxyType({})


def share_with(sign: Sign, word: str) -> float:
    """Share of castings with a defect that show the sign, as read from a text; `word` as in the defect's file."""
    return (1 - MISREAD) * chance(word, sign.usual) + MISREAD * sign.usual


def log_ratio(sign: Sign, word: str, present: bool) -> float:
    """Natural log of how much likelier the sign (or its absence) is with the defect than with bad castings at large."""
    share = share_with(sign, word)
    return math.log(share / sign.usual) if present else math.log((1 - share) / (1 - sign.usual))


def silence_log_ratio(sign: Sign, word: str) -> float:
    """The same where nobody spoke of the sign."""
    return math.log((1 - MENTIONED * share_with(sign, word)) / (1 - MENTIONED * sign.usual))


def place_share(word: str) -> float:
    return (1 - MISREAD) * chance(word, USUAL_PLACE) + MISREAD * USUAL_PLACE


def place_log_ratio(word: str) -> float:
    return math.log(place_share(word) / USUAL_PLACE)


def place_silence_log_ratio(word: str) -> float:
    """The same where nobody spoke of the place: a core blow is at a core, and few would leave the core out."""
    return math.log((1 - MENTIONED * place_share(word)) / (1 - MENTIONED * USUAL_PLACE))


class DefectModel:
    """What the rule base says of each defect in force, ready to be summed."""

    def __init__(self, rules: RuleBase) -> None:
        self.rules = rules
        self.defects: tuple[Defect, ...] = tuple(
            defect for defect in rules.defects.values() if defect.status == IN_FORCE and defect.usual > 0
        )
        self.sign_words = {defect.id: words_by_id(defect.signs) for defect in self.defects}
        self.place_words = {defect.id: words_by_id(defect.places) for defect in self.defects}
        self.listed: dict[str, list[tuple[int, str]]] = defaultdict(list)
        for number, defect in enumerate(self.defects):
            for sign, word in self.sign_words[defect.id].items():
                if sign in rules.signs:
                    self.listed[sign].append((number, word))
        # (sign, number of the defect, log ratio): what silence about a listed sign says, and about a place.
        self.silence = [
            (sign, number, silence_log_ratio(rules.signs[sign], word))
            for sign, listed in self.listed.items()
            for number, word in listed
        ]
        self.place_silence = [
            (place, number, place_silence_log_ratio(word))
            for number, defect in enumerate(self.defects)
            for place, word in self.place_words[defect.id].items()
        ]

    def sign_logs(self, sign: Sign, present: bool) -> list[float]:
        """Log ratio of the sign for every defect, in the order of `defects`; 0 where a defect does not list it."""
        by_word = {word: log_ratio(sign, word, present) for word in HOW_OFTEN}
        logs = [0.0] * len(self.defects)
        for number, word in self.listed.get(sign.id, ()):
            logs[number] = by_word[word]
        return logs

    def scores(
        self,
        seen: Iterable[SignSeen],
        places: Iterable[str] = (),
        named: Mapping[str, float] = NOTHING,
        likeness: Mapping[str, float] = NOTHING,
    ) -> list[float]:
        """Unscaled log share of every defect."""
        totals = [PRIOR_WEIGHT * math.log(defect.usual) for defect in self.defects]
        told, named_places = tuple(seen), set(places)
        self.add_silence(totals, {item.sign for item in told}, named_places)
        for group in self.grouped(told):
            for rank, logs in enumerate(group):
                weight = DAMPING[min(rank, len(DAMPING) - 1)]
                totals = [total + weight * log for total, log in zip(totals, logs, strict=True)]
        for number, defect in enumerate(self.defects):
            words = self.place_words[defect.id]
            totals[number] += sum(place_log_ratio(words.get(place, "")) for place in named_places)
        for number, defect in enumerate(self.defects):
            totals[number] += math.log(named.get(defect.id, 1.0)) + likeness.get(defect.id, 0.0)
        return totals

    def add_silence(self, totals: list[float], told: Set[str], named_places: Set[str]) -> None:
        """Adds what the signs and places say that nobody spoke of; nothing where nobody spoke of any."""
        if told or named_places:
            silent = (entry for entry in self.place_silence if entry[0] not in named_places)
            for _, number, log in (*silent, *(entry for entry in self.silence if told and entry[0] not in told)):
                totals[number] += log

    def grouped(self, seen: Iterable[SignSeen]) -> list[list[list[float]]]:
        """The log ratios of the signs, group by group, the sign that separates the defects most first."""
        groups: dict[str, list[list[float]]] = defaultdict(list)
        for item in seen:
            sign = self.rules.signs.get(item.sign)
            if sign is not None:
                weight = item.score / 100
                groups[sign.group].append([weight * log for log in self.sign_logs(sign, item.present)])
        return [sorted(logs, key=spread, reverse=True) for logs in groups.values()]


def spread(logs: Sequence[float]) -> float:
    """How far apart a sign sets the defects."""
    return max(logs, default=0.0) - min(logs, default=0.0)


def defect_posterior(
    seen: Iterable[SignSeen],
    places: Iterable[str],
    rules: RuleBase,
    named: Mapping[str, float] = NOTHING,
    likeness: Mapping[str, float] = NOTHING,
) -> dict[str, float]:
    """Share (0..1, summing to 1) of every defect in force, the largest first.

    `named`: likelihood ratio of defects that were named. `likeness`: natural log that the words add. Without any
    evidence it is the prior: how common each is.
    """
    model = model_of(rules)
    shares = normalised(model.scores(seen, places, named, likeness))
    ranked = sorted(zip(model.defects, shares, strict=True), key=lambda entry: (-entry[1], entry[0].id))
    return {defect.id: share for defect, share in ranked}


def with_doubt(posterior: Mapping[str, float], rules: RuleBase) -> dict[str, float]:
    """The shares with room for a report that means something else: MISTOLD of them as common as the defects are."""
    usual = sum(rules.defects[item].usual for item in posterior)
    shares = [
        ((1 - MISTOLD) * share + MISTOLD * rules.defects[item].usual / usual, item) for item, share in posterior.items()
    ]
    return {item: share for share, item in sorted(shares, key=lambda entry: (-entry[0], entry[1]))}


def normalised(scores: Sequence[float]) -> list[float]:
    """Log scores to shares that sum to 1."""
    if not scores:
        return []
    top = max(scores)
    weights = [math.exp(score - top) for score in scores]
    total = sum(weights)
    return [weight / total for weight in weights]


_built: list[DefectModel] = []


def model_of(rules: RuleBase) -> DefectModel:
    """The model of a rule base, built when first asked for and kept for the last rule base asked for."""
    if not _built or _built[0].rules is not rules:
        _built[:] = [DefectModel(rules)]
    return _built[0]
