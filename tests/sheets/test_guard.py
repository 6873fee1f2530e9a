"""No text of the book may act as a formula in a spreadsheet, and none may change on its way out and in."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from defectlog.sheets.guard import guarded, unguarded

# OWASP, "CSV Injection": cells that begin with these signs are run as formulas; full-width forms as well.
SIGNS = ["=", "+", "-", "@", "\t", "\r", "＝", "＋", "－", "＠"]


@pytest.mark.parametrize("sign", SIGNS)
def test_a_formula_goes_out_as_text(sign):
    assert guarded(f"{sign}cmd|' /C calc'!A0") == f"'{sign}cmd|' /C calc'!A0"


@pytest.mark.parametrize("text", ["-12", "+5", "-1,5", "holes", "", "'quoted'", "M-1"])
def test_other_texts_stay_as_they_are(text):
    assert guarded(text) == text


@given(st.text() | st.text(["'", "=", "-", "1", "a"], max_size=6))
def test_what_goes_out_comes_back(text):
    assert unguarded(guarded(text)) == text
