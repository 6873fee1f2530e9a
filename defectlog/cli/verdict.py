"""defectlog verdict PATTERN DEFECT CAUSE confirmed|ruled-out"""

from typing import Annotated

import typer

from defectlog.cli.session import Session
from defectlog.errors import BadInput, Problem

app = typer.Typer(
    rich_markup_mode=None,
    add_completion=False,
    context_settings={"help_option_names": ["-h", "--help"]},
)


@app.command()
def verdict(
    context: typer.Context,
    pattern: str = typer.Argument(help="The pattern's number."),
    defect: str = typer.Argument("", help="The defect; nothing more shows what is on record."),
    cause: str = typer.Argument("", help="What was found to be the cause, or not to be."),
    verdict: Annotated[list[str] | None, typer.Argument(help="confirmed or ruled-out.")] = None,
    basis: str = typer.Option("", "--basis", help="What showed it."),
    by: str = typer.Option("", "--by", help="Who decided."),
    on: str = typer.Option("", "--on", help="The day; else today."),
    dry_run: bool = typer.Option(False, "--dry-run", help="Say what would be written, and write nothing."),
) -> None:
    """What was found to be the cause. It counts when `why` is asked the next time.

    Example: defectlog verdict P-104 gas-holes sand-too-wet confirmed --basis "dry batch, no holes in 30 moulds"
    """
    from defectlog.jobs.rules import the_rules
    from defectlog.jobs.verdict import give_verdict, verdicts_on
    from defectlog.report.verdict import given_json, given_page, verdicts_json, verdicts_page

    session: Session = context.obj
    rules = the_rules(session.path())
    if not cause:
        with session.open(create=False, read_only=True) as book:
            shown = verdicts_on(book, rules, pattern, defect)
        session.answer(lambda: verdicts_json(shown), lambda: verdicts_page(shown, rules))
        return
    if not verdict:
        found = f"it is not said what was found of {cause}"
        step = f"type: {session.command} confirmed"
        raise BadInput(
            Problem("verdict-missing", "verdict", found, "allowed: confirmed or ruled-out, at the end", step)
        )
    with session.open(create=False) as book:
        given = give_verdict(
            book,
            rules,
            pattern,
            defect,
            cause,
            " ".join(verdict),
            command=session.command,
            now=session.now(),
            on=on,
            basis=basis,
            by=by,
            who=by or session.who(),
            dry_run=dry_run,
        )
    session.answer(lambda: given_json(given), lambda: given_page(given, rules))
