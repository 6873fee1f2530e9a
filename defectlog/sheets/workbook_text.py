"""Text into a workbook's cell, as it is.

xlsxwriter takes a text that begins with "<r>" and ends with "</r>" for ready-made XML, and cuts a text at its limit;
both are kept from user text here. A reader of workbooks takes _x0041_ for the letter A (ECMA-376 part 1, 22.9.2.19), so
an underscore before such a sign is itself written as one, which xlsxwriter does for signs that stand apart.
"""

import re
from typing import Any
from xml.sax.saxutils import escape

# Signs of which one begins within another are not seen by xlsxwriter.
SIGNS_IN_A_ROW = re.compile("_x[0-9A-Fa-f]{4}_x[0-9A-Fa-f]{4}_")
SIGN = re.compile("_(?=x[0-9A-Fa-f]{4}_)")
# Beyond any text of a record, written out as XML.
NO_LIMIT = 1_000_000


def write_text(sheet: Any, row: int, column: int, text: str, form: Any = None) -> None:
    """Writes a text of up to 32,767 UTF-16 units into a cell of an xlsxwriter worksheet."""
    if text.startswith("<r>") or SIGNS_IN_A_ROW.search(text):
        text = as_run(text)
    sheet.xls_strmax = NO_LIMIT
    sheet.write_string(row, column, text, form)


def as_run(text: str) -> str:
    """The XML of one run of a rich string, which xlsxwriter writes as it stands."""
    signs = SIGN.sub("_x005F_", text)
    return f'<r><t xml:space="preserve">{escape(signs).replace("_x", "&#95;x")}</t></r>'
