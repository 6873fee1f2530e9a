"""defectlog trace: everything that shares a heat, a batch, a mould, a pattern or a lot of ingot."""

import typer

from defectlog.cli.options import verb
from defectlog.cli.session import Session, write

app = verb()
WHAT = typer.Argument(help="H-7, S-31, M-231, P-104; or with its kind: heat H-7, lot 77.")


@app.command()
def trace(
    context: typer.Context,
    what: list[str] = WHAT,
    csv: str = typer.Option(
        "", "--csv", metavar="FILE", help="Write the moulds to this file; - for the screen.", show_default=False
    ),
) -> None:
    """What is in doubt when one thing is: the moulds and castings that share it, and what became of them.

    Example: defectlog trace H-7
    """
    from defectlog.jobs.trace import trace as follow
    from defectlog.jobs.trace import write_sheet
    from defectlog.report.trace import sheet_text, trace_json, trace_page

    session: Session = context.obj
    with session.open(create=False) as book:
        traced = follow(book, what)
    if traced.what.said:
        session.say(traced.what.said)
    if csv == "-":
        write(sheet_text(traced))
    elif csv:
        write_sheet(traced, csv)
        session.say(f"written: {csv}, {len(traced.moulds)} moulds")
    else:
        session.answer(lambda: trace_json(traced), lambda: trace_page(traced, session.units))
