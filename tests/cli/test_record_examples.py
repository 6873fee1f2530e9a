"""Every example of a help page of the record verbs is run; the options are the fields; quick verbs stay light."""

import re
import subprocess
import sys

import pytest

from defectlog.records.fields import fields_of
from defectlog.records.kinds import Heat, Mould, Pattern, Sand

KINDS = {"pattern": Pattern, "sand": Sand, "heat": Heat, "mould": Mould}
PAGES = [f"{verb} {command}" for verb in KINDS for command in ("add", "list", "show", "amend")] + [
    "import", "export", "check", "history", "undo", "backup", "restore", "trace",
]  # fmt: skip


@pytest.fixture
def shop(typed, tmp_path, monkeypatch):
    """What the examples speak of: P-104, S-31, H-7, M-225 on, a folder of sheets and a backup."""
    monkeypatch.chdir(tmp_path)
    typed("pattern add P-104 --impressions 4")
    typed("sand add S-31 --mixed-at 2026-03-02")
    typed("heat add H-7 --melted-at 2026-03-02")
    typed("mould add M-225 --count 12 --pattern P-104")
    return typed


def example(typed, page):
    found = re.search(r"Example: defectlog (.*?)(?:\n\s*\n|$)", typed(f"{page} -h").out, re.DOTALL)
    assert found, page
    return " ".join(found[1].split())


@pytest.mark.parametrize("page", PAGES)
def test_the_example_of_each_help_page_works(shop, typed, tmp_path, page):
    line = example(typed, page)
    assert line.startswith(page)
    first = {"import": "export sheets", "restore": "backup copy.db"}.get(page)
    if first:
        shop(first)
    if page.endswith(" add"):
        for file in tmp_path.glob("shop.db*"):
            file.unlink()
        if page == "mould add":
            shop("pattern add P-104 --impressions 4")
            shop("sand add S-31")
    answer = shop(line)
    assert answer.code == 0, answer.err


@pytest.mark.parametrize("verb", KINDS)
def test_every_field_is_an_option_with_its_meaning(typed, verb):
    for command in ("add", "amend"):
        page = " ".join(typed(f"{verb} {command} -h").out.split())
        for spec in fields_of(KINDS[verb]):
            if command == "amend" or spec.name != verb:
                assert f"--{spec.name.replace('_', '-')} " in page
                assert spec.meaning in page


def test_writing_a_mould_loads_nothing_heavy(shop, book_path):
    """The book exists: no migration, no tables, no statistics are needed to write down a mould."""
    assert shop("mould list").code == 0
    code = (
        "import sys; from defectlog.cli.main import run\n"
        f"assert run(['--book', {str(book_path)!r}, 'mould', 'add', '--pattern', 'P-104']) == 0\n"
        "print([name for name in ('pandas', 'sqlite_utils', 'scipy', 'numpy', 'pydantic', 'rapidfuzz')"
        " if name in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.splitlines()[-1] == "[]"
