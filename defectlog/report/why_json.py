"""`why --json`: one document with stable keys; scripts read them."""

from collections.abc import Mapping, Sequence
from typing import Any

from defectlog.diagnosis.like_cases import LikeCase
from defectlog.diagnosis.next_look import NextLook
from defectlog.diagnosis.side_by_side import SideBySide
from defectlog.diagnosis.why import CauseAnswer, DefectAnswer, Diagnosis
from defectlog.review.did_it_work import clean_run_needed
from defectlog.review.pattern_rate import PatternRate
from defectlog.rulebase.shapes import RuleBase

DIGITS = 4


def why_json(
    diagnosis: Diagnosis, rate: PatternRate, rules: RuleBase, cases: Mapping[str, Sequence[LikeCase]]
) -> dict[str, Any]:
    history = diagnosis.history
    return {
        "pattern": history.pattern,
        "since": history.since.isoformat(),
        "until": history.until.isoformat(),
        "moulds": rate.moulds,
        "moulds_with_scrap": rate.moulds_with_scrap,
        "castings": rate.castings,
        "scrapped": rate.scrapped,
        "scrap_rate": round(rate.rate, DIGITS) if rate.castings else None,
        "interval": [round(rate.interval.low, DIGITS), round(rate.interval.high, DIGITS)] if rate.interval else None,
        "not_settled": diagnosis.not_settled,
        "defects": [
            defect_json(answer, rate.moulds, rules, cases.get(answer.defect, ())) for answer in diagnosis.defects
        ],
        "other_defects": [
            {"defect": defect, "castings": castings, "moulds": moulds}
            for defect, (castings, moulds) in diagnosis.others.items()
        ],
    }


def clean_moulds(answer: DefectAnswer, moulds: int) -> int | None:
    """Clean moulds in a row that would surprise a process that had not changed."""
    return clean_run_needed(answer.moulds / moulds) if 0 < answer.moulds < moulds else None


def beside_cause_json(answer: DefectAnswer) -> dict[str, Any] | None:
    beside = answer.beside
    if beside is None:
        return None
    return {
        "cause": beside.second.candidate.id,
        "share": round(beside.second.share, DIGITS),
        "stands_out": round(beside.stands_out, DIGITS),
        "castings": beside.bad,
        "moulds": beside.moulds,
        "of_moulds": beside.of_moulds,
    }


def defect_json(answer: DefectAnswer, moulds: int, rules: RuleBase, cases: Sequence[LikeCase]) -> dict[str, Any]:
    return {
        "defect": answer.defect,
        "castings": answer.castings,
        "moulds": answer.moulds,
        "by_look": answer.by_look,
        "maybe_more": round(answer.maybe, DIGITS),
        "causes": [cause_json(cause, rules) for cause in answer.causes],
        "stands_out": round(answer.stands_out, DIGITS),
        "unexplained": round(answer.unexplained, DIGITS),
        "something_at": {level: round(share, DIGITS) for level, share in answer.latent.items()},
        "same_place": same_place_json(answer),
        "changed": changed_json(answer),
        "ask_next": ask_next_json(answer),
        "alongside": {"moulds_bad": answer.alongside.out, "moulds": answer.alongside.of},
        "beside": beside_cause_json(answer),
        "trials": [
            {"against": trial.rival, "do": trial.do, "moulds_each": trial.moulds_each} for trial in answer.trials
        ],
        "is_is_not": [
            {"asks": line.asks, "is": line.is_, "is_not": line.is_not, "blank": line.blank} for line in answer.table
        ],
        "like_cases": [
            {
                "pattern": case.pattern,
                "on": case.on.isoformat(),
                "cause": case.cause,
                "verdict": case.verdict,
                "change": case.change,
                "remedy_verdict": case.remedy_verdict,
                "basis": case.basis,
            }
            for case in cases
        ],
        "clean_moulds_to_believe": clean_moulds(answer, moulds),
    }


def cause_json(answer: CauseAnswer, rules: RuleBase) -> dict[str, Any]:
    cause, parts = answer.cause, answer.parts
    found: dict[str, Any] = {
        "cause": cause.id,
        "name": cause.name,
        "area": cause.area,
        "acts_at": cause.acts_at,
        "share": round(answer.share, DIGITS),
        "parts": {
            "handbook": round(parts.handbook, 2),
            "looks": round(parts.looks, 2),
            "place": round(parts.place, 2),
            "spread": round(parts.spread, 2),
            "readings": round(parts.readings, 2),
            "history": round(parts.history, 2),
        },
        "readings": [beside_json(answer.beside)] if answer.beside else [],
        "for": list(answer.speaks_for),
        "against": list(answer.speaks_against),
        "look_next": cause.look_next.check if cause.look_next else "",
        "remedies": [remedy.do for remedy in cause.remedies],
        "cautions": [rules.cautions[name].text for name in cautions_of(answer) if name in rules.cautions],
        "sources": [rules.sources[name].title for name in sources_of(answer) if name in rules.sources],
        "cannot_be_told_from": list(answer.cannot_be_told_from),
    }
    if answer.rows:
        found["units"] = [
            {
                "unit": row.unit,
                "reading": row.reading,
                "hand_test": row.hand,
                "on_before": round(row.on_before, DIGITS),
                "on_after": round(row.on_after, DIGITS),
                "moulds": row.moulds,
                "castings": row.castings,
                "bad": row.bad,
            }
            for row in answer.rows
        ]
    return found


def beside_json(beside: SideBySide) -> dict[str, Any]:
    return {
        "reading": beside.reading,
        "limit": beside.limit.value,
        "side": beside.limit.side,
        "bad": {"out": beside.bad.out, "of": beside.bad.of},
        "good": {"out": beside.good.out, "of": beside.good.of},
        "unit": beside.unit,
        "not_on_record": beside.not_on_record,
        "hand_test": {
            "shows": beside.hand_test,
            "bad": {"shown": beside.hand_bad.out, "of": beside.hand_bad.of},
            "good": {"shown": beside.hand_good.out, "of": beside.hand_good.of},
        },
    }


def cautions_of(answer: CauseAnswer) -> tuple[str, ...]:
    """Every caution that the cause's advice carries, each once."""
    cause = answer.cause
    named = [*cause.cautions]
    named += [name for remedy in cause.remedies for name in remedy.cautions]
    named += cause.look_next.cautions if cause.look_next else ()
    return tuple(dict.fromkeys(named))


def sources_of(answer: CauseAnswer) -> tuple[str, ...]:
    cause = answer.cause
    named = [*cause.sources]
    named += [name for pair in cause.explains for name in (*pair.sources, *pair.recalled)]
    named += answer.limit.sources if answer.limit else ()
    return tuple(dict.fromkeys(named))


def same_place_json(answer: DefectAnswer) -> dict[str, Any]:
    same = answer.same_place
    return {
        "impressions": {str(number): count for number, count in same.impressions.items()} if same else {},
        "odds_of_luck": same.odds_of_luck if same else None,
        "not_on_record": same.not_on_record if same else 0,
        "places": dict(answer.places),
    }


def changed_json(answer: DefectAnswer) -> dict[str, Any] | None:
    change = answer.changed
    if change is None:
        return None
    return {
        "on": change.on.isoformat(),
        "chance": round(change.chance, DIGITS),
        "from_rate": round(change.from_rate, DIGITS),
        "to_rate": round(change.to_rate, DIGITS),
        "near_it": list(change.near_it),
    }


def ask_next_json(answer: DefectAnswer) -> dict[str, Any] | None:
    if not answer.ask_next:
        return None
    return ask_json(answer.ask_next[0]) | {"then": [ask_json(look) for look in answer.ask_next[1:]]}


def ask_json(first: NextLook) -> dict[str, Any]:
    return {
        "reading": first.reading,
        "on_record": first.on_record,
        "of": first.of,
        "gain_bits": round(first.gain_bits, 3),
        "unit": first.unit,
        "cause": first.cause,
        "check": first.check,
    }
