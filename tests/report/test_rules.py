"""Every rule's page as it is printed: nothing too wide, cautions marked, JSON that can be written."""

import json

import pytest

from defectlog.report.plain import plain_text
from defectlog.report.rules import rule_json, rule_page
from defectlog.report.rules_answers import RuleFound
from defectlog.rulebase.load import load_rules
from defectlog.rulebase.page_parts import cautions_of
from defectlog.rulebase.shapes import Cause

RULES = load_rules()
EVERY = {**RULES.defects, **RULES.causes}


@pytest.mark.parametrize("id", EVERY)
def test_a_page_carries_its_cautions_and_fits_the_width(id: str) -> None:
    rule = EVERY[id]
    text = plain_text(rule_page(RuleFound(rule), RULES), width=80)
    assert text.startswith(f"{rule.name} ({id})\n")
    cautions = cautions_of(rule) if isinstance(rule, Cause) else rule.cautions
    assert [name for name in cautions if f"CAUTION: {name}:" not in " ".join(text.split())] == []
    assert [line for line in text.splitlines() if len(line) > 80 and "http" not in line] == []


@pytest.mark.parametrize("id", EVERY)
def test_its_json_can_be_written_and_names_it(id: str) -> None:
    fields = json.loads(json.dumps(rule_json(RuleFound(EVERY[id]), RULES), allow_nan=False))
    assert fields["id"] == id
    assert fields["kind"] == ("defect" if id in RULES.defects else "cause")
