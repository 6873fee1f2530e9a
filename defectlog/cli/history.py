"""defectlog history: who changed what."""

import typer

from defectlog.cli.options import verb
from defectlog.cli.session import Session

app = verb(no_args_is_help=False)
WHAT = typer.Argument(None, help="M-231, H-7, a pattern, a sand batch, or act 12; the last acts when left out.")


@app.command()
def history(
    context: typer.Context,
    what: list[str] | None = WHAT,
    limit: int = typer.Option(20, help="How many of the last acts."),
) -> None:
    """What befell a record, or what an act did: when, who, the command as typed, and every value as it was before.

    Example: defectlog history M-231
    """
    from defectlog.jobs.journal import life_of, recent
    from defectlog.report.journal import done_json, life_json, life_page, recent_page

    session: Session = context.obj
    with session.open(create=False) as book:
        if not what:
            acts = recent(book, max(limit, 1))
            session.answer(lambda: [done_json(act) for act in acts], lambda: recent_page(acts))
            return
        life = life_of(book, what)
    if life.what.said:
        session.say(life.what.said)
    session.answer(lambda: life_json(life), lambda: life_page(life))
