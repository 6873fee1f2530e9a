"""defectlog undo: take back an act."""

import sys

import typer

from defectlog.cli.options import verb
from defectlog.cli.session import Session

app = verb(no_args_is_help=False)
ACT = typer.Argument(None, help="The number of the act; the last one when left out.", min=1)


@app.command()
def undo(
    context: typer.Context,
    act: int | None = ACT,
    why: str = typer.Option("", metavar="TEXT", help="Why; kept with it.", show_default=False),
    dry_run: bool = typer.Option(False, "--dry-run", help="Only say what would be taken back."),
) -> None:
    """Take back what an act wrote. It stays in the journal, and can be had back by undoing the undo.

    Example: defectlog undo
    """
    from defectlog.book.unanswered import own_id
    from defectlog.jobs.journal import take_back
    from defectlog.report.sheets import undone_json, undone_page

    session: Session = context.obj
    with session.open(create=False) as book, own_id(book.path, session.command) as token:
        undone = take_back(book, act, who=session.who(), why=why or None, token=token, dry_run=dry_run)
        session.answer(lambda: undone_json(undone), lambda: undone_page(undone))
        sys.stdout.flush()
