"""A copy of the book on the command line."""

import json


def test_a_backup_is_looked_over_and_counted(typed, tmp_path):
    typed("pattern add P-1 --impressions 4")
    typed("mould add M-1 --count 3 --pattern P-1")
    copy = tmp_path / "copy.db"
    made = json.loads(typed("backup", str(copy), "--json").out)
    assert (made["rows"]["mould"], made["acts"]) == (3, 2)
    assert copy.stat().st_size == made["bytes"]
    again = typed("backup", str(copy))
    assert again.code == 2
    assert "there is a file here already" in again.err
    assert "looked over" in typed("backup", str(copy), "--force").out


def test_a_folder_that_is_not_there_is_said(typed, tmp_path):
    typed("pattern add P-1 --impressions 4")
    assert typed("backup", str(tmp_path / "no" / "copy.db")).code == 2
