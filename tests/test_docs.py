"""The README does what it says: every command in it is run, in order, and prints what it shows.

A line of three dots stands for lines left out. DEFECTLOG_RENEW_README=1 writes what is printed now into the README.
"""

import os
import re
import shlex
from pathlib import Path

import pytest

from defectlog.cli.main import VERBS, run

TOP = Path(__file__).parents[1]
README = TOP / "README.md"
BLOCK = re.compile(r"```console\n(.*?)```", re.DOTALL)
LEFT_OUT = "…"
# Where an output is long, the README shows so many lines of it.
MOST_LINES = {"why": 34, "review": 36, "identify": 14, "demo": 3, "remedy": 16, "verdict": 8}


def blocks() -> list[list[tuple[str, list[str]]]]:
    """Of every console block: (command, the lines shown under it)."""
    found = []
    for block in BLOCK.findall(README.read_text(encoding="utf-8")):
        commands: list[tuple[str, list[str]]] = []
        for line in block.splitlines():
            if line.startswith("$ "):
                commands.append((line[2:], []))
            else:
                commands[-1][1].append(line)
        found.append(commands)
    return found


def printed_by(command: str, capsys: pytest.CaptureFixture[str]) -> list[str]:
    words = shlex.split(command)
    assert words[0] == "defectlog"
    capsys.readouterr()
    code = run(words[1:])
    captured = capsys.readouterr()
    assert code == 0, captured.err
    return captured.out.rstrip("\n").splitlines()


def agrees(shown: list[str], printed: list[str]) -> bool:
    if LEFT_OUT not in shown:
        return shown == printed
    cut = shown.index(LEFT_OUT)
    head, tail = shown[:cut], shown[cut + 1 :]
    return printed[:cut] == head and printed[len(printed) - len(tail) :] == tail and len(printed) >= len(shown) - 1


def shortened(command: str, printed: list[str]) -> list[str]:
    verb = next(word for word in shlex.split(command)[1:] if word in VERBS)
    most = MOST_LINES.get(verb, 40)
    return printed if len(printed) <= most else [*printed[: most - 1], LEFT_OUT]


def test_every_command_of_the_readme_runs_and_prints_what_it_shows(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "80")
    monkeypatch.setenv("DEFECTLOG_BOOK", "shop.db")
    renew = os.environ.get("DEFECTLOG_RENEW_README")
    text = README.read_text(encoding="utf-8")
    for commands in blocks():
        renewed = []
        for command, shown in commands:
            printed = printed_by(command, capsys)
            if not renew:
                assert agrees(shown, printed), f"{command}\nprints\n" + "\n".join(printed)
            renewed += [f"$ {command}", *shortened(command, printed)]
        old = "".join(f"$ {command}\n" + "".join(f"{line}\n" for line in shown) for command, shown in commands)
        text = text.replace(f"```console\n{old}```", "```console\n" + "\n".join(renewed) + "\n```")
    if renew:
        README.write_text(text, encoding="utf-8")


def test_the_readme_opens_with_two_commands_of_one_line_each() -> None:
    commands = re.findall(r"```sh\n(.*?)```", README.read_text(encoding="utf-8"), re.DOTALL)
    assert [command.count("\n") for command in commands] == [1, 1]
    assert "defectlog demo" in commands[0]
    assert "pytest" in commands[1]


@pytest.mark.parametrize("verb", VERBS)
def test_every_verb_has_a_help_page_with_an_example(verb: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run([verb, "-h"]) == 0
    page = capsys.readouterr().out
    assert "Example: defectlog " in page or "Commands:" in page


@pytest.mark.parametrize("verb", VERBS)
def test_every_verb_is_in_the_help_page_with_a_line_of_its_own(verb: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["-h"]) == 0
    assert re.search(rf"^  {verb}  +\S", capsys.readouterr().out, re.MULTILINE)
