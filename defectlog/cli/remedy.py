"""defectlog remedy add|list|judge"""

import sys

import typer

from defectlog.cli.remedy_sheet import sheet
from defectlog.cli.session import Session

app = typer.Typer(
    rich_markup_mode=None,
    add_completion=False,
    no_args_is_help=True,
    help="What was changed, how many to check, and whether it worked.",
    context_settings={"help_option_names": ["-h", "--help"]},
)
app.command()(sheet)


@app.command()
def add(
    context: typer.Context,
    pattern: str = typer.Argument(help="The pattern's number."),
    defect: str = typer.Argument(help="The defect that it is meant to cure."),
    change: str = typer.Argument(help="What was changed, in quotes."),
    cause: str = typer.Option("", "--cause", help="The cause that it is meant to cure."),
    from_date: str = typer.Option("", "--from-date", help="First day of the change; else today."),
    from_mould: str = typer.Option("", "--from-mould", help="Or the first mould made the new way."),
    check_castings: str = typer.Option("", "--check-castings", metavar="N", help="Else reckoned from the record."),
    owner: str = typer.Option("", "--owner", help="Who sees to it."),
    note: str = typer.Option("", "--note", help="Anything else."),
    dry_run: bool = typer.Option(False, "--dry-run", help="Say what would be written, and write nothing."),
) -> None:
    """Record what was changed; how many to check is set at once.

    Example: defectlog remedy add P-104 gas-holes "dried the heap, 4 % moisture at most" --cause sand-too-wet
    """
    from defectlog.book.unanswered import own_id
    from defectlog.jobs.remedy import RemedyTold, add_remedy
    from defectlog.jobs.rules import the_rules
    from defectlog.report.remedies import added_json, added_page

    session: Session = context.obj
    rules = the_rules(session.path())
    told = RemedyTold(pattern, defect, change, cause, from_date, from_mould, check_castings, owner, note)
    with session.open(create=False) as book, own_id(book.path, session.command) as token:
        added = add_remedy(
            book, rules, told, command=session.command, now=session.now(), who=session.who(), token=token,
            dry_run=dry_run,
        )  # fmt: skip
        session.answer(lambda: added_json(added), lambda: added_page(added, rules))
        sys.stdout.flush()


@app.command(name="list")
def list_(
    context: typer.Context,
    pattern: str = typer.Argument("", help="Only this pattern's."),
) -> None:
    """Every remedy, and what the record says of it today.

    Example: defectlog remedy list P-104
    """
    from defectlog.jobs.remedy import remedies_of
    from defectlog.jobs.rules import the_rules
    from defectlog.report.remedies import list_json, list_page

    session: Session = context.obj
    rules = the_rules(session.path())
    with session.open(create=False, read_only=True) as book:
        found = remedies_of(book, rules, pattern, today=session.today())
    session.answer(lambda: list_json(found), lambda: list_page(found, rules))


@app.command()
def judge(
    context: typer.Context,
    number: str = typer.Argument("", help="The remedy's number; nothing: all that are not judged yet."),
    verdict: str = typer.Option("", "--verdict", help="Your own: worked, no effect seen, made worse, too soon."),
    dry_run: bool = typer.Option(False, "--dry-run", help="Say it, and write nothing."),
) -> None:
    """Did it work: moulds before against moulds since. With a number the answer goes on record, unless it is too soon.

    Example: defectlog remedy judge 1
    """
    from defectlog.jobs.remedy import judge_remedy, remedies_of
    from defectlog.jobs.rules import the_rules
    from defectlog.report.remedies import judged_json, judged_page, list_json, list_page

    session: Session = context.obj
    rules = the_rules(session.path())
    if not number:
        with session.open(create=False, read_only=True) as book:
            found = remedies_of(book, rules, today=session.today(), only_open=True)
        session.answer(lambda: list_json(found), lambda: list_page(found, rules))
        return
    with session.open(create=False) as book:
        judged = judge_remedy(
            book,
            rules,
            number,
            command=session.command,
            now=session.now(),
            verdict=verdict,
            who=session.who(),
            dry_run=dry_run,
        )
    session.answer(lambda: judged_json(judged), lambda: judged_page(judged, rules))
