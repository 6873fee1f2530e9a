"""What to type next, for a problem that does not say it itself. Loaded only when something went wrong."""

import re
import shlex
from typing import Any

from defectlog.errors import Problem

LONGEST_LINE = 110
OF_A_ROW = re.compile(r" row \d+")


def next_step(problem: Problem, words: list[str], root: Any, *, of_rules: bool = False) -> str:
    """A file is put right where it lies; an option is typed again; else the help page says what the verb takes.

    `words` are what was typed, `root` the command that holds all verbs; `of_rules`: a rule file cannot be used.
    """
    if problem.code == "rules-missing":
        return "look where DEFECTLOG_RULES points, or take it out of the environment"
    if of_rules:
        from defectlog.jobs.rule_files import AFTERWARDS

        return AFTERWARDS
    if OF_A_ROW.search(problem.where):
        return "put it right in the sheet, then type the same again"
    again = typed_again(words, problem.where.split(" ")[0])
    return f"type again: {again}" if again else f"to see what it takes: {help_of(words, root)}"


def typed_again(words: list[str], option: str) -> str:
    """The command with the value of `option` left open; "" where it has no such option, or would be a long line."""
    if not option.startswith("--"):
        return ""
    named = [f"{option}=…" if word.startswith(f"{option}=") else word for word in words]
    for place, word in enumerate(words):
        if word == option:
            named[place + 1 : place + 2] = ["…"]
    line = " ".join(["defectlog", *(word if word.endswith("…") else shlex.quote(word) for word in named)])
    return line if named != words and len(line) <= LONGEST_LINE else ""


def help_of(words: list[str], root: Any) -> str:
    """The page of the verb, or of the part of it that was typed."""
    command, path = root, ["defectlog"]
    for word in words:
        part = command.get_command(None, word) if hasattr(command, "get_command") else None
        if part is None:
            break
        command = part
        path.append(word)
    return f"{' '.join(path)} -h"
