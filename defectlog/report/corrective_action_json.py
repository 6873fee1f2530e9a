"""The corrective-action sheet as JSON. Keys are added to and never renamed."""

from collections.abc import Sequence
from typing import Any

from defectlog.report.corrective_action import GAP, leaders, sheet_page
from defectlog.report.corrective_action_answers import CorrectiveAction, Shared
from defectlog.report.page import Block, Text
from defectlog.report.values import record_json
from defectlog.report.verdict_answers import RemedyJudged
from defectlog.review.month_json import tally_as_json
from defectlog.rulebase.shapes import RuleBase


def sheet_json(sheet: CorrectiveAction, rules: RuleBase) -> dict[str, Any]:
    """Every part as values; null and empty lists are the gaps."""
    found = sheet.evidence
    return {
        "pattern": sheet.pattern,
        "name": sheet.name or None,
        "defect": sheet.defect,
        "since": sheet.since.isoformat(),
        "until": sheet.until.isoformat(),
        "problem": {
            "months": [
                {
                    "month": month.month.strftime("%Y-%m"),
                    "moulds": month.moulds,
                    "bad_moulds": month.bad_moulds,
                    "castings": month.castings,
                    "bad_castings": month.bad_castings,
                }
                for month in sheet.months
            ],
            "became": dict(sheet.became),
            "found": dict(sheet.found),
            "first_cast": sheet.first_seen.isoformat() if sheet.first_seen else None,
            "last_cast": sheet.last_seen.isoformat() if sheet.last_seen else None,
        },
        "containment": {
            "days": sheet.lately,
            "shared": [shared_json(item) for item in sheet.shared],
            "at_risk": shared_json(sheet.at_risk) if sheet.at_risk else None,
            "moulds_without_heat_and_sand": sheet.unlinked,
        },
        "evidence": None
        if found is None
        else {
            "stands_out": found.stands_out,
            "causes": [
                {
                    "cause": cause.cause.id,
                    "share": cause.share,
                    "for": list(cause.speaks_for),
                    "against": list(cause.speaks_against),
                }
                for cause in leaders(found)
            ],
        },
        "verdicts": [record_json(verdict) for verdict in sheet.verdicts],
        "remedies": [remedy_json(item) for item in sheet.remedies],
        "cards_since": [record_json(card) for card in sheet.cards],
        "gaps": gaps_of(sheet_page(sheet, rules)),
    }


def shared_json(item: Shared) -> dict[str, Any]:
    return {
        "kind": item.kind or None,
        "name": item.name or None,
        "moulds": item.moulds,
        "castings": item.castings,
        "not_scrapped": item.not_scrapped,
        "patterns": list(item.patterns),
    }


def gaps_of(blocks: Sequence[Block]) -> list[str]:
    return [
        block.text.removeprefix(GAP).strip()
        for block in blocks
        if isinstance(block, Text) and block.text.startswith(GAP)
    ]


def remedy_json(item: RemedyJudged) -> dict[str, Any]:
    outcome = item.outcome
    return {
        "number": item.number,
        **record_json(item.remedy),
        "answer": outcome.answer,
        "before": tally_as_json(outcome.before),
        "after": tally_as_json(outcome.after),
        "odds_of_luck": outcome.odds_of_luck,
    }
