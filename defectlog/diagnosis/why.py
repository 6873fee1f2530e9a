"""Why does this pattern keep failing: every defect found on it, with its causes ranked and accounted for.

Values in, values out: what the book holds comes as a PatternHistory and a ShopUsual, what the trade knows as a
RuleBase, and the answer goes out as a Diagnosis that the report room prints.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date

from defectlog.diagnosis.account import speaks
from defectlog.diagnosis.candidates import candidates_for
from defectlog.diagnosis.changes import Change, find_change
from defectlog.diagnosis.confounding import cannot_be_told_from
from defectlog.diagnosis.evidence import Evidence, gather_evidence
from defectlog.diagnosis.explain import UnitRow, unit_rows
from defectlog.diagnosis.hypotheses import LEVELS, Field
from defectlog.diagnosis.is_is_not import IsIsNot, is_is_not
from defectlog.diagnosis.looks import Look, look_ratios
from defectlog.diagnosis.next_look import NextLook, next_looks
from defectlog.diagnosis.overdispersion import estimate_rho
from defectlog.diagnosis.ranking import Parts, Ranked, Ranking, rank
from defectlog.diagnosis.rates import grid_from_others
from defectlog.diagnosis.recurrence import prior_of
from defectlog.diagnosis.same_place import SamePlace, same_place
from defectlog.diagnosis.side_by_side import OutOf, SideBySide, Spread, side_by_side, spread_over
from defectlog.diagnosis.together import Beside, second_cause
from defectlog.diagnosis.trials import Trial, trial_between
from defectlog.records.histories import PatternHistory, Seen, ShopUsual
from defectlog.records.kinds import Verdict
from defectlog.rulebase.shapes import Cause, Limit, RuleBase

# A rival with a smaller share is not worth a day's moulding. Judgement.
WORTH_A_TRIAL, MOST_TRIALS = 0.1, 2

ReadLook = Callable[[Seen], Look]


@dataclass(frozen=True, slots=True)
class Asked:
    """What was asked and under which circumstances.

    `circumstances` choose the limits (alloy, sand_base …); `explain` is a cause whose rows are wanted.
    """

    today: date
    defect: str = ""
    with_history: bool = True
    circumstances: Mapping[str, str] = field(default_factory=dict)
    system: str = "metric"
    most_defects: int = 1
    explain: str = ""


@dataclass(frozen=True, slots=True)
class CauseAnswer:
    """One cause with its share, its parts and what speaks for and against it."""

    cause: Cause
    share: float
    parts: Parts
    beside: SideBySide | None
    spread: Spread | None
    speaks_for: tuple[str, ...]
    speaks_against: tuple[str, ...]
    cannot_be_told_from: tuple[str, ...]
    weight: float
    limit: Limit | None
    rows: tuple[UnitRow, ...] = ()


@dataclass(frozen=True, slots=True)
class DefectAnswer:
    """One defect of the pattern: how much of it, what explains it, and what to look at next.

    `by_look` castings had no defect named and count by what was seen; `maybe` is how many more may be it, in parts,
    of those whose look does not settle it. `beside` is a second cause at work, `trials` what would tell the first from
    those that the records cannot part from it, `table` where it is and where it is not. `alongside`: moulds of other
    patterns out of the same sand or heats, and how many of them have the defect.
    """

    defect: str
    castings: int
    moulds: int
    maybe: float
    causes: tuple[CauseAnswer, ...]
    stands_out: float
    unexplained: float
    latent: Mapping[str, float]
    same_place: SamePlace | None
    places: Mapping[str, int]
    changed: Change | None
    ask_next: tuple[NextLook, ...]
    rho: float
    by_look: int
    beside: Beside | None
    trials: tuple[Trial, ...]
    table: tuple[IsIsNot, ...]
    alongside: OutOf


@dataclass(frozen=True, slots=True)
class Diagnosis:
    """The whole answer. `others` are the defects that were counted and not gone into: id → (castings, moulds)."""

    history: PatternHistory
    moulds: int
    castings: int
    defects: tuple[DefectAnswer, ...]
    others: Mapping[str, tuple[int, int]]
    not_settled: int


def diagnose(
    history: PatternHistory,
    usual: ShopUsual,
    rules: RuleBase,
    asked: Asked,
    read_look: ReadLook,
    computed: Mapping[str, Sequence[float | None]] | None = None,
) -> Diagnosis:
    """`asked.defect` narrows the answer to one defect; otherwise the commonest ones are gone into."""
    evidence = gather_evidence(history, computed)
    counted = defect_counts(evidence)
    wanted = [asked.defect] if asked.defect else list(counted)[: asked.most_defects]
    return Diagnosis(
        history=history,
        moulds=len(evidence.moulds),
        castings=int(evidence.castings.sum()),
        defects=tuple(
            answer_for(defect, evidence, history, usual, rules, asked, read_look)
            for defect in wanted
            if defect in counted
        ),
        others={defect: counts for defect, counts in counted.items() if defect not in wanted},
        not_settled=not_settled(evidence),
    )


def not_settled(evidence: Evidence) -> int:
    """Castings of findings whose defect nobody named and whose look does not settle it."""
    open_ones = {f.finding: f.castings for f in evidence.findings if not f.defect or f.share < 1}
    return sum(open_ones.values())


def alongside_of(history: PatternHistory, defect: str) -> OutOf:
    return OutOf(sum(history.alongside.of(defect).values()), sum(history.alongside.moulds.values()))


def others_on_it(evidence: Evidence, defect: str) -> dict[str, int]:
    """Castings by the other defects of the pattern."""
    return {other: castings for other, (castings, _) in defect_counts(evidence).items() if other != defect}


def trials_for(asked_of: Field, ranking: Ranking) -> tuple[Trial, ...]:
    """For the leader against the causes that the records cannot part from it, those with a share worth a trial."""
    if not ranking.causes or ranking.stands_out < 0.5:
        return ()
    leader = ranking.causes[0]
    rivals = set(cannot_be_told_from(leader, ranking.causes, asked_of.evidence))
    worth = [ranked for ranked in ranking.causes[1:] if ranked.candidate.id in rivals and ranked.share >= WORTH_A_TRIAL]
    return tuple(trial_between(asked_of, leader, rival) for rival in worth[:MOST_TRIALS])


def defect_counts(evidence: Evidence) -> dict[str, tuple[int, int]]:
    """Defect id → (castings, moulds), the commonest first; findings that are not settled are left out."""
    counts: dict[str, tuple[int, int]] = {}
    for defect in {finding.defect for finding in evidence.findings if finding.defect}:
        settled = evidence.settled(defect)
        if settled.any():
            counts[defect] = (int(settled.sum()), int((settled > 0).sum()))
    return dict(sorted(counts.items(), key=lambda item: (-item[1][0], item[0])))


def answer_for(
    defect: str,
    evidence: Evidence,
    history: PatternHistory,
    usual: ShopUsual,
    rules: RuleBase,
    asked: Asked,
    read_look: ReadLook,
) -> DefectAnswer:
    bad, settled = evidence.bad(defect), evidence.settled(defect)
    others_bad = max(usual.bad.get(defect, 0) - int(settled.sum()), 0)
    others_castings = max(usual.castings - int(evidence.castings.sum()), others_bad)
    rho = estimate_rho(usual.days.get(defect, ()), leave_out=history.pattern)
    asked_of = Field(evidence, defect, bad, grid_from_others(others_bad, others_castings), rho)
    looks = [read_look(finding) for finding in evidence.findings_of(defect) if finding.share == 1]
    verdicts = [verdict for verdict in usual.verdicts if verdict.defect == defect]
    impressions, places = same_place(evidence, defect), place_counts(looks)
    ranking = ranked_causes(asked_of, history, usual, rules, asked, looks, verdicts)
    return DefectAnswer(
        defect=defect,
        castings=int(settled.sum()),
        moulds=int((settled > 0).sum()),
        maybe=float(bad.sum() - settled.sum()),
        causes=tuple(
            cause_answer(ranked, ranking, asked_of, impressions, looks, verdicts, rules, asked)
            for ranked in ranking.causes
        ),
        stands_out=ranking.stands_out,
        unexplained=ranking.unexplained,
        latent=ranking.latent,
        same_place=impressions,
        places=places,
        changed=find_change(evidence, bad, asked_of.grid, rho, history),
        ask_next=next_looks(asked_of, ranking),
        rho=rho,
        by_look=sum(f.castings for f in evidence.findings_of(defect) if f.by_look and f.share == 1),
        beside=second_cause(
            asked_of, ranking, lambda rest: ranked_causes(rest, history, usual, rules, asked, looks, verdicts)
        ),
        trials=trials_for(asked_of, ranking),
        table=is_is_not(evidence, settled, defect, history, impressions, places, others_on_it(evidence, defect), rules),
        alongside=alongside_of(history, defect),
    )


def ranked_causes(
    asked_of: Field,
    history: PatternHistory,
    usual: ShopUsual,
    rules: RuleBase,
    asked: Asked,
    looks: Sequence[Look],
    verdicts: Sequence[Verdict],
) -> Ranking:
    impressions = asked_of.evidence.impressions
    candidates = candidates_for(rules, asked_of.defect, history.revisions, asked.circumstances, impressions)
    prior = prior_of(candidates, history.pattern, asked_of.defect, verdicts, asked.today)
    told = [asked_of.told(candidate, usual.readings) for candidate in candidates]
    latent = {level: asked_of.latent(level) for level in LEVELS}
    of_looks, of_places = look_ratios(candidates, looks)
    return rank(told, prior, of_looks, of_places, latent, asked_of.nothing(), with_history=asked.with_history)


def cause_answer(
    ranked: Ranked,
    ranking: Ranking,
    asked_of: Field,
    impressions: SamePlace | None,
    looks: Sequence[Look],
    verdicts: Sequence[Verdict],
    rules: RuleBase,
    asked: Asked,
) -> CauseAnswer:
    evidence, bad, cause = asked_of.evidence, asked_of.counted, ranked.candidate.cause
    beside = side_by_side(ranked.candidate, ranked.states, evidence, bad) if ranked.states else None
    spread = spread_over(evidence, cause.acts_at, bad) if cause.acts_at != "impression" else None
    on_this = [verdict for verdict in verdicts if verdict.cause == cause.id and verdict.decided_on <= asked.today]
    told_of = on_this if asked.with_history else []
    speaks_for, speaks_against = speaks(ranked, beside, spread, impressions, looks, told_of, rules, asked.system)
    return CauseAnswer(
        cause=cause,
        share=ranked.share,
        parts=ranked.parts,
        beside=beside,
        spread=spread,
        speaks_for=speaks_for,
        speaks_against=speaks_against,
        cannot_be_told_from=cannot_be_told_from(ranked, ranking.causes, evidence),
        weight=ranked.candidate.weight,
        limit=ranked.candidate.limit,
        rows=unit_rows(asked_of, ranked) if cause.id == asked.explain else (),
    )


def place_counts(looks: Sequence[Look]) -> dict[str, int]:
    """Place id → findings that name it, the commonest first."""
    counts: dict[str, int] = {}
    for look in looks:
        for place in look.places:
            counts[place] = counts.get(place, 0) + 1
    return dict(sorted(counts.items(), key=lambda item: (-item[1], item[0])))
