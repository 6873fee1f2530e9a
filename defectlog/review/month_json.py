"""The review as JSON. Scripts read these keys: they are added to and never renamed. Unknown is null, never 0."""

from typing import Any

from defectlog.records.ledgers import OutOfBalance, PatternMonth, Tally
from defectlog.review.expected import JobMix
from defectlog.review.intervals import Interval
from defectlog.review.month import MonthReview
from defectlog.review.not_enough import Gap
from defectlog.review.pareto import DefectRow
from defectlog.review.pattern_month import PatternReview
from defectlog.review.place_map import PlaceMap
from defectlog.review.places import Concentration
from defectlog.review.remedy_month import RemedyReview
from defectlog.review.watch import Slip
from defectlog.review.years import YearOnYear


def month_as_json(review: MonthReview) -> dict[str, Any]:
    """Plain dicts, lists, numbers and text, ready for json.dumps. Rates 0 to 1, masses in kg, days ISO."""
    mix = review.mix
    return {
        "month": review.month.strftime("%Y-%m"),
        "by": review.by,
        **counts_as_json(review.counts),
        **passed_as_json(review),
        "scrap_rate": review.scrap_rate,
        "interval": pair(review.interval),
        "expected_for_job_mix": mix.expected if mix else None,
        "job_mix": mix_as_json(mix),
        "cost": review.cost.total,
        "cost_left_out": review.cost.left_out,
        "currency": review.currency,
        "cost_method": list(review.cost_method),
        "kg": review.kg.total,
        "kg_left_out": review.kg.left_out,
        "patterns": [pattern_as_json(row) for row in review.patterns],
        "defects": [defect_as_json(row) for row in review.defects],
        "pattern_defects": [
            {"pattern": pattern, "defect": defect or None, "castings": castings}
            for (pattern, defect), castings in review.crossed.items()
        ],
        "found": dict(review.found),
        "places": [place_as_json(row) for row in review.places],
        "place_maps": [map_as_json(row) for row in review.maps],
        "not_enough": [gap_as_json(row) for row in review.gaps],
        "remedies": [remedy_as_json(row) for row in review.remedies],
        "out_of_balance": [balance_as_json(row) for row in review.out_of_balance],
        "year_on_year": years_as_json(review.years),
        "false_alarms_expected": review.false_alarms_expected,
        "trials": review.trials,
        "lost_before_pouring": review.lost_before_pouring,
        "undated": review.undated,
        "notes": list(review.notes),
    }


def pair(interval: Interval | None) -> list[float] | None:
    return None if interval is None else [interval.low, interval.high]


def counts_as_json(row: PatternMonth) -> dict[str, int]:
    return {
        "moulds": row.moulds,
        "moulds_with_scrap": row.moulds_with_scrap,
        "castings": row.castings,
        "scrapped": row.scrapped,
        "reworked": row.reworked,
        "used_as_is": row.used_as_is,
        "undecided": row.undecided,
    }


def passed_as_json(row: MonthReview | PatternReview) -> dict[str, int | None]:
    return {"first_pass": row.first_pass, "returned": row.returned, "charged_too_many": row.excess}


def past_span(row: PatternReview) -> dict[str, str | None]:
    first, last = row.past_span or (None, None)
    return {"from": first.strftime("%Y-%m") if first else None, "until": last.strftime("%Y-%m") if last else None}


def mix_as_json(mix: JobMix | None) -> dict[str, Any] | None:
    if mix is None:
        return None
    return {
        "expected": mix.expected,
        "interval": None if mix.low is None else [mix.low, mix.high],
        "castings": mix.castings,
        "scrapped": mix.scrapped,
        "without_past": list(mix.without_past),
    }


def pattern_as_json(row: PatternReview) -> dict[str, Any]:
    return {
        "pattern": row.pattern,
        **counts_as_json(row.counts),
        **passed_as_json(row),
        "scrap_rate": row.scrap_rate,
        "interval": pair(row.interval),
        "expected": row.expected,
        "past": {
            "moulds": row.past_moulds,
            "castings": row.past_castings,
            "scrapped": row.past_scrapped,
            **past_span(row),
        },
        "limits": None if row.limits is None else list(row.limits),
        "chart": row.chart,
        "signal": row.signal,
        "odds_of_luck": row.odds_of_luck,
        "firm": row.firm,
        "creeping": row.creeping or None,
        "cost": row.cost.whole,
        "kg": row.kg.whole,
        "yield_pct": row.yield_pct,
        "main_defect": row.main_defect,
    }


def defect_as_json(row: DefectRow) -> dict[str, Any]:
    return {
        "defect": row.defect or None,
        "castings": row.castings,
        "moulds": row.moulds,
        "patterns": list(row.patterns),
        "kg": row.kg.whole,
        "cost": row.cost.whole,
        "cumulative": row.cumulative,
    }


def place_as_json(row: Concentration) -> dict[str, Any]:
    return {
        "pattern": row.pattern,
        "defect": row.defect or None,
        "moulds": row.moulds,
        "castings": row.castings,
        "impressions": {str(number): count for number, count in row.impressions.items()},
        "impression_not_on_record": row.not_on_record,
        "odds_of_luck": row.odds_of_luck,
        "places": [
            {"impression": c.impression, "place": c.place or None, "moulds": c.moulds, "castings": c.castings}
            for c in row.counts
        ],
    }


def tally_as_json(tally: Tally) -> dict[str, int]:
    return {
        "moulds": tally.moulds,
        "bad_moulds": tally.bad_moulds,
        "castings": tally.castings,
        "bad_castings": tally.bad_castings,
    }


def remedy_as_json(row: RemedyReview) -> dict[str, Any]:
    remedy, outcome = row.tally.remedy, row.outcome
    return {
        "remedy": row.tally.number,
        "pattern": remedy.pattern,
        "defect": remedy.defect,
        "cause": remedy.cause,
        "change": remedy.change,
        "started": row.tally.started.isoformat() if row.tally.started else None,
        "owner": remedy.owner,
        "check_castings": remedy.check_castings,
        "verdict": remedy.verdict,
        "answer": outcome.answer,
        "why": outcome.why,
        "before": tally_as_json(outcome.before),
        "after": tally_as_json(outcome.after),
        "odds_of_luck": outcome.odds_of_luck,
        "difference": outcome.difference,
        "interval": pair(outcome.interval),
        "clean_moulds_needed": outcome.needed,
        "still_needed": outcome.still_needed,
        "due": row.due,
        "months_due": row.months_due,
        "slipped_back": slip_as_json(row.slipped),
    }


def slip_as_json(slip: Slip | None) -> dict[str, Any] | None:
    if slip is None:
        return None
    return {
        "since": slip.since.strftime("%Y-%m"),
        "lately": tally_as_json(slip.lately),
        "while_it_worked": tally_as_json(slip.while_it_worked),
        "odds_of_luck": slip.odds_of_luck,
    }


def map_as_json(row: PlaceMap) -> dict[str, Any]:
    """Castings not right first time; an impression or a place that is null is not on record."""
    cells = sorted(row.castings.items(), key=lambda item: (item[0][0] is None, item[0][0] or 0, item[0][1]))
    return {
        "pattern": row.pattern,
        "castings": row.total,
        "cells": [
            {"impression": impression, "place": place or None, "castings": count}
            for (impression, place), count in cells
        ],
    }


def gap_as_json(row: Gap) -> dict[str, Any]:
    return {"what": row.what, "on_record": row.on_record, "of": row.of, "leaves_open": row.so}


def balance_as_json(row: OutOfBalance) -> dict[str, Any]:
    return {
        "mould": row.mould,
        "pattern": row.pattern,
        "cast_on": row.cast_on.isoformat(),
        "castings": row.castings,
        "charged": row.charged,
    }


def years_as_json(years: YearOnYear | None) -> dict[str, Any] | None:
    if years is None:
        return None
    return {
        "patterns": years.patterns,
        "moulds": list(years.moulds),
        "moulds_with_scrap": list(years.moulds_with_scrap),
        "odds_ratio": years.odds_ratio,
        "interval": pair(years.interval),
        "chance": years.chance,
        "alike": years.alike,
    }
