"""defectlog heat: the melts."""

import typer

from defectlog.cli import records
from defectlog.cli.options import taking_fields, verb
from defectlog.records.kinds import Heat

app = verb("Heats: add, list, show, amend.")
NUMBER = typer.Argument(help="The number of the heat, as short as it is clear.")


@app.command()
@taking_fields(Heat, leave_out=["heat"], new=True)
def add(
    context: typer.Context,
    number: str = typer.Argument("", help="The number of the heat.", show_default=False),
    *,
    typed: dict[str, str],
) -> None:
    """Write a heat; melted now when no time is typed.

    Example: defectlog heat add H-7 --melted-at "today 9:10" --alloy A356 --melt-c 735
    """
    records.add(context.obj, Heat, number, typed)


@app.command("list")
def list_(
    context: typer.Context,
    since: str = typer.Option(
        "", metavar="DAY", help="Only from this day on: mon, 9 mar, 2026-03-09.", show_default=False
    ),
    limit: int = typer.Option(20, metavar="COUNT", help="How many, the newest first; 0 for all."),
) -> None:
    """The heats.

    Example: defectlog heat list --since 2026-03-01
    """
    records.listing(context.obj, Heat, limit, since)


@app.command()
def show(context: typer.Context, number: str = NUMBER) -> None:
    """One heat with its moulds and what became of them.

    Example: defectlog heat show H-7
    """
    records.show(context.obj, Heat, number)


@app.command()
@taking_fields(Heat)
def amend(
    context: typer.Context,
    number: str = NUMBER,
    why: str = typer.Option("", metavar="TEXT", help="Why it is changed; kept with the change.", show_default=False),
    *,
    typed: dict[str, str],
) -> None:
    """Correct or complete one heat; the old values stay in its history. An empty text clears a value: --note ''.

    Example: defectlog heat amend H-7 --density-index-pct 2.1
    """
    records.amend(context.obj, Heat, number, typed, why)
