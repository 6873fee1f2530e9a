"""The program: finds the verb, loads only its file, and turns every error into one message and an exit code."""

import importlib
import os
import shlex
import sys
from dataclasses import replace
from pathlib import Path
from typing import Any

import typer
from typer.core import TyperGroup

from defectlog import __version__
from defectlog.cli.session import Session, checked_units
from defectlog.errors import BadInput, DefectlogError, Problem, RulesBroken
from defectlog.report.page import shown

# Verb → its file in this folder. The order is the order of the help page: the day's work first.
VERBS = {
    "shakeout": "shakeout",
    "why": "why",
    "identify": "identify",
    "review": "review",
    "verdict": "verdict",
    "remedy": "remedy",
    "pattern": "pattern",
    "sand": "sand",
    "heat": "heat",
    "mould": "mould",
    "trace": "trace",
    "import": "import_",
    "export": "export",
    "check": "check",
    "history": "history",
    "undo": "undo",
    "backup": "backup",
    "restore": "restore",
    "rules": "rules",
    "sums": "sums",
    "demo": "demo",
}
TAKES_VALUE = ("--book", "--units")
STANDS_ALONE = ("--json", "--plain")
INTERRUPTED = 130


class Verbs(TyperGroup):
    """Loads the file of a verb when the verb is typed, so that a quick command does not pay for the others."""

    def list_commands(self, ctx: Any) -> list[str]:
        return [verb for verb, module in VERBS.items() if verb_exists(module)]

    def resolve_command(self, ctx: Any, args: list[str]) -> Any:
        if args and args[0] not in VERBS and not args[0].startswith("-"):
            raise BadInput(unknown_verb(args[0]))
        return super().resolve_command(ctx, args)

    def get_command(self, ctx: Any, cmd_name: str) -> Any:
        module = VERBS.get(cmd_name)
        if module is None or not verb_exists(module):
            return None
        app: typer.Typer = importlib.import_module(f"defectlog.cli.{module}").app
        command = typer.main.get_command(app)
        command.name = cmd_name
        return command


def unknown_verb(typed: str) -> Problem:
    from difflib import get_close_matches

    near = get_close_matches(typed.lower(), VERBS, n=3, cutoff=0.6)
    allowed = f"nearest: {', '.join(near)}" if near else f"allowed: {', '.join(VERBS)}"
    return Problem("verb-unknown", "defectlog", f"there is no verb {typed!r}", allowed, "to see them: defectlog -h")


def verb_exists(module: str) -> bool:
    return (Path(__file__).parent / f"{module}.py").is_file()


app = typer.Typer(
    cls=Verbs,
    add_completion=True,
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
    context_settings={"help_option_names": ["-h", "--help"]},
)


def version(asked: bool) -> None:
    if asked:
        print(f"defectlog {__version__}")
        raise typer.Exit


@app.callback()
def start(
    context: typer.Context,
    book: Path | None = typer.Option(None, "--book", help="The record book; else DEFECTLOG_BOOK, else your own."),
    units: str = typer.Option("", "--units", help="metric or us, for what is printed."),
    as_json: bool = typer.Option(False, "--json", help="Answer in JSON."),
    plain: bool = typer.Option(False, "--plain", help="No colour; NO_COLOR does the same."),
    _version: bool = typer.Option(False, "--version", callback=version, is_eager=True, help="The version."),
) -> None:
    """The foundry's record book: log a scrapped casting, ask why a part keeps failing, review the month."""
    session: Session = context.obj
    session.book_path = book
    session.as_json = as_json
    session.plain = plain
    session.units = checked_units(units or os.environ.get("DEFECTLOG_UNITS", "metric"))


def main(arguments: list[str] | None = None) -> None:
    """The console entry. Exit codes: 0 done, 1 no or problems found, 2 bad input, 3 the book cannot be used."""
    sys.exit(run(sys.argv[1:] if arguments is None else arguments))


def run(arguments: list[str]) -> int:
    """One command, its exit code returned."""
    front, rest = global_options(arguments)
    # What the journal keeps is the command, not where the book lies.
    session = Session(command=shlex.join(["defectlog", *rest]))
    try:
        refuse_unusable(arguments)
        result = typer.main.get_command(app).main(
            args=[*front, *rest], prog_name="defectlog", standalone_mode=False, obj=session
        )
        sys.stdout.flush()
        # typer turns Ctrl-C into this code and says nothing.
        return stopped() if result == INTERRUPTED else result if isinstance(result, int) else 0
    except DefectlogError as error:
        tell(with_next_step(problem, rest, error) for problem in error.problems)
        return error.exit_code
    except (KeyboardInterrupt, EOFError):
        return stopped()
    except BrokenPipeError:
        # The reader went away (`| head`): quiet, and no second complaint when Python flushes at the end.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 1
    except Exception as error:
        return other_error(error)


def stopped() -> int:
    print("\nstopped; nothing half-done was kept", file=sys.stderr)
    return INTERRUPTED


def refuse_unusable(arguments: list[str]) -> None:
    """No path and no text can hold a zero byte or half a character; a shell passes neither on. Raises BadInput."""
    for word in arguments:
        if "\0" in word or any("\ud800" <= sign < "\udc80" or "\udcff" < sign <= "\udfff" for sign in word):
            raise BadInput(unseen(word))


def unseen(word: str) -> Problem:
    found = f"a character that cannot be seen in {word[:60]!r}"
    return Problem("text-unseen", "defectlog", found, "allowed: letters, figures and signs", "type it again")


def other_error(error: Exception) -> int:
    """Typing errors that typer found, and anything that nobody foresaw, each in one message."""
    if type(error).__name__ == "Abort":
        return stopped()
    if type(error).__name__ == "NoArgsIsHelpError" and hasattr(error, "format_message"):
        print(error.format_message(), file=sys.stderr)
        return 2
    if hasattr(error, "format_message") and hasattr(error, "exit_code"):
        where = getattr(getattr(error, "ctx", None), "command_path", "") or "defectlog"
        context = getattr(error, "ctx", None)
        usage = context.get_usage() if context is not None else ""
        tell([Problem("usage", where, error.format_message(), " ".join(usage.split()), f"type: {where} -h")])
        return 2
    if os.environ.get("DEFECTLOG_DEBUG"):
        raise error
    if isinstance(error, UnicodeEncodeError):
        # A byte that is no letter in this system's encoding: right in the name of a file, in no name of the book.
        tell([unseen(str(error.object))])
        return 2
    if isinstance(error, OSError) and error.filename is not None:
        where = str(error.filename)[:200]
        tell([Problem("path-unusable", where, f"this path cannot be used ({error.strerror})",
                      "allowed: a path where you may read and write", "give another path")])  # fmt: skip
        return 2
    found = f"something went wrong that nobody foresaw: {type(error).__name__}: {error}"
    tell([Problem("unforeseen", "defectlog", found, "nothing half-done was kept in the book",
                  "run it again with DEFECTLOG_DEBUG=1 set, and report what it prints")])  # fmt: skip
    return 1


def with_next_step(problem: Problem, words: list[str], error: DefectlogError) -> Problem:
    """The problem, with what to type next where it says nothing of that itself."""
    if problem.next_step:
        return problem
    from defectlog.cli.next_step import next_step

    of_rules = isinstance(error, RulesBroken)
    return replace(problem, next_step=next_step(problem, words, typer.main.get_command(app), of_rules=of_rules))


def tell(problems: Any) -> None:
    for problem in problems:
        print("\n".join(shown(line) for line in str(problem).splitlines()), file=sys.stderr)


def global_options(arguments: list[str]) -> tuple[list[str], list[str]]:
    """(the options that every verb shares, all other words): they may stand anywhere, up to a lone `--`."""
    front: list[str] = []
    rest: list[str] = []
    queue = list(arguments)
    while queue:
        word = queue.pop(0)
        if word == "--":
            return front, [*rest, word, *queue]
        if word in STANDS_ALONE or word.startswith(tuple(f"{name}=" for name in TAKES_VALUE)):
            front.append(word)
        elif word in TAKES_VALUE and queue:
            front += [word, queue.pop(0)]
        else:
            rest.append(word)
    return front, rest
